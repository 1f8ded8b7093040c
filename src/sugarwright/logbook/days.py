"""The day in front of a clock time: "yesterday", "Monday", "17 March", "2026-03-17", "3/17"."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from sugarwright.errors import InputError
from sugarwright.logbook.tokens import Word

MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july", "august", "september"),
    *("october", "november", "december"),
)
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_NUMBER = re.compile(r"(?P<day>[0-9]{1,2})(?:st|nd|rd|th)?")
_ISO = re.compile(r"(?P<year>[0-9]{4})[-/.](?P<month>[0-9]{1,2})[-/.](?P<day>[0-9]{1,2})")
_SLASHED = re.compile(r"(?P<a>[0-9]{1,2})/(?P<b>[0-9]{1,2})(?:/(?P<year>[0-9]{4}|[0-9]{2}))?")
_DOTTED = re.compile(r"(?P<day>[0-9]{1,2})\.(?P<month>[0-9]{1,2})\.(?P<year>[0-9]{4}|[0-9]{2})?")


@dataclass(frozen=True)
class Day:
    """A day as it was said.

    Parameters
    ----------
    on : the date of it, given today's date
    typed : as written
    certain : it can be nothing but a day, so that a clock time must follow
    iso : an offset from UTC may stand behind its clock time
    weekly : it is named as a day of the week, and the newest one is meant
    """

    on: Callable[[date], date]
    typed: str
    certain: bool = True
    iso: bool = False
    weekly: bool = False

    @property
    def surely(self) -> bool:
        """Whether nothing else can be meant beside a clock time: not "sun", not "1/2"."""
        return self.certain or (not self.weekly and any(map(str.isalpha, self.typed)))


def take_day(words: Sequence[Word], at: int) -> tuple[Day, int] | None:
    """Return the day said at a place and the place behind it; None when none is said there."""
    return _plain_day(words, at) or _numbered(words, at) or _with_month(words, at)


def date_of(day: Day, today: date) -> date:
    """Return the date of a day. Raises InputError when its month has no such day."""
    try:
        return day.on(today)
    except ValueError:
        raise InputError("date", day.typed, "is no day of the calendar") from None


def _plain_day(words: Sequence[Word], at: int) -> tuple[Day, int] | None:
    plain = words[at].plain
    if plain in ("today", "yesterday"):
        back = timedelta(days=int(plain == "yesterday"))
        return Day(lambda today: today - back, words[at].typed), at + 1
    name = next((i for i, each in enumerate(WEEKDAYS) if plain in (each, each[:3])), None)
    if name is None:
        return None
    return Day(_newest_weekday(name), words[at].typed, len(plain) > 3, weekly=True), at + 1


def _newest_weekday(weekday: int) -> Callable[[date], date]:
    return lambda today: today - timedelta(days=(today.weekday() - weekday) % 7)


def _numbered(words: Sequence[Word], at: int) -> tuple[Day, int] | None:
    typed = words[at].typed
    if found := _ISO.fullmatch(typed):
        made = int(found["year"]), int(found["month"]), int(found["day"])
        return Day(lambda _today: date(*made), typed, iso=True), at + 1
    if found := _DOTTED.fullmatch(typed):
        month, day, year = int(found["month"]), int(found["day"]), found["year"]
        return Day(_in_year(month, day, year), typed), at + 1
    if found := _SLASHED.fullmatch(typed):
        on = _slashed(int(found["a"]), int(found["b"]), found["year"], typed)
        return Day(on, typed, certain=found["year"] is not None), at + 1
    return None


def _slashed(a: int, b: int, year: str | None, typed: str) -> Callable[[date], date]:
    """3/17 is month first, 17/3 day first; 3/5 could be either and is refused when it is used."""
    if a <= 12 and b <= 12 and a != b:

        def unsure(_today: date) -> date:
            first, second = (
                f"{day} {MONTHS[month - 1].title()}" for month, day in ((a, b), (b, a))
            )
            problem = f"can be {first} or {second}"
            raise InputError("date", typed, problem, fix=f"Write {first}, or {second}")

        return unsure
    month, day = (a, b) if a <= 12 else (b, a)
    return _in_year(month, day, year)


def _with_month(words: Sequence[Word], at: int) -> tuple[Day, int] | None:
    """Read "17 March 2026" and "March 17 2026", with the year or without."""
    here, there = words[at], words[at + 1] if at + 1 < len(words) else None
    if there is None:
        return None
    month = _month(here.plain) or _month(there.plain)
    number = _NUMBER.fullmatch(there.plain if _month(here.plain) else here.plain)
    if month is None or number is None or not 1 <= int(number["day"]) <= 31:
        return None
    after = at + 2
    year = None
    if after < len(words) and re.fullmatch(r"(?:19|20|21)[0-9]{2}", words[after].plain):
        year = words[after].plain
        after += 1
    typed = " ".join(word.typed for word in words[at:after])
    return Day(_in_year(month, int(number["day"]), year), typed, certain=year is not None), after


@lru_cache(maxsize=1024)
def _month(word: str) -> int | None:
    if len(word) < 3:
        return None
    return next((i for i, name in enumerate(MONTHS, 1) if name.startswith(word)), None)


def _in_year(month: int, day: int, year: str | None) -> Callable[[date], date]:
    """Without a year the newest such day that is not still to come."""
    if year is not None:
        whole = int(year) + (2000 if len(year) == 2 else 0)
        return lambda _today: date(whole, month, day)

    def newest(today: date) -> date:
        try:
            this_year = date(today.year, month, day)
        except ValueError:  # 29 February
            return date(today.year - 1, month, day)
        return this_year if this_year <= today else date(today.year - 1, month, day)

    return newest
