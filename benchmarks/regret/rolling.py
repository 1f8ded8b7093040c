"""Work through a season day by day: decide in the morning, then the true weather comes.

Each day runs from one morning to the next with the rows then decided, clock times and gauges alike,
from the state that the day before has left.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import simulate
from sugarwright.plant.state import Levels, start_state, start_totals
from sugarwright.plant.tank_kernel import Floats

from .truth import Truth

Decide = Callable[[int, Floats], Floats]
"""Day of the season and the state of the morning -> rows, the first for today."""

Again = Callable[[int, int, Floats, Floats], Floats]
"""Day, hours since its morning, state and the rows so far -> rows from now on, today's first."""

LOOKS_H = (4, 7, 10, 12, 14, 16)  # hours after the morning: nine, noon, three ... nine


@dataclass(frozen=True)
class Worked:
    """A season as worked.

    Parameters
    ----------
    rows : (days, looks, 2, ``PLAN_WIDTH``), of each day and the next, as decided in its morning and
        at whatever looks there were later
    states : (days + 1, state), of each morning, and the end
    totals : (days + 1, ``TOTALS_SIZE``), likewise
    """

    rows: Floats
    states: Floats
    totals: Floats


def work(plant: Plant, truth: Truth, decide: Decide, again: Again | None = None) -> Worked:
    """Work through the season, in the plant that is really there.

    Parameters
    ----------
    plant, truth : the house and its season
    decide : in the morning
    again : later in the day, where somebody looks again
    """
    x, y = start_state(plant, Levels()), start_totals()
    states, totals, decided = [x], [y], []
    looks_h = LOOKS_H if again else ()
    cuts = [round(hour * 3600.0 / plant.step_s) for hour in (0, *looks_h, 24)]
    for day in range(truth.season.days):
        rows, drive, of_day = decide(day, x), truth.day(day), []
        for look, (first, last) in enumerate(pairwise(cuts)):
            if again and look:
                rows = again(day, looks_h[look - 1], x, rows)
            trace = simulate(plant, drive, rows, x, y, first=first, last=last)
            x, y = trace.state, trace.totals
            of_day.append(rows[[0, min(1, len(rows) - 1)]])
        states.append(x)
        totals.append(y)
        decided.append(of_day)
    return Worked(np.array(decided), np.array(states), np.array(totals))


def nothing_to_decide(plant: Plant, state: Floats, sap_kg: float) -> bool:
    """Tell whether tanks are empty and no sap is in sight: every method would rest."""
    tanks = [
        at.SAP,
        at.STOCK,
        *(at.GATHERED + g * at.POINT_WIDTH for g in range(len(plant.points))),
    ]
    return sap_kg + sum(float(state[tank + at.WATER]) for tank in tanks) < 1.0
