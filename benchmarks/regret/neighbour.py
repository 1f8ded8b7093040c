"""How a sensible neighbour works without a plan: the same every day, but no sap is left to spoil.

Every morning there is a look (and a smell) into the tanks: on a day with sap or concentrate that
has used a good part of its life, the machine is started for what there is and the fire lit for half
of what it usually waits for; and who may leave the membrane running alone does so: it stops itself.
Nothing else changes from day to day: no forecast is read.
"""

from __future__ import annotations

import numpy as np

from sugarwright.planning.choices import habit_rows
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import Floats, life_used, volume_m3

OLD = 0.4  # of the life of sap used: it would not see another two mild days
LEAST_PART = 0.3  # of the usual gauge: for less nobody starts the machine


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
        there_m3 = max(0.8 * volume_m3(p, state, at.SAP), LEAST_PART * rows[0, at.MEMBRANE_SAP_M3])
        rows[:, at.MEMBRANE_SAP_M3] = np.minimum(rows[:, at.MEMBRANE_SAP_M3], there_m3)
        rows[:, at.FIRE_STOCK_M3] *= 0.5
    if overnight:
        rows[:, at.NIGHT_FLOW_M3_S] = rows[:, at.MEMBRANE_FLOW_M3_S]
    return rows


def _is_old(p: Floats, state: Floats, tank: int) -> bool:
    held = state[tank + at.WATER] > 1.0
    return bool(held and life_used(p, float(np.maximum(1.0, state[tank + at.CELLS]))) > OLD)
