"""What to expect of a plan: ranges by day, what may happen and when, and what it is worth."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.planning.report import Money, Range, Watch, Way
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Results, run_many
from sugarwright.plant.state import start_totals
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


def day_cuts(drive: Drive) -> list[int]:
    """Steps at which the local days of a run begin, and its end."""
    days = drive.calendar[:, at.DAY]
    return [0, *(np.flatnonzero(np.diff(days)) + 1).tolist(), drive.steps]


def totals_by_day(plant: Plant, drive: Drive, plan: Floats, state: Floats) -> list[Floats]:
    """Totals within each local day, (scenarios, ``TOTALS_SIZE``) each: runs cut at midnights."""
    ends = []
    for cut in day_cuts(drive)[1:]:
        ends.append(run_many(plant, drive, plan[np.newaxis], state, last=cut).totals[0])
    before = [start_totals()[np.newaxis], *ends[:-1]]
    return [end - start for start, end in zip(before, ends, strict=True)]


def watches(drive: Drive, results: Results, plan: int = 0) -> tuple[Watch, ...]:
    """What may happen under a plan, in how many of the weathers, and when."""
    found = []
    for what, place in (
        ("sap tank full", at.SAP_FULL_AT_S),
        ("stock tank full", at.STOCK_FULL_AT_S),
        ("sap spoils", at.SPOILED_AT_S),
    ):
        times = results.totals[plan, :, place]
        happened = times[times >= 0.0]
        probability = len(happened) / len(times)
        if probability < WORTH_A_LOOK:
            continue
        early, middle = np.quantile(happened, (0.1, 0.5))
        found.append(
            Watch(what, probability, drive.begin_s + int(middle), drive.begin_s + int(early))
        )
    return tuple(found)


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
