"""Run every member on from one moment to the next, its machines as they were told."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.logbook.entry import Entry
from sugarwright.plant import layout as at
from sugarwright.plant.alike import each_by_itself
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import NO_TRACES, THE_ONLY_RUN, compiled_run_block
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.acts import do, doing
from sugarwright.twin.ensemble import STEP_S, Ensemble, Ground, step_of
from sugarwright.twin.feed import note_short, spares_m3
from sugarwright.twin.marks import HOT
from sugarwright.twin.running import sap_of
from sugarwright.twin.spreads import (
    BOIL_LOG,
    FOULING_LOG,
    GROWTH_LOG,
    PERMEABILITY_LOG,
    SAP_BRIX,
    VALVE_LOG,
    Spreads,
)
from sugarwright.twin.told import dice

HOUR_STEPS = 3600 // STEP_S
PROMPT_S = 600.0  # an entry made this soon after it was so was made on the spot
_LEAST_FLOW_M3_S, _MOST_FLOW_M3_S = 1e-7, 1.0
_ALWAYS_MIN = 1e9


@dataclass(frozen=True)
class Leg:
    """What drives all members from one step to another.

    Parameters
    ----------
    first : the step that the rows begin with
    p : (members, parameters)
    plans : (members, 1, ``PLAN_WIDTH``)
    calendar : (steps, ``CALENDAR_WIDTH``)
    air_c : (members, hours)
    sap_kg_s : (members, hours, points, 2)
    """

    first: int
    p: Floats
    plans: Floats
    calendar: Floats
    air_c: Floats
    sap_kg_s: Floats


def advance(
    ground: Ground,
    ensemble: Ensemble,
    to_step: int,
    act: Entry | None = None,
    reserve_m3: float = 0.0,
) -> None:
    """Bring the ensemble to a step, in place.

    Parameters
    ----------
    ground, ensemble : what it stands on, and where it stands
    to_step : the step wanted; not before the ensemble's own
    act : something done by then: each member takes it to have been a little earlier, since people
        log what they have just done
    reserve_m3 : feed at which a fire is let go; 0: it burns until somebody says
    """
    first = ensemble.step
    steps = max(0, to_step - first)
    spare_m3 = spares_m3(ground, ensemble.x) if _is_watched(ensemble, act) else None
    drift(ground, ensemble, steps)
    leg = make_leg(ground, ensemble, steps)
    leg.p[:, at.RESERVE_M3] = reserve_m3
    if act is None:
        for i in range(ensemble.members):
            _march(ground, ensemble, leg, i, 0, steps)
    else:
        _with_act(ground, ensemble, leg, steps, act)
    ensemble.step = first + steps
    if spare_m3 is not None:
        is_lit = act is not None and act.kind == "fire_lit"
        note_short(ground, ensemble, ensemble.step if is_lit else first, spare_m3)
    if steps:
        _forget_fire(ground, ensemble)


def _with_act(ground: Ground, ensemble: Ensemble, leg: Leg, steps: int, act: Entry) -> None:
    spreads, members, plant = ground.spreads, ensemble.members, ground.plant
    source = dice(ground.seed, act.key)
    late_s = _lateness_s(spreads, act, source, members)
    done = np.clip(np.rint(steps - late_s / STEP_S), 0, steps).astype(int)
    z, chance = source.standard_normal(members), source.random(members)
    _take_setting(ground, ensemble, act, source)
    after = _plans(ensemble)
    for i in range(members):
        _march(ground, ensemble, leg, i, 0, int(done[i]))
        do(
            doing(
                plant, leg.p[i], ensemble.x[i], act, spreads.moved_fraction, float(z[i]),
                float(chance[i]), spreads.rinse_untold,
            )
        )  # fmt: skip
        leg.plans[i] = after[i]
        _march(ground, ensemble, leg, i, int(done[i]), steps)
    _note(ensemble, act)


def _lateness_s(
    spreads: Spreads, act: Entry, source: np.random.Generator, members: int
) -> NDArray[np.float64]:
    """How long before its time each member takes a deed to have been done, s."""
    if act.source == "sensor":
        return np.zeros(members)
    draws = source.exponential(1.0, members)
    prompt = act.made_s - act.at_s < PROMPT_S
    late: Floats = draws * (spreads.late_s if prompt else spreads.remembered_s)
    return late


def _take_setting(
    ground: Ground, ensemble: Ensemble, act: Entry, source: np.random.Generator
) -> None:
    """Take over a concentrate flow; each setting is off by its own."""
    if act.kind not in ("membrane_on", "setpoint"):
        return
    told_m3_s = act.value("concentrate_flow")
    if told_m3_s is not None and told_m3_s > 0.0:
        ensemble.flow_m3_s = told_m3_s
        sd = ground.spreads.valve_log
        ensemble.traits[:, VALVE_LOG] = sd * source.standard_normal(ensemble.members)


def _note(ensemble: Ensemble, act: Entry) -> None:
    """Remember what later readings and silence are reckoned from."""
    if act.kind == "fire_lit":
        ensemble.lit_kg[:] = ensemble.drawn_kg
        ensemble.told_drawn_m3 = 0.0
        ensemble.short_s[:] = np.nan
    if act.kind in HOT:
        ensemble.fire_word_s = act.at_s
    elif act.kind == "fire_out":
        ensemble.fire_word_s = None
        ensemble.short_s[:] = np.nan
    if act.kind == "new_membrane":
        ensemble.traits[:, PERMEABILITY_LOG] = 0.0


def _is_watched(ensemble: Ensemble, act: Entry | None) -> bool:
    """Tell whether a fire burns, is lit by what is done or was short, so that its feed matters."""
    is_told = ensemble.fire_word_s is not None or (act is not None and act.kind in HOT)
    return is_told or bool(np.isfinite(ensemble.short_s).any())


def forgotten(ground: Ground, ensemble: Ensemble, time_s: float) -> NDArray[np.bool_]:
    """Return the members that take a fire to be out by then, since nobody says anything of it."""
    if ensemble.fire_word_s is None:
        return np.zeros(ensemble.members, dtype=bool)
    source = dice(ground.seed, "silence", int(ensemble.fire_word_s))
    patience = 0.7 + source.exponential(0.5, ensemble.members)
    silent_s = time_s - ensemble.fire_word_s
    out: NDArray[np.bool_] = silent_s > ground.spreads.forgotten_s * patience
    return out


def _forget_fire(ground: Ground, ensemble: Ensemble) -> None:
    """Let a fire of which nobody says anything any more go out, in one member after the other."""
    out = forgotten(ground, ensemble, ensemble.time_s)
    ensemble.x[out, at.FIRE_ON] = 0.0
    if out.all():
        ensemble.fire_word_s = None


def drift(ground: Ground, ensemble: Ensemble, steps: int) -> None:
    """Let what differs between members wander for a while: each forgets at its own pace."""
    if steps == 0:
        return
    spreads, traits, time_s = ground.spreads, ensemble.traits, steps * STEP_S
    source = dice(ground.seed, "drift", ensemble.step, steps)
    for which, sd, memory_s in (
        (SAP_BRIX, spreads.sap_brix, spreads.sap_brix_memory_s),
        (PERMEABILITY_LOG, spreads.permeability_log, spreads.permeability_memory_s),
        (FOULING_LOG, spreads.fouling_log, spreads.fouling_memory_s),
        (BOIL_LOG, spreads.boil_log, spreads.boil_memory_s),
    ):
        kept = math.exp(-time_s / memory_s)
        fresh = source.standard_normal(ensemble.members)
        traits[:, which] = kept * traits[:, which] + sd * math.sqrt(1.0 - kept**2) * fresh
    if ensemble.sensors:
        kept = math.exp(-time_s / spreads.offset_memory_s)
        fresh = source.standard_normal(ensemble.offsets.shape)
        ensemble.offsets = kept * ensemble.offsets + math.sqrt(1.0 - kept**2) * fresh


def make_leg(ground: Ground, ensemble: Ensemble, steps: int) -> Leg:
    """Lay out what drives the members for some steps; brings their trees on to the last hour."""
    begin_h = ensemble.step // HOUR_STEPS
    end_h = -(-(ensemble.step + max(steps, 1)) // HOUR_STEPS)
    air_c = ground.air.hours(begin_h, end_h)
    sap_kg_s = sap_of(ground, ensemble, begin_h, end_h, (ensemble.step + steps) // HOUR_STEPS)
    if steps:
        _book_come(ensemble, sap_kg_s, begin_h, steps, float(ground.plant.p[at.WATER_M3_KG]))
    calendar = np.zeros((steps, at.CALENDAR_WIDTH))
    # What is told to run is in order, and there is time for it.
    calendar[:, (at.STAY_S, at.MEMBRANE_OK_S, at.PUMP_OK_S, at.PAN_OK_S)] = np.inf
    calendar[:, at.HOUR] = (ensemble.step + np.arange(steps)) // HOUR_STEPS - begin_h
    return Leg(
        ensemble.step, member_parameters(ground, ensemble), _plans(ensemble), calendar, air_c,
        sap_kg_s,
    )  # fmt: skip


def member_parameters(ground: Ground, ensemble: Ensemble) -> Floats:
    """Parameters of each member: its own boil rate and membrane, and nothing stops by a rule."""
    p = own_parameters(ground, ensemble)
    p[:, at.UNATTENDED] = 1.0
    p[:, at.MEMBRANE_OUTDOORS] = 0.0
    p[:, at.NOT_WITH_FIRE] = 0.0
    p[:, at.MAY_PASS_AGAIN] = 0.0
    p[:, at.LEAST_FLOW_M3_S] = _LEAST_FLOW_M3_S
    p[:, at.MOST_FLOW_M3_S] = _MOST_FLOW_M3_S
    return p


def own_parameters(ground: Ground, ensemble: Ensemble) -> Floats:
    """Parameters of each member, the house's rules as they are."""
    traits = ensemble.traits
    p = np.tile(ground.plant.p, (ensemble.members, 1))
    boil = np.exp(traits[:, BOIL_LOG])
    p[:, at.FULL_HEAT_W] *= boil
    p[:, at.FUEL_M3_S] *= boil
    p[:, at.CONDITION_LASTING] *= np.exp(traits[:, PERMEABILITY_LOG])
    p[:, at.LOSS_PER_S] *= np.exp(traits[:, FOULING_LOG])
    p[:, at.GROWTH_SLOPE] *= np.exp(0.5 * traits[:, GROWTH_LOG])  # the rate is its square
    return p


