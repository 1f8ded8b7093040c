"""What was to be expected by now under a plan, had it been followed from when it was made."""

from __future__ import annotations

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.state import start_totals
from sugarwright.twin.advance import advance, kernel, make_leg, own_parameters
from sugarwright.twin.contents import tanks_of, volumes_m3
from sugarwright.twin.ensemble import STEP_S, Ensemble, Ground, step_of
from sugarwright.twin.report import Band, Departure, Planned
from sugarwright.twin.spreads import VALVE_LOG
from sugarwright.twin.track import Seen

LEAST_S = 1800.0  # a plan so young has nothing to be held against
MOST_S = 30 * 3600.0
OFF_FRACTION = 0.1  # of a rim: a reading off by more is worth another plan (docs/planning.md)


def departures(
    ground: Ground,
    then: Ensemble,
    now: Ensemble,
    planned: Planned,
    seen: dict[tuple[str, str], Seen],
) -> tuple[Departure, ...]:
    """Return the tanks that were read since the plan began, and stand off what it led to expect.

    Parameters
    ----------
    ground : with the air as it was foreseen when the plan was made
    then : the members as they stood by then, or some time before
    now : as they stand
    planned : the plan
    seen : last believed readings
    """
    age_s = now.time_s - planned.begin_s
    read = [place for place in ("sap", "stock") if _read_since(seen, place, planned.begin_s)]
    if not read or not LEAST_S <= age_s <= MOST_S:
        return ()
    expected = _under_plan(ground, then.copy(), planned, now.step)
    found = []
    for place in read:
        tank, rim_m3 = tanks_of(ground.plant)[place]
        low, middle, high = np.quantile(
            volumes_m3(ground.plant, expected.x, tank), [0.05, 0.5, 0.95]
        )
        held_m3 = float(np.median(volumes_m3(ground.plant, now.x, tank)))
        # Off the middle, not outside of the band: a run may be twice the usual one within its band,
        # and plans that know of it halve what not knowing the weather costs.
        if abs(held_m3 - middle) > OFF_FRACTION * rim_m3:
            band = Band(float(low), float(middle), float(high))
            found.append(Departure(place, held_m3, band, planned.begin_s))
    return tuple(found)


def _read_since(seen: dict[tuple[str, str], Seen], place: str, time_s: float) -> bool:
    last = seen.get((place, "volume"))
    return last is not None and last.at_s > time_s


def _under_plan(ground: Ground, ensemble: Ensemble, planned: Planned, to_step: int) -> Ensemble:
    """Run the members as the plan wants it, with the house's rules and whoever is there."""
    plant = ground.plant
    advance(ground, ensemble, step_of(planned.begin_s))
    first, steps = ensemble.step, to_step - ensemble.step
    leg = make_leg(ground, ensemble, steps)
    hour_s = first * STEP_S - first * STEP_S % 3600
    offset = first - hour_s // STEP_S
    calendar = make_calendar(plant.house, int(hour_s), offset + steps, float(STEP_S))[offset:]
    p = own_parameters(ground, ensemble)
    flows = np.exp(ensemble.traits[:, VALVE_LOG])
    for i in range(ensemble.members):
        plan = planned.rows[np.newaxis].copy()
        plan[..., (at.MEMBRANE_FLOW_M3_S, at.NIGHT_FLOW_M3_S, at.CALL_FLOW_M3_S)] *= flows[i]
        kernel()(
            *(p[i], plant.points, plant.map_coefficients, calendar),
            *(leg.air_c[i : i + 1], leg.sap_kg_s[i : i + 1], plan),
            *(ensemble.x[i : i + 1][np.newaxis], start_totals()[np.newaxis, np.newaxis]),
            *(np.zeros((1, 1, 0, at.TRACE_WIDTH)), 0, steps),
        )
    ensemble.step = to_step
    return ensemble
