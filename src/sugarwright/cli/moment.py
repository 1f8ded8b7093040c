"""A moment as it is typed: a date and a clock time, or a clock time of today."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError, QuantityError
from sugarwright.logbook.clock import instant_s, stamp
from sugarwright.units import parse_clock

ALLOWED = "hour:minute, or year-month-day hour:minute, as in 05:10 or 2026-03-19 05:10"


def read_moment_s(option: str, text: str, timezone: str, today_s: float) -> int:
    """Return the UTC s of a moment.

    Parameters
    ----------
    option : its name, for the message
    text : as typed: "2026-03-19 05:10", or "05:10" alone for that time of today
    timezone : of the house: whose clock is meant, unless the text states an offset itself
    today_s : any moment of the day that a clock time alone belongs to, UTC s

    Raises
    ------
    InputError : the text is no time, or one that the clocks skip or show twice that day
    """
    zone = ZoneInfo(timezone)
    try:
        of_day_min = parse_clock(text.strip(), option)
    except QuantityError:
        return _with_date_s(option, text, zone)
    today = datetime.fromtimestamp(today_s, zone)
    hour, minute = divmod(of_day_min, 60)
    moment = datetime(today.year, today.month, today.day, hour, minute)
    return _on_the_wall_s(option, text, moment, zone)


def _with_date_s(option: str, text: str, zone: ZoneInfo) -> int:
    try:
        moment = datetime.fromisoformat(text.strip())
        if moment.tzinfo is None:
            return _on_the_wall_s(option, text, moment, zone)
        return int(moment.timestamp())
    except (ValueError, OverflowError):
        raise InputError(option, text, "is no time", ALLOWED) from None


def _on_the_wall_s(option: str, text: str, moment: datetime, zone: ZoneInfo) -> int:
    """UTC s at which the clocks of the house show a time; as the log, in the log's words."""
    try:
        return instant_s(moment, zone, text.strip())
    except InputError as problem:
        early, late = (moment.replace(tzinfo=zone, fold=fold).timestamp() for fold in (0, 1))
        if late > early:  # shown twice: here an offset says which, not a zone's name
            problem.fix = f'Write "{stamp(early, zone)}" for the first, "{stamp(late, zone)}" else'
        raise problem.at(option) from None