def _plans(ensemble: Ensemble) -> Floats:
    """A plan that changes nothing: what runs goes on, nothing starts (nobody is there)."""
    plans = np.zeros((ensemble.members, 1, at.PLAN_WIDTH))
    plans[:, 0, at.MEMBRANE_START] = plans[:, 0, at.WASH_AT] = -1.0
    flow_m3_s = ensemble.flow_m3_s * np.exp(ensemble.traits[:, VALVE_LOG])
    plans[:, 0, at.NIGHT_FLOW_M3_S] = flow_m3_s
    plans[:, 0, at.FIRE_STOP] = _ALWAYS_MIN
    return plans


def _march(ground: Ground, ensemble: Ensemble, leg: Leg, i: int, first: int, last: int) -> None:
    """Run one member from a step of the leg to another."""
    if last <= first:
        return
    plant, x = ground.plant, ensemble.x
    if x[i, at.FIRE_ON] > 0.0:  # a fire that is told has wood, whatever the pile was taken to be
        burnt_m3 = leg.p[i, at.FUEL_M3_S] * STEP_S * (last - first)
        x[i, at.WOOD_M3] = max(x[i, at.WOOD_M3], 1.1 * burnt_m3)
    totals = start_totals()
    calendar = leg.calendar[first:last]
    run_one(plant, leg.p[i], calendar, leg.air_c[i], leg.sap_kg_s[i], leg.plans[i], x[i], totals)
    ensemble.drawn_kg[i, 0] += totals[at.SYRUP_WATER_KG]
    ensemble.drawn_kg[i, 1] += totals[at.SYRUP_SUGAR_KG]


