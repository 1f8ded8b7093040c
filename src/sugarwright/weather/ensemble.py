"""Many possible weathers from one forecast, and how much runs and days scatter about the model.

Every figure here is a prior from memory for post-processed forecasts of north-eastern North
America in spring; keep the forecasts as issued, and after a month their own errors are better.

All members together are *centred*: at every hour their mean is the forecast itself. Antithetic
pairs would do that too, but eight members would then hold only four shapes. Instead each set of
normal draws has its mean over the members taken off and is stretched by sqrt(n / (n - 1)), which
keeps each member's variance and leaves n - 1 shapes. One member alone is the plain forecast.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import RangeError
from sugarwright.weather.hours import HOUR_S, HourlyWeather

Floats = NDArray[np.float64]

SD_AT_ISSUE_K = 1.2
SD_GROWTH_K_PER_H = 0.021
SD_CLIMATE_K = 5.0  # no forecast errs more than the season's own spread
SLOW_SHARE = 0.75  # of the variance: when a front comes, how warm its air is
SLOW_MEMORY_PER_H = 0.97  # still 0.69 after 12 h
SWING_SHARE = 0.5  # nights colder and afternoons warmer, or the reverse; half of it on average
WARMEST_LOCAL_H = 15.0
RUN_SD = 0.5  # of the logarithm
BRIX_SD = 0.12
BRIX_MEMORY_PER_DAY = 0.7


def error_sd_k(lead_h: Floats) -> Floats:
    """Return the standard deviation of a forecast's temperature error [K] at a lead [h]."""
    grown = np.hypot(SD_AT_ISSUE_K, SD_GROWTH_K_PER_H * np.asarray(lead_h, dtype=np.float64))
    return np.minimum(grown, SD_CLIMATE_K)


def perturb(
    forecast: HourlyWeather,
    members: int,
    seed: int,
    issued_s: int | None = None,
    utc_offset_h: float = -5.0,
) -> Floats:
    """Make an ensemble of temperatures about one forecast.

    Parameters
    ----------
    forecast : hours of weather; those that had begun before ``issued_s`` count as observed
    members : number of scenarios wanted
    seed : same seed, issue and forecast, same ensemble; a longer forecast only adds hours to it
    issued_s : UTC s of the forecast's issue; left out: the forecast's own, or its first hour
    utc_offset_h : standard time of the place; longitude / 15 will do. Only the shape of the daily
        swing hangs on it

    Returns
    -------
    (members, hours) [°C], within -60 to 60

    Raises
    ------
    RangeError : if fewer than one member is wanted
    """
    if members < 1:
        raise RangeError("members", members, "an ensemble needs one", "1 or more")
    own_s = forecast.first_s if forecast.issued_s is None else forecast.issued_s
    begin_s = own_s if issued_s is None else issued_s
    ahead = forecast.time_s >= begin_s
    ensemble = np.tile(forecast.temperature_c, (members, 1))
    time_s = forecast.time_s[ahead]
    slow_source, swing_source = np.random.default_rng(
        np.random.SeedSequence([abs(int(seed)), abs(int(begin_s))])
    ).spawn(2)
    shape = math.sqrt(SLOW_SHARE) * _slow(slow_source, members, len(time_s))
    shape += math.sqrt(SWING_SHARE) * _swing(swing_source, members, time_s, utc_offset_h)
    ensemble[:, ahead] += error_sd_k((time_s - begin_s) / HOUR_S) * shape
    clipped: Floats = np.clip(ensemble, -60.0, 60.0)
    return clipped


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
    factors = np.empty((members, runs))
    for run in range(runs):
        order = source.permutation(members)
        within = source.random(members)
        factors[:, run] = np.exp(sd_log * _normal_quantiles((order + within) / members))
    normalised: Floats = factors / factors.mean(axis=0)
    return normalised


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


def _slow(source: np.random.Generator, members: int, hours: int) -> Floats:
    return _remembering(source, members, hours, SLOW_MEMORY_PER_H)


def _swing(
    source: np.random.Generator, members: int, time_s: NDArray[np.int64], utc_offset_h: float
) -> Floats:
    """Return the daily swing: one amplitude from 21:00 to 21:00, when the wave passes through zero.

    Changed at midnight, as days are counted, it would make the temperature jump.
    """
    if len(time_s) == 0:
        return np.zeros((members, 0))
    local_h = time_s / HOUR_S + utc_offset_h
    since_turn_h = local_h - (WARMEST_LOCAL_H + 6.0)
    day = np.floor(since_turn_h / 24.0).astype(np.int64)
    day -= day[0]
    amplitudes = _centred(source, members, int(day[-1]) + 1)
    wave = np.cos(2.0 * np.pi * (local_h - WARMEST_LOCAL_H) / 24.0)
    swing: Floats = amplitudes[day].T * wave
    return swing


def _normal_quantiles(probability: Floats) -> Floats:
    """Return standard normal quantiles (of a handful of figures)."""
    normal = NormalDist()
    inside = np.clip(probability, 1e-12, 1.0 - 1e-12)
    return np.array([normal.inv_cdf(float(each)) for each in inside])
