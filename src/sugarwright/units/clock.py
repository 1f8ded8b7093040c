"""Times of day as people write them, in minutes after midnight."""

from __future__ import annotations

import re

from sugarwright.errors import QuantityError, RangeError
from sugarwright.units.number import tidy

DAY_MIN = 1440
_WORDS = {"noon": 720, "midday": 720, "midnight": 0}
_CLOCK = re.compile(
    r"(?P<hour>[0-9]{1,2})(?:\s*(?P<mark>[:h])\s*(?P<minute>[0-9]{2})?)?\s*(?P<half>[ap]\.?m\.?)?",
    re.IGNORECASE,
)
_SPAN = re.compile(r"(?:from\s+)?(.+?)\s*(?:-|\bto\b|\buntil\b|\btill\b)\s*(.+)", re.IGNORECASE)


def parse_clock(text: str, field: str = "time") -> int:
    """Return a time of day in minutes after midnight.

    Raises QuantityError when the text is no time of day.

    >>> parse_clock("5:30pm"), parse_clock("17h30"), parse_clock("noon")
    (1050, 1050, 720)
    """
    minutes = _minutes(text)
    if minutes is None or minutes == DAY_MIN:
        raise QuantityError(
            field, text, "is no time of day", "00:00 to 23:59", "Write it like 17:00 or 5 pm"
        )
    return minutes


def parse_span(text: str, field: str = "hours") -> tuple[int, int]:
    """Return start and end of a span of the day, in minutes after midnight.

    An end before the start is meant: the span runs over midnight. An end at midnight is 1440.

    Raises QuantityError when the text is no span, or one of no length.

    >>> parse_span("6 am to 10 pm"), parse_span("22:00-06:00")
    ((360, 1320), (1320, 360))
    """
    fix = "Write it like 06:30-22:00"
    parts = _SPAN.fullmatch(tidy(text)) if isinstance(text, str) else None
    if parts is None:
        raise QuantityError(field, text, "is no span of the day", fix=fix)
    start, end = _minutes(parts[1]), _minutes(parts[2])
    if start is None or end is None or start == DAY_MIN:
        wrong = parts[1] if start is None or start == DAY_MIN else parts[2]
        raise QuantityError(field, text, f'"{wrong[:30]}" is no time of day', fix=fix)
    if parts[2].lower() == "midnight":
        end = DAY_MIN
    if start == end:
        raise QuantityError(
            field, text, "starts and ends at the same time", fix="Write 00:00-24:00 for a whole day"
        )
    return start, end


def format_clock(minutes: int) -> str:
    """Return minutes after midnight as people read them; 1440 is the day's end, "24:00".

    Raises RangeError outside one day.

    >>> format_clock(1020)
    '17:00'
    """
    if not 0 <= minutes <= DAY_MIN:
        raise RangeError("minutes", minutes, "is outside one day", f"0 to {DAY_MIN}")
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _minutes(text: object) -> int | None:
    """Minutes of "17:00", "5 pm", "17h30" or "noon" (1440 for "24:00"); None when it is none."""
    plain = tidy(text).lower() if isinstance(text, str) else ""
    if plain in _WORDS:
        return _WORDS[plain]
    match = _CLOCK.fullmatch(plain)
    # A bare "5" could be morning or evening, and "5:" is unfinished.
    if match is None or not (match["mark"] or match["half"]):
        return None
    if match["mark"] == ":" and match["minute"] is None:
        return None
    hour, minute = int(match["hour"]), int(match["minute"] or 0)
    if match["half"]:
        if not 1 <= hour <= 12 or match["mark"] == "h":
            return None
        hour = hour % 12 + (12 if match["half"].startswith("p") else 0)
    total = hour * 60 + minute
    return total if minute < 60 and total <= DAY_MIN else None
