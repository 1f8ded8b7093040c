"""The weathers that a forecast holds possible, whatever its source told of them.

- A real ensemble: its mean and spread corrected (``weather.emos``), its members rebuilt by
  ensemble copula coupling: at each hour the corrected values take the order of the raw members, so
  that each keeps its own fronts (R. Schefzik, T.L. Thorarinsdottir and T. Gneiting, Stat. Sci. 28
  (2013) 616).
- Tenths: their distance gives the spread of each hour; how hours hang together is the usual.
- One line: the spread by lead that ``weather.forecast_errors`` tells of.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError
from sugarwright.weather.emos import Calibration, sample_sd
from sugarwright.weather.ensemble import PRIOR, Floats, normal_quantiles, perturb, so_far_k
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather, utc_text

TENTHS_APART = 2.563  # standard deviations from the tenth to the ninetieth percentile of a normal
LEAST_SD_K = 0.1
LEAST_CHOSEN = 8  # members that a plan may be found in while others judge it: judgement
UNCALIBRATED = Calibration()


def possible(
    forecast: Forecast,
    count: int,
    seed: int,
    errors: ForecastErrors = PRIOR,
    calibration: Calibration = UNCALIBRATED,
    utc_offset_h: float | None = None,
) -> Floats:
    """Return temperatures that the forecast holds possible.

    Parameters
    ----------
    forecast : as issued
    count : members wanted. A real ensemble that has more is thinned (:func:`few`); one that has
        fewer gives what it has, as nobody can say more
    seed : of what is drawn: nothing, for a real ensemble
    errors : how forecasts of this source err here
    calibration : of a real ensemble
    utc_offset_h : standard time; left out: longitude / 15

    Returns
    -------
    (members, hours of the forecast) [°C]; hours before its issue are alike in all
    """
    if forecast.member_temperature_c is not None:
        every = rebuilt(forecast, calibration)
        return every if len(every) <= count else few(every, count)[0]
    offset_h = forecast.longitude_deg / 15.0 if utc_offset_h is None else utc_offset_h
    shaped = replace(errors, shape_sd_k=float(np.hypot(errors.shape_sd_k, forecast.shape_sd_k)))
    return perturb(
        forecast.hours,
        count,
        seed,
        forecast.issued_s,
        offset_h,
        shaped,
        sd_k=told_sd_k(forecast),
    )


def search_and_check(
    forecast: Forecast,
    searched: int,
    checked: int,
    seed: int,
    errors: ForecastErrors = PRIOR,
    calibration: Calibration = UNCALIBRATED,
    utc_offset_h: float | None = None,
) -> tuple[Floats, Floats]:
    """Return members to find a plan in, and others to judge it by.

    Of a real ensemble the first are the chosen few, at most half of it, the second all that were
    not chosen; of one so small that its half says little, both are the whole.

    Returns
    -------
    (up to ``searched``, hours), (up to ``checked`` or all others, hours) [°C]
    """
    told = forecast.member_temperature_c
    if told is None or len(told) < 2 * LEAST_CHOSEN:
        return (
            possible(forecast, searched, seed, errors, calibration, utc_offset_h),
            possible(forecast, checked, seed + 1, errors, calibration, utc_offset_h),
        )
    every = rebuilt(forecast, calibration)
    chosen, others = few(every, min(searched, len(told) // 2))
    return chosen, every[others[:checked]]


def over(weather: HourlyWeather, forecast: Forecast, members_c: Floats, known_to_s: int) -> Floats:
    """Lay members of a forecast over longer weather: known hours first, the same in each.

    What has come of the hours since its issue (``said_c``) moves all members alike, by what it
    tells of the forecast's error in the hours ahead; their spread stays.

    Parameters
    ----------
    weather : known hours, then the forecast's
    forecast : whose hours the members stand for
    members_c : (members, hours of the forecast)
    known_to_s : UTC s; hours that begin before it are known, even if the forecast is older

    Returns
    -------
    (members, hours of the weather) [°C]

    Raises
    ------
    InputError : if hours that are not known lie outside the forecast
    """
    placed = np.tile(weather.temperature_c, (len(members_c), 1))
    ahead = weather.time_s >= max(known_to_s, forecast.issued_s)
    place = (weather.time_s[ahead] - forecast.hours.first_s) // HOUR_S
    outside = (place < 0) | (place >= len(forecast.hours))
    if outside.any():
        raise InputError(
            "weather",
            utc_text(weather.time_s[ahead][outside][0]),
            "is neither known nor in the forecast",
            f"{utc_text(forecast.hours.first_s)} to {utc_text(forecast.end_s)}",
        )
    placed[:, ahead] = (
        members_c[:, place] + _moved_k(weather, forecast, members_c, known_to_s)[ahead]
    )
    return placed


def _moved_k(
    weather: HourlyWeather, forecast: Forecast, members_c: Floats, known_to_s: int
) -> Floats:
    """How far the hours that came lay from the members' mean, carried on to the hours ahead."""
    said = weather.said_c
    if said is None:
        return np.zeros(len(weather))
    place = (weather.time_s - forecast.hours.first_s) // HOUR_S
    within = (place >= 0) & (place < len(forecast.hours)) & np.isfinite(said)
    mean_c = np.full(len(weather), np.nan)
    mean_c[within] = members_c.mean(axis=0)[place[within]]
    offset_h = forecast.longitude_deg / 15.0
    told = replace(weather, said_c=mean_c)
    return so_far_k(told, forecast.issued_s, offset_h, ForecastErrors(), known_to_s)


