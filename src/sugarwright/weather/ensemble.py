"""Many possible weathers from one forecast, and how much runs and days scatter about the model.

All members together are *centred*: at every hour their mean is the forecast itself, less its known
bias, and moved by what has come of it so far (``weather.so_far``). Antithetic pairs would do that
too, but eight members would then hold only four shapes. Instead each set of normal draws has its
mean over the members taken off and is stretched by sqrt(n / (n - 1)), which keeps each member's
variance and leaves n - 1 shapes. One member alone is that mean.
"""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError, RangeError
from sugarwright.weather.forecast_errors import WARMEST_LOCAL_H, ForecastErrors, day_wave
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.so_far import READ_SD_K, given_so_far

Floats = NDArray[np.float64]

PRIOR = ForecastErrors()
RUN_SD = 0.5  # of the logarithm
BRIX_SD = 0.12
BRIX_MEMORY_PER_DAY = 0.7


def perturb(
    forecast: HourlyWeather,
    members: int,
    seed: int,
    issued_s: int | None = None,
    utc_offset_h: float = -5.0,
    errors: ForecastErrors = PRIOR,
    known_to_s: int | None = None,
    sd_k: Floats | None = None,
) -> Floats:
    """Make an ensemble of temperatures about one forecast.

    Parameters
    ----------
    forecast : hours of weather, observed ones first perhaps
    members : number of scenarios wanted
    seed : same seed, issue and forecast, same ensemble; a longer forecast only adds hours to it
    issued_s : UTC s of the forecast's issue; left out: the forecast's own, or its first hour.
        Leads count from here, so that an old forecast has the wide bands that it deserves
    utc_offset_h : standard time of the place; longitude / 15 will do. Only the shape of the daily
        swing hangs on it
    errors : how forecasts err at this place
    known_to_s : UTC s; hours that begin before it were observed and stay as they are, even if the
        forecast is older, and what was said of them (``said_c``) tells how it errs in the hours
        ahead. Left out: ``issued_s``
    sd_k : (hours,) standard deviation of the error, where the source tells its own [K]; it takes
        the place of the one by lead

    Returns
    -------
    (members, hours) [°C], within -60 to 60

    Raises
    ------
    RangeError : if fewer than one member is wanted
    InputError : if ``sd_k`` does not fit the hours
    """
    if members < 1:
        raise RangeError("members", members, "an ensemble needs one", "1 or more")
    own_s = forecast.first_s if forecast.issued_s is None else forecast.issued_s
    begin_s = own_s if issued_s is None else issued_s
    ahead = forecast.time_s >= begin_s
    lead_h = (forecast.time_s - begin_s) / HOUR_S
    spread_k = errors.sd_k(lead_h) if sd_k is None else _fitting(sd_k, len(forecast))
    local_h = forecast.time_s / HOUR_S + utc_offset_h
    mean_k = errors.mean_k(lead_h, local_h)
    known = ~ahead if known_to_s is None else ~ahead | (forecast.time_s < known_to_s)
    deviation = np.zeros((members, len(forecast)))
    deviation[:, ahead] = _shapes(members, seed, begin_s, local_h[ahead], errors)
    came_k = _came_k(forecast) + mean_k
    seen = ahead & known & (spread_k > 0.0) & np.isfinite(came_k)
    if seen.any():
        noise = _centred(_source(seed, begin_s, 2), members, int(seen.sum())).T
        deviation[:, ahead] = given_so_far(
            deviation[:, ahead],
            seen[ahead],
            came_k[seen] / spread_k[seen],
            noise,
            READ_SD_K / spread_k[seen],
            _shared(local_h[ahead], errors),
        )
    ensemble = forecast.temperature_c - mean_k + spread_k * deviation
    ensemble[:, known] = forecast.temperature_c[known]
    clipped: Floats = np.clip(ensemble, -60.0, 60.0)
    return clipped


def so_far_k(
    weather: HourlyWeather,
    issued_s: int,
    utc_offset_h: float,
    errors: ForecastErrors,
    known_to_s: int,
) -> Floats:
    """Return how much what has come so far moves the mean of each hour, (hours,) [K].

    Parameters
    ----------
    weather, issued_s, utc_offset_h, errors, known_to_s : as :func:`perturb` takes them
    """
    blind = replace(weather, said_c=None)
    given, before = (
        perturb(each, 1, 0, issued_s, utc_offset_h, errors, known_to_s)[0]
        for each in (weather, blind)
    )
    moved: Floats = given - before
    return moved


