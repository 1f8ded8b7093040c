"""How a sensible neighbour works without a plan: the same every day, but no sap is left to spoil.

Every morning there is a look (and a smell) into the tanks: sap or concentrate that has used a good
part of its life is worked up whatever there is of it; and who may leave the membrane running alone
does so: it stops itself. Nothing else changes from day to day: no forecast is read.
"""

from __future__ import annotations

import numpy as np

from sugarwright.planning.choices import habit_rows
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import Floats, life_used

OLD = 0.4  # of the life of sap used: it would not see another two mild days


def habit_of_today(plant: Plant, state: Floats, overnight: bool, days: int) -> Floats:
    """Rows of the neighbour's day, (days, ``PLAN_WIDTH``).

    Parameters
    ----------
    plant : the house
    state : as it stands in the morning
    overnight : the membrane is left on when everybody goes
    days : how many rows are wanted
    """
    p = plant.p
    rows = habit_rows(plant, days)
    waiting = [at.SAP, at.STOCK] if p[at.HAS_MEMBRANE] > 0.0 else [at.SAP]
    waiting += [at.GATHERED + g * at.POINT_WIDTH for g in range(len(plant.points))]
    if any(_is_old(p, state, tank) for tank in waiting):
        rows[:, [at.MEMBRANE_SAP_M3, at.FIRE_STOCK_M3]] = 0.0  # the kernel's own least applies
    if overnight:
        rows[:, at.NIGHT_FLOW_M3_S] = rows[:, at.MEMBRANE_FLOW_M3_S]
    return rows


def _is_old(p: Floats, state: Floats, tank: int) -> bool:
    held = state[tank + at.WATER] > 1.0
    return bool(held and life_used(p, float(np.maximum(1.0, state[tank + at.CELLS]))) > OLD)
