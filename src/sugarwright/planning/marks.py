"""How full a tank is expected to be at the next hour at which somebody is at it.

Whoever finds it fuller or emptier than nine weathers of ten bring has another day before them than
the plan has, and plans again.
"""

from __future__ import annotations

from collections.abc import Sequence

from sugarwright.planning.action import Action
from sugarwright.planning.outlook import spread
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Mark
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import mixed_m3
from sugarwright.weather.hours import HOUR_S


def mark_of(planned: Planned, actions: Sequence[Action], now_s: int) -> Mark | None:
    """Return how full a tank is at the next thing to do, an hour or more ahead.

    Parameters
    ----------
    planned : the plan
    actions : of the day that it tells of, in order of time
    now_s : UTC s at which it begins

    Returns
    -------
    The level just before that is done, over the weathers; None where nothing is to be done so late.
    """
    drive, plant = planned.weathers.checked, planned.plant
    for action in actions:
        step = int((action.time_s - drive.begin_s) // plant.step_s)
        ahead = action.time_s - now_s >= HOUR_S and 0 < step < drive.steps
        if not ahead or drive.calendar[step, at.PEOPLE] <= 0.0:
            continue
        of_stock = action.trigger is not None and action.trigger.tank == "stock"
        tank = at.STOCK if of_stock else at.SAP
        states = planned.checked.at_step(step).states[0]
        water, sugar = (states[:, tank + part] for part in (at.WATER, at.SUGAR))
        held_m3 = spread(mixed_m3(plant.p, water, sugar))
        return Mark("stock" if of_stock else "sap", action.time_s, held_m3)
    return None
