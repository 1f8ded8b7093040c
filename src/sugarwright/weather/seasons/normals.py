"""Springs about a place's monthly normals: ten figures that anybody can look up or type."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError, RangeError
from sugarwright.weather.seasons.process import HOURS, Wandering, wave
from sugarwright.weather.seasons.springs import SPRING_DAYS

Floats = NDArray[np.float64]

MONTH_DAYS = (31, 28, 31, 30, 31)
MONTHS = ("January", "February", "March", "April", "May")
SEASON_SD_K = 1.2
DAILY_RANGE_K = (3.0, 30.0)  # of a month's mean that can be believed
# A day's extremes last minutes; readings by the hour fall short of each by this (from memory).
HOURLY_MISSES_K = 0.5
_TRIAL_SPRINGS, _TRIAL_SEED, _TRIALS = 64, 1991, 4


@dataclass(frozen=True)
class MonthlyNormals:
    """Usual daily highs and lows of a place, January to May.

    Parameters
    ----------
    high_c, low_c : five means each of the day's highest and lowest temperature [°C]
    latitude_deg, longitude_deg : of the place, for the hour of sunrise
    utc_offset_h : of its standard time
    origin : where the figures are from, in words
    notes : what to know about them, in sentences

    Raises
    ------
    RangeError : a figure that no place has
    InputError : not five of each, or a month whose low isn't well below its high
    """

    high_c: tuple[float, ...]
    low_c: tuple[float, ...]
    latitude_deg: float
    longitude_deg: float
    utc_offset_h: int
    origin: str = "monthly normals"
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for field in ("high_c", "low_c"):
            values = tuple(float(value) for value in getattr(self, field))
            if len(values) != len(MONTHS):
                raise InputError(field, values, "has not five months", "January to May, one each")
            for value in values:
                if not -45.0 <= value <= 45.0:
                    raise RangeError(field, value, "is no month's mean", "-45 to 45 °C")
            object.__setattr__(self, field, values)
        for month, high_c, low_c in zip(MONTHS, self.high_c, self.low_c, strict=True):
            if not DAILY_RANGE_K[0] <= high_c - low_c <= DAILY_RANGE_K[1]:
                raise InputError(
                    f"normals of {month}",
                    (high_c, low_c),
                    "are no high and low of ordinary days",
                    "a low 3 to 30 K below the high",
                )

    @property
    def held(self) -> tuple[int, int]:
        """First and last day of the year that can be made."""
        return 0, SPRING_DAYS - 1

    @property
    def words(self) -> str:
        """The source in a clause."""
        return f"made about {self.origin}"

    def draw(self, seed: int, begin: int, end: int) -> Floats:
        """Make springs: (springs, days * 24) [°C]; see :func:`springs.generate`."""
        mean_c, swing_k = _aimed(self)
        return _hours(self, Wandering(seed, begin, end), mean_c, swing_k)


def _hours(place: MonthlyNormals, drawn: Wandering, mean_c: Floats, swing_k: Floats) -> Floats:
    """Return (springs, hours) about a monthly course of means and half-swings."""
    heights, half = _wave(place)
    swung = (_course(swing_k) * heights)[:, np.newaxis] * drawn.swings[half]
    swung += drawn.slow_k
    swung += SEASON_SD_K * drawn.season
    swung += _course(mean_c)[:, np.newaxis]
    return np.ascontiguousarray(swung.T)


def _wave(place: MonthlyNormals) -> tuple[Floats, NDArray[np.int64]]:
    return wave(place.latitude_deg, place.longitude_deg / 15.0 - place.utc_offset_h)


@lru_cache(maxsize=16)
def _aimed(place: MonthlyNormals) -> tuple[Floats, Floats]:
    """Monthly means and half-swings to use, so that highs and lows come out as the normals say.

    A day's high is not its mean and half its swing: fronts, and nights that end warmer than they
    began, stretch the range. Trial springs (always the same, and without a season's shift) say by
    how much, month by month.
    """
    high_c = np.array(place.high_c) - HOURLY_MISSES_K
    low_c = np.array(place.low_c) + HOURLY_MISSES_K
    mean_c, swing_k = (high_c + low_c) / 2.0, (high_c - low_c) / 2.0
    trial = Wandering(_TRIAL_SEED, 0, _TRIAL_SPRINGS)
    trial.season[:] = 0.0
    trial.slow_k -= trial.slow_k.mean(axis=1, keepdims=True)
    for _ in range(_TRIALS):
        days = _hours(place, trial, mean_c, swing_k).reshape(_TRIAL_SPRINGS, SPRING_DAYS, 24)
        high_off = high_c - monthly(days.max(axis=2).mean(axis=0))
        low_off = low_c - monthly(days.min(axis=2).mean(axis=0))
        mean_c = mean_c + (high_off + low_off) / 2.0
        # A place hardly warmer by day than fronts make it: its wave is small, never upside down.
        swing_k = np.maximum(swing_k + 0.7 * (high_off - low_off), 0.2)
    return mean_c, swing_k


def monthly(daily: Floats) -> Floats:
    """Return the means of each of the five months of (..., days)."""
    cuts = np.concatenate([[0], np.cumsum(MONTH_DAYS)])
    return np.stack([daily[..., a:b].mean(axis=-1) for a, b in pairwise(cuts)], axis=-1)


def _course(months: Sequence[float] | Floats) -> Floats:
    """Return the smooth hourly course (hours,) whose monthly means are those given.

    A polynomial of the fourth degree in the day: five means, five coefficients.
    """
    course: Floats = _courses() @ np.asarray(months, dtype=np.float64)
    return course


@lru_cache(maxsize=1)
def _courses() -> Floats:
    """(hours, months): what each month's mean adds to every hour."""
    at = (np.arange(HOURS) + 0.5) / HOURS * 2.0 - 1.0
    powers = np.polynomial.legendre.legvander(at, len(MONTHS) - 1)
    means = monthly(powers.reshape(SPRING_DAYS, 24, -1).mean(axis=1).T).T
    return np.asarray(powers @ np.linalg.inv(means), dtype=np.float64)