def run_one(
    plant: Plant,
    p: Floats,
    calendar: Floats,
    air_c: Floats,
    sap_kg_s: Floats,
    plan: Floats,
    x: Floats,
    totals: Floats,
) -> None:
    """Run one member, which has parameters of its own.

    Parameters
    ----------
    plant : the house
    p : the member's parameters
    calendar : of the steps to run
    air_c, sap_kg_s : (hours,) and (hours, gathering points, 2), the member's weather
    plan : (days, ``PLAN_WIDTH``)
    x, totals : state and totals; **changed in place**
    """
    compiled_run_block()(
        p, plant.points, plant.map_coefficients, calendar, air_c[np.newaxis], sap_kg_s[np.newaxis],
        plan[np.newaxis], THE_ONLY_RUN, x[np.newaxis], totals[np.newaxis], NO_TRACES,
        each_by_itself(1), 0, len(calendar), 0, 1,
    )  # fmt: skip


# --- trees ---------------------------------------------------------------------------------------


def _book_come(
    ensemble: Ensemble, sap_kg_s: Floats, begin_h: int, steps: int, water_m3_kg: float
) -> None:
    """Add up the sap of each point over the leg."""
    hours = (ensemble.step + np.arange(steps)) // HOUR_STEPS - begin_h
    weights_s = np.bincount(hours, minlength=sap_kg_s.shape[1]) * float(STEP_S)
    mass_kg = np.einsum("ihgc,h->ig", sap_kg_s, weights_s)
    ensemble.come_m3 += mass_kg * water_m3_kg


__all__ = [
    "advance",
    "drift",
    "forgotten",
    "make_leg",
    "member_parameters",
    "own_parameters",
    "run_one",
    "step_of",
]
