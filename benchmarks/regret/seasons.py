"""Whole springs to work through: two real ones, and generated ones of two kinds.

Held-out seasons are those that results are told of: the real springs, springs put together from
blocks of one of them, and springs drawn about a place's monthly normals. The rule card is tuned on
others, drawn about the same normals by other seeds.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.hours import HourlyWeather
from sugarwright.weather.seasons import (
    MonthlyNormals,
    RealYears,
    Springs,
    generate,
    guess_normals,
    real_years,
)

DATA = Path(__file__).parents[2] / "tests" / "data"
MOST_DAYS = 65
EARLIEST = (2, 10)  # month and day: nobody taps before
FREEZE_C, THAW_C = -1.0, 2.0
GOOD_DAYS, AHEAD_DAYS = 4, 10
UTC_OFFSET_H = 5


@dataclass(frozen=True)
class Season:
    """One spring.

    Parameters
    ----------
    name : short, unique
    weather : hours from two weeks before tapping to four days after the end
    tapped : local day
    days : how many are worked, from the day of tapping on
    seed : of all that is drawn in it beside the weather
    """

    name: str
    weather: HourlyWeather
    tapped: date
    days: int
    seed: int


KINDS = ("blocks", "normals")
PLACE = (43.4, -72.6, 305.0)  # of the houses: latitude and longitude [deg], height [m]
YEAR = 2015  # of every generated spring, so that weekdays fall alike
SEEDS = {"blocks": 501, "normals": 502, "training": 503}
MOST_MADE, TRAINING = 60, 12


def held_out() -> list[str]:
    """Names of the seasons that results are told of."""
    return ["whately", "newark", *(f"{kind} {n}" for n in range(MOST_MADE) for kind in KINDS)]


def training() -> list[str]:
    """Names of the seasons that the rule card is tuned on."""
    return [f"training {n}" for n in range(TRAINING)]


def season(name: str) -> Season:
    """Return a season by its name."""
    kind, _, number = name.partition(" ")
    weather = _made(kind).weather(int(number)) if number else _real(kind)
    tapped = day_of_tapping(weather)
    seed = int.from_bytes(hashlib.sha256(name.encode()).digest()[:4])
    return Season(name, weather, tapped, _days(weather, tapped), seed)


@cache
def _real(name: str) -> HourlyWeather:
    if name == "whately":
        return read_weather_csv(DATA / "whately-hourly-2015.csv")
    return read_weather_csv(
        DATA / "newark-hourly-2013.csv", temperature_unit="F", station="EWR", fill_gaps_h=5
    )


@cache
def _made(kind: str) -> Springs:
    source: MonthlyNormals | RealYears
    if kind == "blocks":
        source = real_years([_real("whately")], -UTC_OFFSET_H)
    else:
        source = guess_normals(*PLACE, -UTC_OFFSET_H)
    first, last = date(YEAR, 1, 1), date(YEAR, 5, 31)
    count = TRAINING if kind == "training" else MOST_MADE
    return generate(source, count, SEEDS[kind], first, last)


def day_of_tapping(weather: HourlyWeather) -> date:
    """The day from which the next ten have four that freeze and thaw: all tap alike."""
    year = datetime.fromtimestamp(int(weather.time_s[len(weather) // 2]), UTC).year
    day = date(year, *EARLIEST)
    while day < date(year, 4, 1):
        ahead = _days_from(weather, day, AHEAD_DAYS)
        good = (ahead.min(axis=1) < FREEZE_C) & (ahead.max(axis=1) > THAW_C)
        if good[0] and good.sum() >= GOOD_DAYS:
            break
        day += timedelta(days=1)
    return day


def _days(weather: HourlyWeather, tapped: date) -> int:
    """Days until the last frost after which nothing runs any more, and three to work it up."""
    ahead = _days_from(weather, tapped, MOST_DAYS)
    frosts = np.flatnonzero(ahead.min(axis=1) < -0.5)
    return min(MOST_DAYS, int(frosts[-1]) + 4)


def _days_from(weather: HourlyWeather, day: date, days: int) -> NDArray[np.float64]:
    first_s = int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())
    first = (first_s + UTC_OFFSET_H * 3600 - weather.first_s) // 3600
    return weather.temperature_c[first : first + 24 * days].reshape(-1, 24)