def rebuilt(forecast: Forecast, calibration: Calibration) -> Floats:
    """Return the members of a real ensemble, corrected: ensemble copula coupling.

    The corrected values stand at the probabilities (i - 1/2) / n, which make the ensemble's score
    least (J. Bröcker, Q. J. R. Meteorol. Soc. 138 (2012) 1611); their mean is the corrected mean.

    Raises
    ------
    InputError : if the forecast has no members
    """
    raw = forecast.member_temperature_c
    if raw is None:
        raise InputError("forecast", forecast.source, "has no members")
    count = len(raw)
    middle = calibration.mean_c(raw.mean(axis=0))
    quantiles = normal_quantiles((np.arange(count) + 0.5) / count)
    order = np.argsort(np.argsort(raw, axis=0, kind="stable"), axis=0)
    rebuilt_c = middle + calibration.sd_k(sample_sd(raw)) * quantiles[order]
    past = forecast.lead_h < 0
    rebuilt_c[:, past] = forecast.hours.temperature_c[past]
    clipped: Floats = np.clip(rebuilt_c, -60.0, 60.0)
    return clipped


def few(
    members_c: Floats, count: int, key: Floats | None = None
) -> tuple[Floats, NDArray[np.int64]]:
    """Choose members that stand for all of them with equal weight.

    They are ordered by what matters for sap, cut into as many groups of (almost) one size, and the
    middle one of each group is taken: a stratified sample. (The one closest to the group's mean
    course would be too smooth.) All are then shifted and stretched together, hour by hour, to the
    mean of all and the spread that the members have on average.

    Parameters
    ----------
    members_c : (members, hours) [°C]
    count : how many are wanted, at most as many as there are
    key : (members,) to order by, such as sap; left out: warmth above freezing over all hours,
        which sap runs by and which sets how long a run lasts

    Returns
    -------
    (count, hours) [°C], and the places of the members that were not chosen

    Raises
    ------
    InputError : if more are wanted than there are
    """
    if not 1 <= count <= len(members_c):
        raise InputError("count", count, "is not to be had", f"1 to {len(members_c)} members")
    by = np.maximum(members_c, 0.0).sum(axis=1) if key is None else np.asarray(key)
    groups = np.array_split(np.argsort(by, kind="stable"), count)
    chosen = [int(group[len(group) // 2]) for group in groups]
    others = np.setdiff1d(np.arange(len(members_c)), chosen)
    picked = members_c[chosen]
    off = picked - picked.mean(axis=0)  # a sample's own mean lies too close to it
    stretch = math.sqrt(count * (len(members_c) - 1) / max((count - 1) * len(members_c), 1))
    return members_c.mean(axis=0) + stretch * off, others


def told_sd_k(forecast: Forecast) -> Floats | None:
    """Return the spread of each hour that the source told by its tenths [K]; None if it did not."""
    low, high = forecast.p10_temperature_c, forecast.p90_temperature_c
    if low is None or high is None:
        return None
    return np.maximum((high - low) / TENTHS_APART, LEAST_SD_K)