def run_multipliers(members: int, runs: int, seed: int, sd_log: float = RUN_SD) -> Floats:
    """Draw what each run of sap is multiplied by: log-normal, with a mean of 1 over the members.

    Mean 1, not median 1, so that scatter doesn't raise the expected season. The draws are
    stratified (each run has one member in each of the n equal slices of probability), then scaled
    to the mean.

    Parameters
    ----------
    members, runs : shape wanted
    seed : of the draw; more runs only add columns
    sd_log : standard deviation of the logarithm, from how gatherings of one sugarbush in 2015
        scattered about this model (0.5 to 0.6, which holds ice, overflow and late gathering too)

    Returns
    -------
    (members, runs), all positive

    Raises
    ------
    RangeError : if fewer than one member is wanted, or the deviation is negative
    """
    if members < 1:
        raise RangeError("members", members, "an ensemble needs one", "1 or more")
    if not 0.0 <= sd_log <= 3.0:
        raise RangeError("sd_log", sd_log, "is no spread of a logarithm", "0 to 3")
    source = np.random.default_rng(np.random.SeedSequence([abs(int(seed)), members]))
    places = np.empty((runs, members))
    for run in range(runs):  # one after the other, so that more runs only add to them
        places[run] = source.permutation(members)
        places[run] += source.random(members)
    drawn = np.exp(sd_log * normal_quantiles(places / members))
    factors: Floats = (drawn / drawn.mean(axis=1, keepdims=True)).T
    return factors


def brix_noise(members: int, days: int, seed: int) -> Floats:
    """Draw how each day's Brix stands off the expected one: (members, days), centred.

    Days remember: lag-one correlation 0.7, standard deviation 0.12 (from memory).

    Raises
    ------
    RangeError : if fewer than one member is wanted
    """
    if members < 1:
        raise RangeError("members", members, "an ensemble needs one", "1 or more")
    source = np.random.default_rng(np.random.SeedSequence([abs(int(seed)), 7]))
    return BRIX_SD * _remembering(source, members, days, BRIX_MEMORY_PER_DAY)


def _centred(source: np.random.Generator, members: int, steps: int) -> Floats:
    """Draw (steps, members) unit normals whose mean over the members is zero."""
    draws = source.standard_normal((steps, members))
    if members == 1:
        return np.zeros_like(draws)
    centred: Floats = draws - draws.mean(axis=1, keepdims=True)
    return centred * math.sqrt(members / (members - 1))


def _remembering(source: np.random.Generator, members: int, steps: int, memory: float) -> Floats:
    """Return (members, steps) of a stationary first-order process of variance 1."""
    draws = _centred(source, members, steps)
    renewal = math.sqrt(1.0 - memory**2)
    for step in range(1, steps):
        draws[step] = memory * draws[step - 1] + renewal * draws[step]
    return draws.T


def _shapes(
    members: int, seed: int, begin_s: int, local_h: Floats, errors: ForecastErrors
) -> Floats:
    """Return (members, hours) of centred errors with a variance of 1 on average over a day."""
    slow_source, swing_source = _source(seed, begin_s, 0), _source(seed, begin_s, 1)
    slow = _remembering(slow_source, members, len(local_h), errors.memory_fraction)
    swing = _swing(swing_source, members, local_h)
    return math.sqrt(errors.slow_fraction) * slow + math.sqrt(errors.swing_fraction) * swing


def _shared(local_h: Floats, errors: ForecastErrors) -> Floats:
    """Return the covariance of such errors, (hours, hours)."""
    apart_h = np.abs(np.subtract.outer(local_h, local_h))
    day, wave = _swing_day(local_h), day_wave(local_h)
    swing = np.equal.outer(day, day) * np.multiply.outer(wave, wave)
    shared: Floats = (
        errors.slow_fraction * errors.memory_fraction**apart_h + errors.swing_fraction * swing
    )
    return shared


def _swing_day(local_h: Floats) -> NDArray[np.int64]:
    """Number of the day from 21:00 to 21:00 that each hour lies in."""
    return np.floor((local_h - (WARMEST_LOCAL_H + 6.0)) / 24.0).astype(np.int64)


def _source(seed: int, begin_s: int, which: int) -> np.random.Generator:
    """One of the independent sources of draws of a forecast."""
    sequence = np.random.SeedSequence([abs(int(seed)), abs(int(begin_s))])
    return np.random.default_rng(sequence).spawn(which + 1)[which]


def _came_k(forecast: HourlyWeather) -> Floats:
    """How much warmer each hour came than had been said; NaN where nothing had, or is to come."""
    if forecast.said_c is None:
        return np.full(len(forecast), np.nan)
    return forecast.temperature_c - forecast.said_c


def _swing(source: np.random.Generator, members: int, local_h: Floats) -> Floats:
    """Return the daily swing: one amplitude from 21:00 to 21:00, when the wave passes through zero.

    Changed at midnight, as days are counted, it would make the temperature jump.
    """
    if len(local_h) == 0:
        return np.zeros((members, 0))
    day = _swing_day(local_h)
    day -= day[0]
    amplitudes = _centred(source, members, int(day[-1]) + 1)
    swing: Floats = amplitudes[day].T * day_wave(local_h)
    return swing


def _fitting(sd_k: Floats, hours: int) -> Floats:
    spread = np.asarray(sd_k, dtype=np.float64)
    if spread.shape != (hours,) or not (spread >= 0.0).all():
        raise InputError("sd_k", spread.shape, "is no spread of these hours", f"({hours},), 0 up")
    return spread


def normal_quantiles(probability: Floats) -> Floats:
    """Return standard normal quantiles, in the shape given."""
    quantile = NormalDist().inv_cdf
    inside = np.clip(probability, 1e-12, 1.0 - 1e-12)
    return np.array([quantile(each) for each in inside.ravel().tolist()]).reshape(inside.shape)
