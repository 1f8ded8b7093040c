"""The one interface to generated springs: a source, how many, and which days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError, RangeError
from sugarwright.weather.hours import HOUR_S, HourlyWeather

Floats = NDArray[np.float64]

SPRING_DAYS = 151  # 1 January to 31 May; in a leap year to 30 May
MOST_SPRINGS = 20_000
MOST_WARMING_K = 10.0
_AT_ONCE = 256  # springs drawn together, so that the whole of a large call is never held twice


class Source(Protocol):
    """Where springs come from."""

    @property
    def utc_offset_h(self) -> int:
        """Standard time of the place against UTC; its days begin at that midnight."""

    @property
    def words(self) -> str:
        """The source in a clause, for people."""

    @property
    def notes(self) -> tuple[str, ...]:
        """What to know about it, in sentences."""

    @property
    def held(self) -> tuple[int, int]:
        """First and last day of the year, counted from 1 January as 0, that it can make."""

    def draw(self, seed: int, begin: int, end: int) -> Floats:
        """Make springs ``begin`` to ``end`` (not included): (springs, held days * 24) [°C]."""


@dataclass(frozen=True, eq=False)
class Springs:
    """Many possible springs of one place.

    Parameters
    ----------
    time_s : (hours,) UTC s at which each hour begins
    temperature_c : (springs, hours) of air [°C]
    source : where they come from, in a clause
    notes : what to know about them, in sentences
    """

    time_s: NDArray[np.int64]
    temperature_c: Floats
    source: str
    notes: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.temperature_c)

    @property
    def first_s(self) -> int:
        """Instant at which the first hour begins."""
        return int(self.time_s[0])

    def weather(self, spring: int) -> HourlyWeather:
        """Return one of them as weather."""
        return HourlyWeather(
            self.time_s,
            self.temperature_c[spring],
            source=f"{self.source}; spring {spring + 1} of {len(self)}",
            notes=self.notes,
        )


def generate(
    source: Source,
    count: int,
    seed: int,
    first_day: date,
    last_day: date,
    warming_k: float = 0.0,
) -> Springs:
    """Generate hourly springs.

    Parameters
    ----------
    source : RealYears or MonthlyNormals
    count : how many
    seed : spring i is a function of source, seed and i alone: neither the count nor the days asked
        for change it
    first_day, last_day : of one year, both included, in the place's standard time; within 1 January
        to 31 May (30 May in a leap year), and within what the source holds
    warming_k : added to every hour of every spring

    Returns
    -------
    Springs

    Raises
    ------
    RangeError : a count or a warming that means nothing
    InputError : days that the source doesn't hold
    """
    if not 1 <= count <= MOST_SPRINGS:
        raise RangeError("count", count, "is no number of springs", f"1 to {MOST_SPRINGS}")
    if not -MOST_WARMING_K <= warming_k <= MOST_WARMING_K:
        allowed = f"{-MOST_WARMING_K:g} to {MOST_WARMING_K:g} K"
        raise RangeError("warming_k", warming_k, "is no warming of ours", allowed)
    first, last = _days(source, first_day, last_day)
    here = slice(24 * (first - source.held[0]), 24 * (last + 1 - source.held[0]))
    parts = [
        source.draw(seed, begin, min(begin + _AT_ONCE, count))[:, here]
        for begin in range(0, count, _AT_ONCE)
    ]
    temperature_c = np.concatenate(parts) + warming_k
    begin_s = midnight_s(first_day, source.utc_offset_h)
    time_s = begin_s + HOUR_S * np.arange(temperature_c.shape[1], dtype=np.int64)
    warmed = f", {warming_k:+g} K" if warming_k else ""
    clipped = np.clip(temperature_c, -60.0, 60.0)
    return Springs(time_s, clipped, source.words + warmed, source.notes)


def midnight_s(day: date, utc_offset_h: int) -> int:
    """UTC s at which a day begins in standard time."""
    return round(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp()) - (
        HOUR_S * utc_offset_h
    )


def day_of_year(day: date) -> int:
    """Return how many days lie between 1 January and a day."""
    return (day - date(day.year, 1, 1)).days


def standard_offset_h(timezone: str) -> int:
    """Return a zone's standard time against UTC, to the whole hour [h]."""
    winter = datetime(2026, 1, 15, tzinfo=ZoneInfo(timezone))
    offset = (winter.utcoffset() or timedelta()) - (winter.dst() or timedelta())
    return round(offset.total_seconds() / HOUR_S)


def source_of_chance(seed: int, *which: int) -> np.random.Generator:
    """Return the generator of one spring (or part of it): no other shares its draws."""
    return np.random.default_rng(np.random.SeedSequence([abs(int(seed)), *which]))


def _days(source: Source, first_day: date, last_day: date) -> tuple[int, int]:
    asked = f"{first_day} to {last_day}"
    if last_day < first_day or last_day.year != first_day.year:
        raise InputError("days", asked, "are no days of one spring", "first before last, one year")
    first, last = day_of_year(first_day), day_of_year(last_day)
    held = [date(first_day.year, 1, 1) + timedelta(days=day) for day in source.held]
    if first < source.held[0] or last > source.held[1]:
        raise InputError(
            "days", asked, "are not all in what springs can be made of", f"{held[0]} to {held[1]}"
        )
    return first, last
