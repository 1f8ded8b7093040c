"""Whole springs to work through: real hours, and the same made warmer, colder, earlier.

Held-out seasons are those that results are told of; training seasons are only for tuning the rule
card. The two have no spring and no draw in common.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np

from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.hours import HourlyWeather

DATA = Path(__file__).parents[2] / "tests" / "data"
MOST_DAYS = 65
EARLIEST = (1, 20)  # month and day: nobody taps before
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


@cache
def _real(name: str) -> HourlyWeather:
    if name == "whately":
        return read_weather_csv(DATA / "whately-hourly-2015.csv")
    return read_weather_csv(
        DATA / "newark-hourly-2013.csv", temperature_unit="F", station="EWR", fill_gaps_h=5
    )


def season(name: str) -> Season:
    """Return a season by its name: ``spring``, or ``spring+1.5C+7d`` made of one."""
    spring, _, changes = name.partition(" ")
    weather, seed = _real(spring), sum(map(ord, name)) + 1000 * len(name)
    if changes:
        warmer_k, later_days = (float(each) for each in changes.split(" "))
        weather = replace(
            weather,
            temperature_c=weather.temperature_c + warmer_k,
            time_s=weather.time_s + int(later_days) * 86400,
        )
    tapped = day_of_tapping(weather)
    return Season(name, weather, tapped, _days(weather, tapped), seed)


def held_out() -> list[str]:
    """Names of the seasons that results are told of."""
    made = [f"{spring} {k:+.1f} {d:+d}" for k, d in _CHANGES for spring in ("whately", "newark")]
    return ["whately", "newark", *made]


def training() -> list[str]:
    """Names of the seasons that the rule card is tuned on."""
    changes = [(-2.5, 9), (-1.5, -9), (0.5, 11), (1.2, -11), (-0.7, 5), (2.2, 12)]
    return [f"{spring} {k:+.1f} {d:+d}" for k, d in changes for spring in ("whately", "newark")]


_CHANGES = [(k, d) for d in (-4, 0, 4, -7, 7) for k in (-2.0, -1.0, 1.0, -3.0, 2.0) if k or d]


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


def _days_from(weather: HourlyWeather, day: date, days: int) -> np.ndarray:
    first_s = int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())
    first = (first_s + UTC_OFFSET_H * 3600 - weather.first_s) // 3600
    return weather.temperature_c[first : first + 24 * days].reshape(-1, 24)
