"""What to expect of a plan: ranges by day, what may happen and when, and what it is worth."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.planning.report import Money, Range, Watch, Way
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Results, simulate
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines

WORTH_A_LOOK = 0.05  # rarer than in one weather of twenty is not reported


def spread(values: Floats) -> Range:
    """Median, and the ends of the middle four fifths."""
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Range(float(low), float(middle), float(high))


def syrup_m3(plant: Plant, totals: Floats) -> Floats:
    """Volume of the syrup drawn, at 20 °C."""
    kg = totals[..., at.SYRUP_WATER_KG] + totals[..., at.SYRUP_SUGAR_KG]
    volume: Floats = kg / density_kg_m3(plant.house.pan.finish_brix, 20.0)
    return volume


def lost_m3(plant: Plant, totals: Floats) -> Floats:
    """Sap and concentrate that ran over or were dumped, as the volume that they had."""
    water = totals[..., at.SPILLED_WATER_KG] + totals[..., at.DUMPED_WATER_KG]
    sugar = totals[..., at.SPILLED_SUGAR_KG] + totals[..., at.DUMPED_SUGAR_KG]
    volume: Floats = water * plant.p[at.WATER_M3_KG] + sugar * plant.p[at.SUGAR_M3_KG]
    return volume


def watches(drive: Drive, results: Results, plan: int = 0) -> tuple[Watch, ...]:
    """What may happen under a plan, in how many of the weathers, and when."""
    totals = results.totals[plan]
    found = [
        _watch(drive, what, totals[:, place])
        for what, place in (
            ("sap tank full", at.SAP_FULL_AT_S),
            ("stock tank full", at.STOCK_FULL_AT_S),
            ("sap spoils", at.SPOILED_AT_S),
        )
    ]
    short = float((totals[:, at.SHORT_S] > 0.0).mean())
    if short > 0.0:  # rare or not: that is never passed over
        found.insert(0, Watch("pan short of feed", short, None, None))
    return tuple(each for each in found if each is not None)


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
    return _watch(drive, "membrane stops alone", times)


def _watch(drive: Drive, what: str, times: Floats) -> Watch | None:
    """Sum up when something happens, s after the beginning; -1 where it does not."""
    happened = times[times >= 0.0]
    probability = len(happened) / len(times)
    if probability < WORTH_A_LOOK:
        return None
    early, middle = np.quantile(happened, (0.1, 0.5))
    return Watch(what, probability, drive.begin_s + int(middle), drive.begin_s + int(early))


def way(plant: Plant, results: Results, plan: int = 0) -> Way:
    """What a way of working comes to, in the mean over the weathers."""
    totals, states = results.totals[plan], results.states[plan]
    worth = worth_lines(plant, totals, states)
    lines = {each.name: float(np.mean(getattr(worth, each.name))) for each in fields(worth)}
    mean = totals.mean(axis=0)
    return Way(
        money=Money(**lines, net=float(np.mean(worth.net))),
        syrup_m3=float(np.mean(syrup_m3(plant, totals))),
        fire_s=float(mean[at.FIRE_S]),
        work_s=float(mean[at.HANDS_S]),
        light_ups=float(mean[at.LIGHT_UPS]),
        wood_m3=float(mean[at.WOOD_BURNT_M3]),
        lost_m3=float(np.mean(lost_m3(plant, totals))),
    )
