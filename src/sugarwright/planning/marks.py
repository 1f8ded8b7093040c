"""How full a tank is expected to be as somebody is at it next, and how warm it will be.

Whoever finds it fuller or emptier, or the air warmer or colder, than nine weathers of ten bring has
another day before them than the plan has, and plans again.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sugarwright.planning.action import Action
from sugarwright.planning.beginning import Standing
from sugarwright.planning.outlook import spread
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import AirMark, Mark
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats, mixed_m3
from sugarwright.weather.hours import HOUR_S

AIR_AHEAD = 12  # hours within which the air is looked at: until the next plan
AIR_ERRS_K = 2.0  # what a household's thermometer, where it hangs, may be off: judgement, no source
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


def air_mark_of(planned: Planned, now_s: int) -> AirMark | None:
    """Return between which marks the air is expected at the warmest of the next twelve hours.

    Parameters
    ----------
    planned : the plan
    now_s : UTC s at which it begins; the hour is one or more ahead

    Returns
    -------
    None where the plan ends before.
    """
    told = planned.weathers
    first = -(-(now_s + HOUR_S - told.forecast.begin_s) // HOUR_S)
    hours_c = hourly_c(planned, told.forecast)[0, first : first + AIR_AHEAD]
    if not len(hours_c):
        return None
    hour = first + int(np.argmax(hours_c))
    air_c = spread(hourly_c(planned, told.checked)[:, hour])
    return AirMark(
        int(told.forecast.begin_s + hour * HOUR_S),
        min(air_c.low, air_c.middle - AIR_ERRS_K),
        max(air_c.high, air_c.middle + AIR_ERRS_K),
    )


def hourly_c(planned: Planned, drive: Drive) -> Floats:
    """Return the air at each hour of a plan in some of its weathers, °C; (weathers, hours)."""
    steps = np.arange(0, drive.steps, round(HOUR_S / planned.plant.step_s))
    air_c: Floats = drive.air_c[:, drive.calendar[steps, at.HOUR].astype(np.int64)]
    return air_c


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
