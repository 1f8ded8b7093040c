"""What was to be expected by now under a plan, had it been followed from when it was made."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from sugarwright.logbook.entry import Entry
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.state import start_totals
from sugarwright.twin.advance import advance, make_leg, own_parameters, run_one
from sugarwright.twin.contents import tanks_of, volumes_m3
from sugarwright.twin.ensemble import STEP_S, Ensemble, Ground, step_of
from sugarwright.twin.report import Band, Departure, Planned
from sugarwright.twin.spreads import VALVE_LOG
from sugarwright.twin.track import Seen

MOST_S = 30 * 3600.0
OFF_FRACTION = 0.1  # of a rim: a reading off by more is worth another plan (docs/planning.md)


def departures(
    ground: Ground,
    then: Ensemble,
    now: Ensemble,
    planned: Planned,
    read: Collection[str],
) -> tuple[Departure, ...]:
    """Return the tanks that were read since the plan began, and stand off what it led to expect.

    Parameters
    ----------
    ground : with the air as it was foreseen when the plan was made
    then : the members as they stood by then, or some time before
    now : as they stand
    planned : the plan
    read : places of tanks read since it was made (:func:`read_since`)
    """
    if not read:
        return ()
    begun = then.copy()
    advance(ground, begun, step_of(planned.begin_s))
    began = begun.x.copy()
    expected = _under_plan(ground, begun, planned, now.step)
    found = []
    for place in read:
        tank, rim_m3 = tanks_of(ground.plant)[place]
        volumes = volumes_m3(ground.plant, expected.x, tank)
        if place in planned.began_m3:  # a plan of told levels began with them, not with the log's
            was_m3 = float(np.median(volumes_m3(ground.plant, began, tank)))
            volumes = np.clip(volumes + planned.began_m3[place] - was_m3, 0.0, rim_m3)
        low, middle, high = np.quantile(volumes, [0.05, 0.5, 0.95])
        held_m3 = float(np.median(volumes_m3(ground.plant, now.x, tank)))
        # Off the middle, not outside of the band: a run may be twice the usual one within its band,
        # and plans that know of it halve what not knowing the weather costs.
        if abs(held_m3 - middle) > OFF_FRACTION * rim_m3:
            band = Band(float(low), float(middle), float(high))
            found.append(Departure(place, held_m3, band, planned.begin_s))
    return tuple(found)


def read_since(
    planned: Planned, seen: Mapping[tuple[str, str], Seen], ordered: Sequence[Entry], now_s: float
) -> tuple[str, ...]:
    """Return the tanks whose level a plan under way did not know: read, or entered, since it began.

    A reading that the plan began with says nothing about it, however young or old it is.

    Parameters
    ----------
    planned : the plan
    seen : last believed readings
    ordered : entries that the twin takes
    now_s : UTC s; a plan too old is under way no more
    """
    if not 0.0 <= now_s - planned.begin_s <= MOST_S:
        return ()
    found = []
    for place in ("sap", "stock"):
        last = seen.get((place, "volume"))
        if last is None:
            continue
        made_s = (
            each.made_s
            for each in ordered
            if (each.place, each.at_s) == (place, last.at_s) and each.kind == "reading"
        )
        if max(last.at_s, *made_s) > planned.begin_s:
            found.append(place)
    return tuple(found)


def _under_plan(ground: Ground, ensemble: Ensemble, planned: Planned, to_step: int) -> Ensemble:
    """Run the members as the plan wants it, with the house's rules and whoever is there."""
    plant = ground.plant
    first, steps = ensemble.step, to_step - ensemble.step
    if steps <= 0:  # it was made a moment ago
        return ensemble
    leg = make_leg(ground, ensemble, steps)
    hour_s = first * STEP_S - first * STEP_S % 3600
    offset = first - hour_s // STEP_S
    calendar = make_calendar(plant.house, int(hour_s), offset + steps, float(STEP_S))[offset:]
    p = own_parameters(ground, ensemble)
    flows = np.exp(ensemble.traits[:, VALVE_LOG])
    for i in range(ensemble.members):
        plan = planned.rows.copy()
        plan[..., (at.MEMBRANE_FLOW_M3_S, at.NIGHT_FLOW_M3_S, at.CALL_FLOW_M3_S)] *= flows[i]
        weather = leg.air_c[i], leg.sap_kg_s[i]
        run_one(plant, p[i], calendar, *weather, plan, ensemble.x[i], start_totals())
    ensemble.step = to_step
    return ensemble
