"""A moment as it is typed: a date and a clock time, or a clock time of today."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError, QuantityError
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
    InputError : the text is no time
    """
    zone = ZoneInfo(timezone)
    try:
        of_day_min = parse_clock(text.strip(), option)
    except QuantityError:
        return _with_date_s(option, text, zone)
    today = datetime.fromtimestamp(today_s, zone)
    hour, minute = divmod(of_day_min, 60)
    moment = today.replace(hour=hour, minute=minute, second=0, microsecond=0, fold=0)
    return int(moment.timestamp())


def _with_date_s(option: str, text: str, zone: ZoneInfo) -> int:
    try:
        moment = datetime.fromisoformat(text.strip())
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=zone)
        return int(moment.timestamp())
    except (ValueError, OverflowError):
        raise InputError(option, text, "is no time", ALLOWED) from None
