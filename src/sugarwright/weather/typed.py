"""A curve of hours from what a radio or a neighbour says: "24 tonight, 45 tomorrow".

Nights are coldest at five and days warmest at three in the afternoon, local standard time. From
low to high the air follows half a cosine; from high to low it cools quickly at first, then ever
more slowly. W. Parton and J. Logan, A model for diurnal variation in soil and air temperature,
1981, do the same with a sine by day and an exponential by night (from memory).

What such a curve misses is a front: the coldest hour is then not at dawn. Through the true lows
and highs of two springs (Whately 2015, Newark 2013) it errs by 1.5 K (root mean square, tested);
with lows and highs of calendar days, which is what is often told, such curves erred by 2.0 to
2.7 K. ``SHAPE_SD_K`` stands for both, and comes on top of the forecast's own error.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np

from sugarwright.errors import InputError, RangeError
from sugarwright.units import TEMPERATURE, show
from sugarwright.weather.forecast import Floats, Forecast
from sugarwright.weather.hours import HOUR_S, HourlyWeather

SHAPE_SD_K = 2.0
COLDEST_H = 5
WARMEST_H = 15
MOST_DAYS = 10
DAY_S = 86400
_COOLING = 1.0  # an exponential's exponent over the night; larger cools earlier
_USUAL_SWING_K = 8.0  # of a day in March (from memory), where no high is typed
_SOURCE = "typed lows and highs"


def typed_forecast(
    lows_c: Sequence[float],
    highs_c: Sequence[float],
    now_s: int,
    latitude_deg: float,
    longitude_deg: float,
    now_c: float | None = None,
) -> Forecast:
    """Return a forecast drawn through lows and highs.

    Parameters
    ----------
    lows_c : lows of the coming nights, the first one's first [°C]
    highs_c : highs of the days that follow those nights [°C]; as many, or one less
    now_s : UTC s at which they are typed; they count as issued then
    latitude_deg, longitude_deg : of the house; local standard time is that of its longitude
    now_c : the thermometer's reading now [°C]; left out: as the curve of the first day has it

    Returns
    -------
    Forecast that begins with this hour and ends with the last low or high, but goes on for a whole
    day: what is left of it is taken to be like the last day told, and the forecast's note says so

    Raises
    ------
    InputError : if there is no low, or highs do not fit them
    RangeError : if one is nothing that open air can be, or a high lies below its night's low
    """
    _check(lows_c, highs_c, now_c)
    begin_s = now_s - now_s % HOUR_S
    first_low_s = next_low_s(now_s, longitude_deg)
    to_high_s = (WARMEST_H - COLDEST_H) * HOUR_S
    nights = len(lows_c)
    highs_drawn_c = [*highs_c, lows_c[-1] + _USUAL_SWING_K][:nights]
    knots = []
    for day in range(-1, nights + 1):  # those before and after are like the next to them
        like = min(max(day, 0), nights - 1)
        low_s = first_low_s + day * DAY_S
        knots += [(low_s, lows_c[like]), (low_s + to_high_s, highs_drawn_c[like])]
    last_s = first_low_s + (nights - 1) * DAY_S + (to_high_s if len(highs_c) == nights else 0)
    end_s = max(last_s + HOUR_S, begin_s + DAY_S)
    hours = np.arange(begin_s, end_s, HOUR_S)
    curve = diurnal_curve(hours, knots)
    if now_c is not None:
        # a low due in this very hour: the thermometer has the hour, and the curve the next one
        fades_s = max(first_low_s - begin_s, HOUR_S)
        curve += (now_c - curve[0]) * np.clip(1.0 - (hours - begin_s) / fades_s, 0.0, 1.0)
    weather = HourlyWeather(
        hours, np.clip(curve, -60.0, 60.0), source=_SOURCE, issued_s=now_s,
        notes=_notes(nights + len(highs_c), (end_s - last_s) // HOUR_S - 1),
    )  # fmt: skip
    return Forecast(
        now_s, now_s, _SOURCE, "", latitude_deg, longitude_deg, None, weather, shape_sd_k=SHAPE_SD_K
    )


def _notes(figures: int, more_h: int) -> tuple[str, ...]:
    told = f"a curve through {figures} typed figures"
    return (told, f"its last {more_h} hours as on the day before") if more_h else (told,)


def diurnal_curve(hours: np.ndarray, knots: Sequence[tuple[int, float]]) -> Floats:
    """Return temperatures at instants between lows and highs [°C].

    Parameters
    ----------
    hours : UTC s, within the knots
    knots : instants and temperatures in their order: lows and highs by turns
    """
    curve = np.full(len(hours), knots[0][1])
    for (begin_s, begin_c), (end_s, end_c) in pairwise(knots):
        inside = (hours >= begin_s) & (hours <= end_s)
        share = (hours[inside] - begin_s) / (end_s - begin_s)
        if end_c >= begin_c:
            done = 0.5 - 0.5 * np.cos(np.pi * share)
        else:
            done = (1.0 - np.exp(-_COOLING * share)) / (1.0 - math.exp(-_COOLING))
        curve[inside] = begin_c + (end_c - begin_c) * done
    return curve


def next_low_s(now_s: int, longitude_deg: float) -> int:
    """Return the instant of the low that is typed first [UTC s].

    Parameters
    ----------
    now_s : UTC s
    longitude_deg : of the house, whose standard time counts
    """
    return _next_s(now_s - now_s % HOUR_S, COLDEST_H, round(longitude_deg / 15.0))


def _next_s(begin_s: int, hour: int, offset_h: int) -> int:
    """Return the next instant at which it is that hour, in standard time."""
    local = datetime.fromtimestamp(begin_s, UTC) + timedelta(hours=offset_h)
    at = local.replace(hour=hour, minute=0, second=0)
    if at < local:
        at += timedelta(days=1)
    return begin_s + round((at - local).total_seconds())


def _check(lows_c: Sequence[float], highs_c: Sequence[float], now_c: float | None) -> None:
    if not lows_c:
        raise InputError("low", None, "is needed: the coming night's", fix="Such as --low 24F")
    if not len(lows_c) - 1 <= len(highs_c) <= len(lows_c):
        raise InputError(
            "high",
            len(highs_c),
            f"highs do not fit {len(lows_c)} lows",
            "as many highs as lows, or one less",
            "Type each night's low with the high of the day after it",
        )
    if len(lows_c) > MOST_DAYS:
        raise InputError("low", len(lows_c), "nights are too many", f"{MOST_DAYS} or fewer")
    known = [] if now_c is None else [now_c]
    for value in (*lows_c, *highs_c, *known):
        if not -60.0 <= value <= 60.0:
            allowed = f"{_both(-60.0)} to {_both(60.0)}"
            raise RangeError("temperature", _both(value), "is no temperature of open air", allowed)
    for low, high in zip(lows_c, highs_c, strict=False):
        if high < low:
            raise RangeError(
                "high", _both(high), "is below the low before it", f"{_both(low)} or more",
                "Type lows and highs in their order",
            )  # fmt: skip


def _both(temperature_c: float) -> str:
    """Say a temperature as the radio does on either side of the border."""
    return (
        f"{show(temperature_c, TEMPERATURE, 'us')} ({show(temperature_c, TEMPERATURE, 'metric')})"
    )
