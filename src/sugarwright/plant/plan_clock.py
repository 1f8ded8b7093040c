"""What the rows of a plan say at a minute: hours that begin, go on past midnight, and end.

A plan has one row a day from local day number ``plan_day`` on. Clock times are minutes after local
midnight; a span that stops before it starts goes on past midnight, and -1 is no hour at all.
"""

from __future__ import annotations

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats

DAY_MIN = 1440.0


def row_of(plan: Floats, plan_day: int, day_number: float) -> int:
    """The plan's row of a local day; the first and the last stand for the days beyond."""
    return min(max(int(day_number) - plan_day, 0), plan.shape[0] - 1)


def still_counting(rows: Floats) -> Floats:
    """What of a day's row still counts after midnight: settings, and hours that go on past it.

    Parameters
    ----------
    rows : (rows, ``PLAN_WIDTH``)

    Returns
    -------
    (rows, 6); rows that are alike in it make no difference to the day after.
    """
    spans = rows[:, [[at.MEMBRANE_START, at.MEMBRANE_STOP], [at.FIRE_START, at.FIRE_STOP]]]
    goes_on = spans[..., 1] < spans[..., 0]
    spans = np.where(goes_on[..., np.newaxis], spans, -1.0).reshape(len(rows), -1)
    settings = rows[:, [at.MEMBRANE_FLOW_M3_S, at.NIGHT_FLOW_M3_S]]
    return np.concatenate([settings, spans], axis=1)


def begins_min(today: Floats, start: int, called: bool) -> float:
    """Minute at which a day's span begins: the plan's hour, or any once a full tank called."""
    return 0.0 if called else today[start]


def until_stop_min(begins_min: float, ends_min: float, now_min: float) -> float:
    """Minutes left of a day's span; 0 outside. One that stops before it starts passes midnight."""
    if begins_min < 0.0 or now_min < begins_min:
        return 0.0
    return max(0.0, (ends_min if ends_min >= begins_min else ends_min + DAY_MIN) - now_min)


def left_min(
    plan: Floats, plan_day: int, row: Floats, start: int, stop: int, called_day_number: float
) -> float:
    """Minutes left of today's span, or of yesterday's that went on past midnight; else 0."""
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    begins = begins_min(today, start, called_day_number == row[at.DAY])
    of_today_min = until_stop_min(begins, today[stop], row[at.MINUTE])
    if row[at.DAY] <= plan_day:  # what was planned the day before is not known
        return of_today_min
    before = plan[row_of(plan, plan_day, row[at.DAY] - 1.0)]
    return max(of_today_min, until_stop_min(before[start], before[stop], row[at.MINUTE] + DAY_MIN))


def night_flow_m3_s(plan: Floats, plan_day: int, row: Floats) -> float:
    """Night setting; before today's start it is still yesterday's.

    Parameters
    ----------
    plan, plan_day : rows, and the local day number of the first
    row : of the calendar

    Returns
    -------
    Concentrate setting, m³/s; 0 where the membrane does not run alone.
    """
    start = plan[row_of(plan, plan_day, row[at.DAY]), at.MEMBRANE_START]
    until = start if start >= 0.0 else 0.5 * DAY_MIN
    of_day = row[at.DAY] - 1.0 if row[at.MINUTE] < until else row[at.DAY]
    return plan[row_of(plan, plan_day, of_day), at.NIGHT_FLOW_M3_S]
