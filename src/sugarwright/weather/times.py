"""The instants of a table's rows, in UTC, from the many ways in which people write a time.

Nothing is guessed. ``3/5/2015`` is settled by the other rows of the file or refused; a local time
that the change to or from daylight saving skips or repeats is refused with its place.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from functools import partial
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.weather.headers import ZONE_HOURS
from sugarwright.weather.table import Row, Table

_DATE = r"(?P<a>\d{1,4})(?P<mark>[-/.])(?P<b>\d{1,2})(?P=mark)(?P<c>\d{1,4})|(?P<packed>\d{8})"
_CLOCK = (
    r"(?P<h>\d{1,2})(?::?(?P<m>\d{2})(?::?(?P<s>\d{2})(?:[.,]\d+)?)?)?\s*(?P<half>[ap]\.?m\.?)?"
)
_OFFSET = r"(?P<zone>[a-z]{1,4}|(?P<sign>[+-])(?P<oh>\d{1,2})(?::?(?P<om>\d{2}))?)"
_STAMP = re.compile(rf"(?:{_DATE})(?:(?:t|\s+){_CLOCK})?\s*{_OFFSET}?", re.I)
_ISO = (
    "2015-03-09 14:00, with the zone in the column's title (time_utc, time_est) or behind the time"
)


def read_times(table: Table, rows: list[Row], zone: str | None) -> list[int]:
    """Return the instant of every row, UTC s.

    Parameters
    ----------
    table : where the rows come from, for its columns and errors
    rows : those wanted
    zone : name of the time zone ("America/New_York") for times that state none; may be None

    Raises
    ------
    WeatherFileError : at the first row whose time cannot be read, names no zone, doesn't exist or
        happens twice
    InputError : if ``zone`` is no time zone
    """
    home = None if zone is None else _zone(zone)
    texts = [_stamp_text(table, row) for row in rows]
    day_first = _day_first(table, rows, texts)
    last = table.columns.time[-1]
    stated = next((each.zone_h for each in table.columns.time if each.zone_h is not None), None)
    ending = any(each.ending for each in table.columns.time)
    times = []
    for row, text in zip(rows, texts, strict=True):
        error = partial(table.error, row, last)
        try:
            moment, own = _moment(text, day_first, ending)
        except (ValueError, OverflowError):
            raise error("is no time that can be read", _ISO) from None
        times.append(round(_instant(moment, stated if own is None else own, home, error)))
    return times


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (OSError, ValueError, LookupError):  # no such key, an impossible key, a folder's name
        raise InputError("--zone", name, "is no time zone", "such as America/New_York") from None


def _stamp_text(table: Table, row: Row) -> str:
    """Return the row's time as one text: date first, then the clock."""
    cells = [row.cell(column) for column in table.columns.time]
    if len(cells) == 4:
        year, month, day, clock = cells
        cells = [f"{year}-{month}-{day}", clock]
    return " ".join(cells)


def _day_first(table: Table, rows: list[Row], texts: list[str]) -> bool:
    """Tell whether 3/5/2015 is the third of May; the rows in which it can only be one decide."""
    unsure: Row | None = None
    for row, text in zip(rows, texts, strict=True):
        match = _STAMP.fullmatch(text)
        if match is None or match["packed"] or len(match["a"]) == 4:
            continue
        if int(match["a"]) > 12:
            return True
        if int(match["b"]) > 12:
            return False
        if match["a"] != match["b"]:
            unsure = unsure or row
    if unsure is not None:
        problem = "can be read month first or day first"
        raise table.error(unsure, table.columns.time[0], problem, "", "Write 2015-03-09")
    return False


def _moment(text: str, day_first: bool, ending: bool) -> tuple[datetime, float | None]:
    """Return the clock's reading, and the offset (h) written behind it, if any.

    Where titles say that hours are named by their end, one is taken off, and 24:00 is a time.
    """
    match = _STAMP.fullmatch(text)
    if match is None or match["h"] is None:
        raise ValueError(text)
    hour = int(match["h"])
    if match["half"]:
        if not 1 <= hour <= 12:
            raise ValueError(text)
        hour = hour % 12 + (12 if match["half"][0] in "pP" else 0)
    if ending:
        hour -= 1
    minute, second = int(match["m"] or 0), int(match["s"] or 0)
    moment = datetime(*_date(match, day_first), max(hour, 0), minute, second)
    return moment + timedelta(hours=min(hour, 0)), _offset_h(match)


def _date(match: re.Match[str], day_first: bool) -> tuple[int, int, int]:
    if match["packed"]:
        packed = match["packed"]
        year, month, day = int(packed[:4]), int(packed[4:6]), int(packed[6:])
    elif len(match["a"]) == 4:
        year, month, day = int(match["a"]), int(match["b"]), int(match["c"])
    else:
        first, second, year = int(match["a"]), int(match["b"]), int(match["c"])
        year += 2000 if len(match["c"]) == 2 else 0
        day, month = (first, second) if day_first else (second, first)
    if not 1850 <= year <= 2200:
        raise ValueError(match[0])
    return year, month, day


def _offset_h(match: re.Match[str]) -> float | None:
    if match["zone"] is None:
        return None
    if match["sign"]:
        hours = int(match["oh"]) + int(match["om"] or 0) / 60.0
        return hours if match["sign"] == "+" else -hours
    if match["zone"].lower() not in ZONE_HOURS:
        raise ValueError(match[0])
    return ZONE_HOURS[match["zone"].lower()]


def _instant(
    moment: datetime,
    offset_h: float | None,
    home: ZoneInfo | None,
    error: Callable[..., InputError],
) -> float:
    """Return the UTC s of a clock's reading, or raise what ``error`` makes of the reason."""
    zone: tzinfo | None = home
    if offset_h is not None:
        if abs(offset_h) > 15.0:
            raise error("states an offset from UTC that no place has", "-12 to +14 hours")
        zone = timezone(timedelta(hours=offset_h))
    if zone is None:
        raise error("states no time zone", _ISO)
    early = moment.replace(tzinfo=zone)
    late = early.replace(fold=1)
    standard = "If the clock kept standard time all year, say so in the title (time_est); "
    if early.utcoffset() != late.utcoffset():
        back = early.astimezone(UTC).astimezone(zone).replace(tzinfo=None)
        happens = "happens twice" if back == moment else "does not exist"
        raise error(
            f"{happens} in {zone}, where clocks change that day",
            fix=f"{standard}else write the offset behind it (2015-11-01 01:00-04:00)",
        )
    return early.timestamp()
