"""How air temperature wanders about its usual course: hour by hour, in units that have no place.

Three parts. The *slow* one (air masses and fronts) is a first-order process seen through a short
lag, so that fronts last hours and the night's minimum need not come at dawn. The *ripple* is what
clouds, showers and breezes do within hours. The *swing* is a wave from sunrise to mid-afternoon to
sunrise whose height is drawn anew for each day and each night (sun or cloud), where it passes
through zero.

The figures below were set on the two springs (2016, 2017) of an hourly record from Illinois, within
what fits of Richardson's kind to four other springs gave: lag-1 correlation of daily means 0.60 to
0.71, of the root of the daily range 0.12 to 0.35; spread of daily means 4.0 to 5.4 K, of that root
0.56 to 0.73 K^0.5. The greater spread in January is from NOAA's count of very cold days.
Richardson, Stochastic simulation of daily precipitation, temperature, and solar radiation, Water
Resources Research 17 (1981) 182.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.seasons.springs import SPRING_DAYS, source_of_chance

Floats = NDArray[np.float64]

HOURS = 24 * SPRING_DAYS
SPIN_UP_H = 240  # before 1 January, for the slow part to forget how it began
MEMORY_H = 36.0
LAG_H = 5.0
DAILY_MEAN_SD_K = (5.8, 3.8)  # on 1 January and 31 May, a straight line between: 4.8 on average
DAILY_SHARE = 0.94  # deviation of daily means against that of hours, for this memory and lag
RIPPLE_SD_K = 0.7
RIPPLE_MEMORY_H = 3.0
SWING_SPREAD = 0.42
SWING_MEMORY = 0.6  # from one half-day to the next
WARMEST_AFTER_NOON_H = 2.7
COLDEST_AFTER_SUNRISE_H = 0.3
COOLING = 1.6  # how much faster an evening cools than the end of the night
_HALF_DAYS = 2 * SPRING_DAYS + 3


class Wandering:
    """The draws of some springs, turned into hours.

    Parameters
    ----------
    seed, begin, end : which springs; each has its own draws

    Attributes
    ----------
    season : (springs,) unit normal: how warm the whole spring is
    slow_k : (hours, springs) of the slow part and the ripple [K]
    swings : (half-days, springs) heights of the wave, about 1
    """

    def __init__(self, seed: int, begin: int, end: int) -> None:
        size = 1 + 2 * (SPIN_UP_H + HOURS) + _HALF_DAYS
        drawn = np.empty((size, end - begin))
        for spring in range(begin, end):
            drawn[:, spring - begin] = source_of_chance(seed, 2, spring).standard_normal(size)
        self.season: Floats = drawn[0]
        slow, ripple, swings = np.split(
            drawn[1:], [SPIN_UP_H + HOURS, 2 * (SPIN_UP_H + HOURS)], axis=0
        )
        self.slow_k = _slow(slow)[SPIN_UP_H:] * np.linspace(*DAILY_MEAN_SD_K, HOURS)[:, np.newaxis]
        self.slow_k += _remembering(ripple, RIPPLE_MEMORY_H, RIPPLE_SD_K)[SPIN_UP_H:]
        self.swings = _swings(swings)


def _slow(draws: Floats) -> Floats:
    """Turn (hours, springs) unit normals into the slow part, in place: daily means vary by 1."""
    memory, share = math.exp(-1.0 / MEMORY_H), 1.0 - math.exp(-1.0 / LAG_H)
    kept = 1.0 - share
    variance = share**2 * (1.0 + kept * memory) / ((1.0 - kept**2) * (1.0 - kept * memory))
    air_mass = _remembering(draws, MEMORY_H, 1.0 / (DAILY_SHARE * math.sqrt(variance)))
    seen = np.zeros(draws.shape[1])
    for row in air_mass:
        seen += share * (row - seen)
        row[:] = seen
    return air_mass


def _remembering(draws: Floats, memory_h: float, sd: float) -> Floats:
    """Turn (hours, springs) unit normals into a stationary first-order process, in place."""
    memory = math.exp(-1.0 / memory_h)
    draws[0] *= sd
    draws[1:] *= sd * math.sqrt(1.0 - memory**2)
    for hour in range(1, len(draws)):
        draws[hour] += memory * draws[hour - 1]
    return draws


def _swings(draws: Floats) -> Floats:
    """Turn (half-days, springs) unit normals into heights of the wave: squares, mean 1."""
    renewal = math.sqrt(1.0 - SWING_MEMORY**2)
    for half in range(1, len(draws)):
        draws[half] = SWING_MEMORY * draws[half - 1] + renewal * draws[half]
    heights: Floats = (1.0 + SWING_SPREAD * draws) ** 2 / (1.0 + SWING_SPREAD**2)
    return heights


def wave(latitude_deg: float, solar_shift_h: float) -> tuple[Floats, NDArray[np.int64]]:
    """Return the daily wave, -1 to 1, and the half-day that each hour belongs to, both (hours,).

    Parameters
    ----------
    latitude_deg : it says when the sun rises
    solar_shift_h : solar time less standard time

    Sunrise by the usual geometry of a sphere with the declination of Cooper, The absorption of
    radiation in solar stills, Solar Energy 12 (1969) 333 (from memory).
    """
    hour = np.arange(HOURS) + 0.5 + solar_shift_h
    day = np.floor(hour / 24.0)
    coldest = _sunrise_h(latitude_deg, day) + COLDEST_AFTER_SUNRISE_H
    warmest = 12.0 + WARMEST_AFTER_NOON_H
    # Hours since the last coldest moment: before it, the night belongs to the day before.
    since = (hour - 24.0 * day - coldest) % 24.0
    rise = warmest - coldest
    rising = since < rise
    fall = (since - rise) / (24.0 - rise)
    up = -np.cos(math.pi * np.clip(since / rise, 0.0, 1.0))
    bend = math.exp(-COOLING)
    down = 2.0 * (np.exp(-COOLING * np.clip(fall, 0.0, 1.0)) - bend) / (1.0 - bend) - 1.0
    heights: Floats = np.where(rising, up, down)
    crossings = np.flatnonzero(np.diff(np.signbit(heights)))
    half = np.zeros(HOURS, dtype=np.int64)
    half[crossings + 1] = 1
    return heights, np.cumsum(half)


def _sunrise_h(latitude_deg: float, day: Floats) -> Floats:
    """Solar hour of sunrise; the sun that never rises or sets is taken at the edge."""
    declination = math.radians(23.45) * np.sin(2.0 * math.pi * (284.0 + day + 1.0) / 365.0)
    angle = np.arccos(
        np.clip(-math.tan(math.radians(latitude_deg)) * np.tan(declination), -0.99, 0.99)
    )
    sunrise: Floats = 12.0 - 12.0 / math.pi * angle
    return sunrise
