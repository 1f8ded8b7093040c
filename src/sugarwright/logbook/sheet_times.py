"""Dates and clock times in the cells of a table, on the clock of the house."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.logbook.clock import instant_s, local_of, offset_text
from sugarwright.logbook.days import MONTHS

_ISO = r"(?P<year>[0-9]{4})[-/.](?P<month>[0-9]{1,2})[-/.](?P<day>[0-9]{1,2})"
_DOTTED = r"(?P<dot_day>[0-9]{1,2})\.(?P<dot_month>[0-9]{1,2})\.(?P<dot_year>[0-9]{4}|[0-9]{2})"
_SLASHED = r"(?P<a>[0-9]{1,2})[/-](?P<b>[0-9]{1,2})[/-](?P<s_year>[0-9]{4}|[0-9]{2})"
_NAMED = (
    r"(?:(?P<n_day>[0-9]{1,2})\s+(?P<n_month>[a-z]{3,9})|(?P<m_month>[a-z]{3,9})\s+(?P<m_day>[0-9]{1,2}))"
    r",?\s+(?P<n_year>[0-9]{4})"
)
_DATE = re.compile(rf"\s*(?:{_ISO}|{_DOTTED}|{_SLASHED}|{_NAMED})", re.IGNORECASE)
_CLOCK = re.compile(
    r"\s*(?:T\s*)?(?P<hour>[0-9]{1,2})(?::(?P<minute>[0-9]{2}))?(?::(?P<second>[0-9]{2})"
    r"(?:\.(?P<part>[0-9]+))?)?\s*(?P<half>[ap]\.?m\.?)?\s*"
    r"(?P<offset>Z|[+-][0-9]{2}:?[0-9]{2})?\s*",
    re.IGNORECASE,
)
ALLOWED = "2026-03-17 14:20"


@dataclass(frozen=True)
class Dates:
    """How the dates of one table are to be read.

    Parameters
    ----------
    zone : of the house
    day_first : 3/5/2026 is the third of May; None where the table does not settle it
    """

    zone: ZoneInfo
    day_first: bool | None

    def day(self, text: str) -> date:
        """Return the date of a cell that is one. Raises InputError."""
        found, rest = self._take_date(text)
        if rest.strip():
            raise InputError("date", text, "is no date", ALLOWED[:10])
        return found

    def instant_s(self, text: str, clock: str = "") -> float:
        """Return the UTC s of a cell with date and clock time, or of a date and a clock cell.

        Raises InputError when there is no date or no clock time, or it is shown twice or never.
        """
        whole = f"{text} {clock}".strip()
        day, rest = self._take_date(whole)
        match = _CLOCK.fullmatch(rest) if rest.strip() else None
        if match is None or (match["minute"] is None and match["half"] is None):
            raise InputError("time", whole, "needs a date and a clock time", ALLOWED)
        hour, minute = int(match["hour"]), int(match["minute"] or 0)
        second = int(match["second"] or 0)
        if match["half"]:
            hour = hour % 12 + 12 * (match["half"][0] in "pP") if 1 <= hour <= 12 else 99
        if hour > 23 or minute > 59 or second > 59:
            raise InputError("time", whole, "is no time of day", "00:00 to 23:59")
        local = datetime(day.year, day.month, day.day, hour, minute, second)
        whole_s = instant_s(local, self.zone, whole, _offset(match["offset"]))
        return float(f"{whole_s}.{match['part']}") if match["part"] else float(whole_s)

    def _take_date(self, text: str) -> tuple[date, str]:
        match = _DATE.match(text)
        if match is None:
            raise InputError("date", text, "is no date that can be read", ALLOWED[:10])
        try:
            return self._date(match, text), text[match.end() :]
        except ValueError:
            raise InputError("date", text, "is no day of the calendar") from None

    def _date(self, match: re.Match[str], text: str) -> date:
        if match["year"]:
            return date(int(match["year"]), int(match["month"]), int(match["day"]))
        if match["dot_day"]:
            return date(_year(match["dot_year"]), int(match["dot_month"]), int(match["dot_day"]))
        if match["n_year"]:
            month = _month(match["n_month"] or match["m_month"], text)
            return date(int(match["n_year"]), month, int(match["n_day"] or match["m_day"]))
        a, b, year = int(match["a"]), int(match["b"]), _year(match["s_year"])
        day_first = a > 12 if a > 12 or b > 12 else self.day_first
        if day_first is None and a != b:
            problem = "can be read month first or day first"
            raise InputError("date", text, problem, fix=f"Write {year}-{a:02d}-{b:02d} or "
                             f"{year}-{b:02d}-{a:02d}")  # fmt: skip
        return date(year, b, a) if day_first else date(year, a, b)


def day_first(texts: Iterable[str]) -> bool | None:
    """Tell from all dates of a table whether the day stands first; None when nothing settles it."""
    first: bool | None = None
    for text in texts:
        match = _DATE.match(text)
        if match is not None and match["a"]:
            if int(match["a"]) > 12:
                return True
            if int(match["b"]) > 12:
                first = False
    return first


def time_cell(time_s: float, zone: ZoneInfo) -> str:
    """Return an instant as a cell that is read back exactly: local time with its offset."""
    whole, _, part = repr(float(time_s)).partition(".")
    if "e" in whole + part or time_s < 0.0:
        moment, fraction = local_of(round(time_s), zone), ""
    else:
        moment, fraction = local_of(int(whole), zone), "" if part in ("", "0") else f".{part}"
    return f"{moment:%Y-%m-%d %H:%M:%S}{fraction}{offset_text(moment)}"


def _offset(text: str | None) -> timedelta | None:
    if text is None:
        return None
    if text in ("Z", "z"):
        return timedelta()
    minutes = 60 * int(text[1:3]) + int(text[-2:])
    return timedelta(minutes=-minutes if text[0] == "-" else minutes)


def _year(text: str) -> int:
    return int(text) + (2000 if len(text) == 2 else 0)


def _month(name: str, text: str) -> int:
    found = next((i for i, each in enumerate(MONTHS, 1) if each.startswith(name.casefold())), None)
    if found is None:
        raise InputError("date", text, f"{name} is no month")
    return found
