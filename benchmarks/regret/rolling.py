"""Work through a season day by day: decide in the morning, then the true weather comes.

Each day runs from one morning to the next with the rows then decided, clock times and gauges alike,
from the state that the day before has left.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import simulate
from sugarwright.plant.state import Levels, start_state, start_totals
from sugarwright.plant.tank_kernel import Floats

from .truth import Truth

Decide = Callable[[int, Floats], Floats]
"""Day of the season and the state of the morning -> rows, the first for today."""


@dataclass(frozen=True)
class Worked:
    """A season as worked.

    Parameters
    ----------
    rows : (days, 2, ``PLAN_WIDTH``), of each day and the next, as decided in its morning
    states : (days + 1, state), of each morning, and the end
    totals : (days + 1, ``TOTALS_SIZE``), likewise
    """

    rows: Floats
    states: Floats
    totals: Floats


def work(plant: Plant, truth: Truth, decide: Decide) -> Worked:
    """Work through the season, in the plant that is really there."""
    x, y = start_state(plant, Levels()), start_totals()
    states, totals, decided = [x], [y], []
    for day in range(truth.season.days):
        rows = decide(day, x)
        trace = simulate(plant, truth.day(day), rows, x, y)
        x, y = trace.state, trace.totals
        states.append(x)
        totals.append(y)
        decided.append(rows[[0, min(1, len(rows) - 1)]])
    return Worked(np.array(decided), np.array(states), np.array(totals))


def nothing_to_decide(plant: Plant, state: Floats, sap_kg: float) -> bool:
    """Tell whether tanks are empty and no sap is in sight: every method would rest."""
    tanks = [
        at.SAP,
        at.STOCK,
        *(at.GATHERED + g * at.POINT_WIDTH for g in range(len(plant.points))),
    ]
    return sap_kg + sum(float(state[tank + at.WATER]) for tank in tanks) < 1.0
