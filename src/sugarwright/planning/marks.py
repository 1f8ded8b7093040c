"""How full a tank is expected to be at the next hour at which somebody is at it.

Whoever finds it fuller or emptier than nine weathers of ten bring has another day before them than
the plan has, and plans again.
"""

from __future__ import annotations

from collections.abc import Sequence

from sugarwright.planning.action import Action
from sugarwright.planning.beginning import Standing
from sugarwright.planning.outlook import spread
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Mark
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats, mixed_m3
from sugarwright.weather.hours import HOUR_S

DEPARTURE = 0.1  # of a rim: what is nearer to the expected is as expected


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
        held_m3 = spread(_held_m3(planned, tank, step))
        return Mark("stock" if of_stock else "sap", action.time_s, held_m3)
    return None


def held_m3(planned: Planned, mark: Mark) -> Floats:
    """Return what the tank of a plan's mark holds then, (weathers,)."""
    step = int((mark.time_s - planned.weathers.checked.begin_s) // planned.plant.step_s)
    return _held_m3(planned, at.STOCK if mark.what == "stock" else at.SAP, step)


def _held_m3(planned: Planned, tank: int, step: int) -> Floats:
    states = planned.checked.at_step(step).states[0]
    water, sugar = (states[:, tank + part] for part in (at.WATER, at.SUGAR))
    return mixed_m3(planned.plant.p, water, sugar)


def ends_m3(mark: Mark, standing: Standing) -> tuple[float | None, float | None]:
    """Return under and over which level a tank is off its course; None: there is no such level.

    Nine weathers of ten stay on the better side of each; what a gauge misreads is no departure.

    Parameters
    ----------
    mark, standing : of one report
    """
    rim_m3 = standing.stock_capacity_m3 if mark.what == "stock" else standing.sap_capacity_m3
    usual_m3, held = DEPARTURE * rim_m3, mark.held_m3
    under_m3 = min(held.low, held.middle - usual_m3)
    over_m3 = max(held.high, held.middle + usual_m3)
    return (
        under_m3 if under_m3 >= usual_m3 else None,
        over_m3 if over_m3 <= rim_m3 - usual_m3 else None,
    )
