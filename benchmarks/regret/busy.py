"""The busiest mornings of a season that is worked by habit: where plans differ most."""

from __future__ import annotations

import numpy as np

from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import Floats

from .houses import Case
from .neighbour import habit_of_today
from .rolling import nothing_to_decide, work
from .truth import HORIZON_H, Truth


def busy_mornings(
    case: Case, plant: Plant, truth: Truth, count: int, apart: int = 1, reach_h: int = HORIZON_H
) -> list[tuple[int, Floats]]:
    """Return days, and how things stand in their mornings, those with the most sap ahead first.

    Parameters
    ----------
    case, plant, truth : the house and its season
    count : how many, where there are so many with anything to decide
    apart : 1: the busiest; 3: each third of them
    reach_h : hours of the season that must follow
    """
    worked = work(plant, truth, lambda _, x: habit_of_today(plant, x, case.overnight, 2))
    last = truth.season.days - (reach_h - HORIZON_H) // 24
    ahead_kg = [3600.0 * float(truth.day(d, HORIZON_H).sap_kg_s.sum()) for d in range(last)]
    days = np.argsort(ahead_kg)[::-1][: apart * count : apart].tolist()
    return [
        (day, worked.states[day])
        for day in days
        if not nothing_to_decide(plant, worked.states[day], ahead_kg[day])
    ]
