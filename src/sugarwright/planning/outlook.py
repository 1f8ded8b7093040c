"""What to expect of a plan: ranges, and what a way of working comes to."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.planning.report import Money, Range, Way
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Results
from sugarwright.plant.tank_kernel import Floats, mixed_m3
from sugarwright.plant.worth import worth_lines

LEAST_MANY = 10  # weathers: of fewer, one or two are no few


def spread(values: Floats) -> Range:
    """Median, and the ends of the middle four fifths."""
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Range(float(low), float(middle), float(high))


def few_that_make(values: Floats) -> int | None:
    """Return how many weathers, one or two, make more than half of a sum or mean over many.

    Parameters
    ----------
    values : in each weather; what some take off again is no part of it

    Returns
    -------
    1 or 2; None where it is spread over more, or comes to nothing.
    """
    ends = np.sort(values if values.sum() >= 0.0 else -values)[::-1].clip(0.0)
    half = 0.5 * ends.sum()
    if len(ends) < LEAST_MANY or half <= 0.0:
        return None
    return next((few for few in (1, 2) if ends[:few].sum() > half), None)


def syrup_m3(plant: Plant, totals: Floats) -> Floats:
    """Volume of the syrup drawn, at 20 °C."""
    kg = totals[..., at.SYRUP_WATER_KG] + totals[..., at.SYRUP_SUGAR_KG]
    volume: Floats = kg / density_kg_m3(plant.house.pan.finish_brix, 20.0)
    return volume


def lost_m3(plant: Plant, totals: Floats) -> Floats:
    """Sap and concentrate that ran over or were dumped, as the volume that they had."""
    water = totals[..., at.SPILLED_WATER_KG] + totals[..., at.DUMPED_WATER_KG]
    sugar = totals[..., at.SPILLED_SUGAR_KG] + totals[..., at.DUMPED_SUGAR_KG]
    return mixed_m3(plant.p, water, sugar)


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
