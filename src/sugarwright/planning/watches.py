"""What may happen under a plan, how likely, and when: tanks that fill, sap that spoils."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np

from sugarwright.planning.report import Watch
from sugarwright.planning.yard import Yard
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.decisions import FROST_C
from sugarwright.plant.hands import BRIM_FRACTION
from sugarwright.plant.simulate import Drive, Results, simulate
from sugarwright.plant.tank_kernel import CLOSE_M3, Floats, mixed_m3

WORTH_A_LOOK = 0.05  # rarer than in one weather of twenty is not reported
FULL_FRACTION = 0.995  # of a rim: nobody reads a tank closer


def watches(plant: Plant, drive: Drive, results: Results, plan: int = 0) -> tuple[Watch, ...]:
    """What may happen under a plan, in how many of the weathers, and when."""
    totals = results.totals[plan]
    found = [
        watch_of(drive, what, totals[:, place])
        for what, place in (
            ("sap tank full", at.SAP_FULL_AT_S),
            ("stock tank full", at.STOCK_FULL_AT_S),
        )
    ]
    found.append(_spoils(plant, drive, totals))
    return tuple(each for each in found if each is not None)


def _spoils(plant: Plant, drive: Drive, totals: Floats) -> Watch | None:
    """How likely sap or concentrate spoils, when, and how much of it is then dumped."""
    watch = watch_of(drive, "sap spoils", totals[:, at.SPOILED_AT_S])
    if watch is None:
        return None
    turned = totals[totals[:, at.SPOILED_AT_S] >= 0.0]
    dumped = mixed_m3(plant.p, turned[:, at.DUMPED_WATER_KG], turned[:, at.DUMPED_SUGAR_KG])
    return replace(watch, lost_m3=float(np.median(dumped)))


def standing_unrinsed(plant: Plant, drive: Drive, plan: Floats, state: Floats) -> Watch | None:
    """How likely, and when, the membrane stops with nobody there to rinse it."""
    if plant.p[at.HAS_MEMBRANE] <= 0.0 or plant.p[at.UNATTENDED] <= 0.0:
        return None
    alone = drive.calendar[1:, at.PEOPLE] <= 0.0
    times = np.full(drive.scenarios, -1.0)
    for w in range(drive.scenarios):
        on = simulate(plant, drive, plan, state, scenario=w).column(at.T_MEMBRANE_ON) > 0.0
        stops = np.flatnonzero(on[:-1] & ~on[1:] & alone)
        if len(stops):
            times[w] = (stops[0] + 1) * plant.step_s
    return watch_of(drive, "membrane stops alone", times)


def gathering_full(plant: Plant, yard: Yard | None) -> tuple[Watch, ...]:
    """Which gathering tanks may get full, in how many of the weathers, when, why, at what loss.

    Parameters
    ----------
    plant : the house
    yard : what stands outside under the plan, in the weathers; None where nothing does
    """
    if yard is None:
        return ()
    own = np.flatnonzero(plant.points[:, at.OWN_TANK] > 0.0)
    found = (_point_full(plant, yard, int(point)) for point in own)
    return tuple(each for each in found if each is not None)


def _point_full(plant: Plant, yard: Yard, point: int) -> Watch | None:
    rim_m3 = plant.points[point, at.POINT_CAPACITY_M3]
    held_m3 = yard.held_m3[:, :, point]
    full = (held_m3[:, 1:] >= rim_m3 - CLOSE_M3) & ~yard.emptying[:, :, point]
    times = np.where(full.any(axis=1), (np.argmax(full, axis=1) + 1) * plant.step_s, -1.0)
    watch = watch_of(yard.drive, "gathering tank full", times)
    if watch is None:
        return None
    if held_m3[:, 0].min() >= FULL_FRACTION * rim_m3:
        again = again_s(np.where(full, rim_m3, held_m3[:, 1:]), rim_m3, plant.step_s)
        filled = watch_of(yard.drive, "gathering tank full", again)
        if filled is not None:
            times, watch = again, replace(filled, again=True)
    steps = np.rint(times / plant.step_s).astype(np.int64) - 1
    weathers = np.flatnonzero(times >= 0.0).tolist()
    lost_m3 = np.median([yard.spilled_m3(w, point).sum() for w in weathers])
    whys = Counter(_why_full(plant, yard, point, w, int(steps[w])) for w in weathers)
    name, why = plant.house.gathering[point].name, whys.most_common(1)[0][0]
    return replace(watch, point=name, lost_m3=float(lost_m3), why=why)


def _why_full(plant: Plant, yard: Yard, point: int, weather: int, step: int) -> str:
    """What keeps a full gathering tank from being emptied; empty where hands are at the fire."""
    row = yard.drive.calendar[step]
    if plant.points[point, at.BY_HAND] > 0.0:
        return "" if row[at.PEOPLE] > 0.0 else "nobody there"
    if row[at.PUMP_OK_S] <= 0.0:
        return "pump out of order"
    air_c = yard.drive.air_c[weather, int(row[at.HOUR])]
    return "frost" if air_c <= FROST_C else "sap tank full"


def again_s(held_m3: Floats, rim_m3: float, step_s: float) -> Floats:
    """When tanks that begin full are full again after they were emptied, s; -1: never.

    Parameters
    ----------
    held_m3 : (weathers, steps), what each holds at the end of each step
    rim_m3 : its capacity
    step_s : of each step
    """
    emptied = np.logical_or.accumulate(held_m3 < BRIM_FRACTION * rim_m3, axis=1)
    full = emptied & (held_m3 >= FULL_FRACTION * rim_m3)
    times: Floats = np.where(full.any(axis=1), (np.argmax(full, axis=1) + 1) * step_s, -1.0)
    return times


def watch_of(
    drive: Drive, what: str, times: Floats, least_fraction: float = WORTH_A_LOOK
) -> Watch | None:
    """Sum up when something happens.

    Parameters
    ----------
    drive : the weathers
    what : happens
    times : in each weather, s after the beginning; -1 where it does not
    least_fraction : of the weathers in which it must happen to be told; at 0 one is enough
    """
    happened = times[times >= 0.0]
    probability = len(happened) / len(times)
    if not len(happened) or probability < least_fraction:
        return None
    early, middle = np.quantile(happened, (0.1, 0.5))
    return Watch(what, probability, drive.begin_s + int(middle), drive.begin_s + int(early))
