"""Why a day asks for nothing: nobody there, no sap, no wood, or a fire that costs too much."""

from __future__ import annotations

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.broken import least_wood_m3
from sugarwright.planning.course import net_money
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Idle
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.decisions import HEEL_FRACTION
from sugarwright.plant.simulate import Results
from sugarwright.plant.tank_kernel import Floats, mixed_m3, volume_m3


def idle_of(planned: Planned, day: int) -> Idle:
    """Tell why the plan asks for nothing on a day.

    Parameters
    ----------
    planned : the plan
    day : of the plan, counted from 0
    """
    plant, course = planned.plant, planned.checked
    before = planned.state[np.newaxis] if day == 0 else course.ends[day - 1].states[0]
    held_m3 = float(np.mean([_held_m3(plant, x) for x in before]))
    totals = course.totals_by_day()[day]
    come_m3 = mixed_m3(plant.p, totals[:, at.SAP_WATER_KG], totals[:, at.SAP_SUGAR_KG])
    coming_m3 = float(np.median(come_m3))
    best = _best_fire(planned, day)
    return Idle(
        _why(planned, day, held_m3 + coming_m3, before, best),
        held_m3,
        coming_m3,
        None if best is None else best[0],
        None if best is None else best[1],
        _next_look_s(planned, day),
    )


def _why(
    planned: Planned, day: int, sap_m3: float, before: Floats, best: tuple[float, int] | None
) -> str:
    begin, end = planned.checked.cuts[day], planned.checked.cuts[day + 1]
    if not planned.weathers.forecast.calendar[begin:end, at.PEOPLE].any():
        return "nobody there"
    if sap_m3 <= HEEL_FRACTION * planned.plant.p[at.SAP_CAPACITY_M3]:
        return "no sap"
    if float(np.median(before[:, at.WOOD_M3])) < least_wood_m3(planned.plant.p):
        return "no wood"
    return "too little" if best is None else "costs more"


def _held_m3(plant: Plant, x: Floats) -> float:
    """What waits for the pan, m³: in sap and stock tank, and in those of gathering."""
    points = (at.GATHERED + g * at.POINT_WIDTH for g in range(len(plant.points)))
    return float(sum(volume_m3(plant.p, x, tank) for tank in (at.SAP, at.STOCK, *points)))


def _best_fire(planned: Planned, day: int) -> tuple[float, int] | None:
    """What the best fire of a day would change in the mean, and when it would be lit."""
    lights = planned.menu.lights[day][1:]
    if not len(lights):
        return None
    plans = _with_fires(planned, day, lights)
    lights = np.tile(lights, len(plans) // len(lights))
    course = planned.checked
    results = course.on_from(day, plans)
    gains = (net_money(planned.plant, results) - net_money(planned.plant, course.ends[-1])).mean(
        axis=1
    )
    lit = _is_lit_more(results, course.ends[-1])
    if not lit.any():
        return None
    k = int(np.argmax(np.where(lit, gains, -np.inf)))
    drive, begin = planned.weathers.forecast, course.cuts[day]
    minutes = drive.calendar[begin : course.cuts[day + 1], at.MINUTE]
    step = begin + int(np.argmax(minutes >= lights[k]))
    return float(gains[k]), int(drive.begin_s + step * planned.plant.step_s)


def _with_fires(planned: Planned, day: int, lights: Floats) -> Floats:
    """The plan with a fire at each of some times; and with the membrane on early for it as well."""
    plans: Floats = np.repeat(planned.plan[np.newaxis], len(lights), axis=0)
    plans[:, day, at.FIRE_START] = lights
    plans[:, day, at.FIRE_STOP] = of.END_OF_DAY
    plans[:, day, at.FIRE_STOCK_M3] = planned.menu.stock_gauges_m3[0]
    starts = planned.menu.starts[day][1:]
    if not planned.menu.membrane or not len(starts):
        return plans
    early = plans.copy()
    early[:, day, at.MEMBRANE_START] = starts[0]
    early[:, day, at.MEMBRANE_STOP] = of.END_OF_DAY
    early[:, day, at.MEMBRANE_SAP_M3] = planned.menu.sap_gauges_m3[0]
    early[:, day, at.MEMBRANE_FLOW_M3_S] = planned.habit[day, at.MEMBRANE_FLOW_M3_S]
    return np.concatenate([plans, early])


def _is_lit_more(results: Results, base: Results) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether a plan's fire is lit in half of the weathers or more, beside the base's."""
    more: np.ndarray[tuple[int], np.dtype[np.bool_]] = (
        np.median(results.totals[..., at.FIRE_S] - base.totals[..., at.FIRE_S], axis=1) > 0.0
    )
    return more


def _next_look_s(planned: Planned, day: int) -> int | None:
    """UTC s at which somebody is there next, after a day."""
    drive, end = planned.weathers.forecast, planned.checked.cuts[day + 1]
    there = np.flatnonzero(drive.calendar[end:, at.PEOPLE] > 0.0)
    if not len(there):
        return None
    return int(drive.begin_s + (end + int(there[0])) * planned.plant.step_s)
