"""What the rows of a plan say at a minute: hours that begin, go on past midnight, and end.

A plan has one row a day from local day number ``plan_day`` on. Clock times are minutes after local
midnight; a span that stops before it starts goes on past midnight, and -1 is no hour at all.
"""

from __future__ import annotations

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.asked import reached, read, turns
from sugarwright.plant.tank_kernel import Floats

DAY_MIN = 1440.0
NO_HOUR = -0.5  # an entry below it is none
SPANS = [[at.MEMBRANE_START, at.MEMBRANE_STOP], [at.FIRE_START, at.FIRE_STOP]]


def row_of(plan: Floats, plan_day: int, day_number: float) -> int:
    """The plan's row of a local day; the first and the last stand for the days beyond."""
    return min(max(int(day_number) - plan_day, 0), plan.shape[0] - 1)


def goes_past_midnight(rows: Floats) -> Floats:
    """Tell which of a day's spans, membrane and fire, stop before they start.

    Parameters
    ----------
    rows : (rows, ``PLAN_WIDTH``)

    Returns
    -------
    (rows, 2) of 0 and 1
    """
    spans = rows[:, SPANS]
    past: Floats = (spans[..., 1] < spans[..., 0]).astype(np.float64)
    return past


def still_counting(rows: Floats) -> Floats:
    """What of a day's row still counts after midnight: settings, and hours that go on past it.

    Parameters
    ----------
    rows : (rows, ``PLAN_WIDTH``)

    Returns
    -------
    (rows, 6); rows that are alike in it make no difference to the day after.
    """
    spans = np.where(goes_past_midnight(rows)[..., np.newaxis] > 0.0, rows[:, SPANS], -1.0)
    spans = spans.reshape(len(rows), -1)
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


# --- the same asked by a run, which notes what of today's row has counted ------------------------


def is_on(
    asked: Floats,
    plan: Floats,
    plan_day: int,
    row: Floats,
    start: int,
    stop: int,
    called_day_number: float,
    least_s: float,
) -> bool:
    """Tell whether a span of the plan is on, today's or yesterday's past midnight; noted.

    Parameters
    ----------
    asked : notes on today's row, **changed in place**
    plan, plan_day, row, start, stop, called_day_number : as for :func:`left_min`
    least_s : how much of it must be left; 0: anything
    """
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    if row[at.DAY] > plan_day:
        before = plan[row_of(plan, plan_day, row[at.DAY] - 1.0)]
        left = until_stop_min(before[start], before[stop], row[at.MINUTE] + DAY_MIN)
        if _is_left(left, least_s):
            return True
    called = called_day_number == row[at.DAY]
    return is_on_today(asked, today, start, stop, called, row[at.MINUTE], least_s)


def is_on_today(
    asked: Floats,
    today: Floats,
    start: int,
    stop: int,
    called: bool,
    now_min: float,
    least_s: float,
) -> bool:
    """Tell whether a span of today's row is on; noted.

    That no row compared with this one differs in whether its spans go on past midnight is taken
    for granted.
    """
    begins = begins_min(today, start, called)
    on = _is_left(until_stop_min(begins, today[stop], now_min), least_s)
    if called:
        turns(asked, today, stop, 0.0)  # before it, a stop is tomorrow's
    elif reached(asked, today, start, NO_HOUR) or not reached(asked, today, start, now_min):
        return on
    passed_min = DAY_MIN if today[stop] < begins else 0.0
    turns(asked, today, stop, now_min + least_s / 60.0 - passed_min)
    return on


def _is_left(left_min: float, least_s: float) -> bool:
    return left_min > 0.0 and left_min * 60.0 >= least_s


def night_setting_m3_s(asked: Floats, plan: Floats, plan_day: int, row: Floats) -> float:
    """Return the :func:`night_flow_m3_s`; noted."""
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    before = plan[row_of(plan, plan_day, row[at.DAY] - 1.0)]
    night_m3_s = night_flow_m3_s(plan, plan_day, row)
    if before[at.NIGHT_FLOW_M3_S] == read(asked, today, at.NIGHT_FLOW_M3_S):
        return night_m3_s
    if not reached(asked, today, at.MEMBRANE_START, NO_HOUR):
        reached(asked, today, at.MEMBRANE_START, row[at.MINUTE])
    return night_m3_s


def setting_m3_s(asked: Floats, plan: Floats, plan_day: int, row: Floats, begun: bool) -> float:
    """Return the day setting: today's once its span has begun, else yesterday's; noted."""
    today = plan[row_of(plan, plan_day, row[at.DAY])]
    before = plan[row_of(plan, plan_day, row[at.DAY] - 1.0)]
    if begun or row[at.DAY] <= plan_day:
        return read(asked, today, at.MEMBRANE_FLOW_M3_S)
    return before[at.MEMBRANE_FLOW_M3_S]
