"""What a place's own forecasts teach about their errors.

Each day of lead of each forecast gives three numbers: its mean error, the error of its day-night
swing, and its mean square. Bias is a Bayesian linear regression on the first two; the spread is
read off a grid of its two parameters, the mean squares being scaled chi-squares with the degrees
of freedom that hours hanging together leave (F.E. Satterthwaite, Biometrics Bull. 2 (1946) 110).
With no forecasts the prior stands exactly; with few it moves a little.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.forecast_errors import ForecastErrors, day_wave
from sugarwright.weather.hours import HOUR_S
from sugarwright.weather.verified import DAY_H, LeadDay, overlap_fraction

Floats = NDArray[np.float64]

BIAS_GROWTH_SD_K_PER_H = 0.1 / 24.0
SWING_BIAS_SD_K = 1.0
GROWTH_SD_LOG = 0.35
ROUNDS = 4  # bias and spread know of each other; they settle at once
_GRID = np.linspace(-3.0, 3.0, 41)  # of prior standard deviations


@dataclass(frozen=True)
class _Days:
    """What the days say of forecast minus observed: all (days,)."""

    lead_h: Floats
    mean_k: Floats
    swing_k: Floats
    rest_k2: Floats  # mean square about those two


@dataclass(frozen=True)
class _Unsure:
    """How unsure the mean error and that of the swing are, as variances [K²], at each day."""

    mean_k2: Floats
    swing_k2: float


def learn_errors(
    days: Sequence[LeadDay],
    utc_offset_h: float,
    prior: ForecastErrors,
    source: str = "this place's own forecasts",
) -> ForecastErrors:
    """Return what forecasts of one source say of their own errors.

    Parameters
    ----------
    days : of all its forecasts that can be judged, of the last two months or so
    utc_offset_h : standard time of the place
    prior : what was believed before; its shares, memory and season's spread stay as they are
    source : to be named in the result

    Returns
    -------
    ForecastErrors; the prior itself if there is no day
    """
    if not days:
        return prior
    said = _summarised(days, utc_offset_h)
    weight = min(overlap_fraction(days), _one_after_the_other(prior))
    found = prior
    for _ in range(ROUNDS):
        found, unsure = _with_bias(found, prior, said, weight)
        found = _with_spread(found, prior, said, weight, unsure)
    count = len({each.issued_s for each in days})
    return replace(found, source=source, forecasts=prior.forecasts + count)


def _summarised(days: Sequence[LeadDay], utc_offset_h: float) -> _Days:
    rows = np.empty((len(days), 4))
    for row, day in zip(rows, days, strict=True):
        error_k = day.forecast_c - day.observed_c
        wave = day_wave(day.time_s / HOUR_S + utc_offset_h)
        off = wave - wave.mean()
        swing_k = (off @ error_k) / (off @ off)
        mean_k = error_k.mean() - swing_k * wave.mean()
        rest_k = error_k - mean_k - swing_k * wave
        row[:] = DAY_H * day.day + 0.5 * (DAY_H - 1), mean_k, swing_k, (rest_k @ rest_k) / len(wave)
    return _Days(*rows.T)


def _one_after_the_other(errors: ForecastErrors) -> float:
    """Return how much the days of one forecast tell, against as many that know nothing of another.

    Of the mean of a first-order process (H.J. Thiébaux and F.W. Zwiers, J. Clim. Appl. Meteorol. 23
    (1984) 800): (1 - r) / (1 + r), r being what is left of a deviation after a day.
    """
    left = errors.memory_fraction**DAY_H
    return (1.0 - left) / (1.0 + left)


def _day_covariance(errors: ForecastErrors) -> Floats:
    """Return how the errors of a day's hours hang together, of a variance of 1 on average."""
    hour = np.arange(float(DAY_H))
    wave = day_wave(hour)
    slow = errors.memory_fraction ** np.abs(hour[:, np.newaxis] - hour)
    return errors.slow_fraction * slow + errors.swing_fraction * np.outer(wave, wave)


def _with_bias(
    now: ForecastErrors, prior: ForecastErrors, said: _Days, weight_ratio: float
) -> tuple[ForecastErrors, _Unsure]:
    """Return the errors with the bias that the days say, the spread being given."""
    together = _day_covariance(now)
    wave = day_wave(np.arange(float(DAY_H)))
    precision = weight_ratio / now.sd_k(said.lead_h) ** 2
    of_mean = precision / together.mean()
    of_swing = precision / (4.0 * wave @ together @ wave / DAY_H**2)
    design = np.stack([np.ones_like(said.lead_h), said.lead_h], axis=1)
    prior_precision = np.diag([prior.bias_sd_k**-2, BIAS_GROWTH_SD_K_PER_H**-2])
    covariance = np.linalg.inv(prior_precision + design.T @ (of_mean[:, np.newaxis] * design))
    believed = prior_precision @ [prior.bias_k, prior.bias_growth_k_per_h]
    bias = covariance @ (believed + design.T @ (of_mean * said.mean_k))
    swing_precision = SWING_BIAS_SD_K**-2
    swing_k2 = 1.0 / (swing_precision + of_swing.sum())
    swing_k = swing_k2 * (swing_precision * prior.swing_bias_k + of_swing @ said.swing_k)
    unsure = _Unsure(np.einsum("di,ij,dj->d", design, covariance, design), float(swing_k2))
    found = replace(
        now,
        bias_k=float(np.clip(bias[0], -15.0, 15.0)),
        bias_growth_k_per_h=float(np.clip(bias[1], -0.5, 0.5)),
        swing_bias_k=float(np.clip(swing_k, -15.0, 15.0)),
        bias_sd_k=float(np.sqrt(covariance[0, 0])),
    )
    return found, unsure


def _with_spread(
    now: ForecastErrors, prior: ForecastErrors, said: _Days, weight_ratio: float, unsure: _Unsure
) -> ForecastErrors:
    """Return the errors with the spread that the days say, the bias being given."""
    bias_k = now.bias_k + now.bias_growth_k_per_h * said.lead_h
    mean_k2 = (said.mean_k - bias_k) ** 2 + unsure.mean_k2
    swing_k2 = (said.swing_k - now.swing_bias_k) ** 2 + unsure.swing_k2
    lead_h, at, counts = np.unique(said.lead_h, return_inverse=True, return_counts=True)
    square_k2 = np.bincount(at, mean_k2 + 0.5 * swing_k2 + said.rest_k2)
    together = _day_covariance(now)
    freedom = np.trace(together) ** 2 / (together**2).sum()
    at_issue = prior.sd_at_issue_k * np.exp(prior.sd_log * _GRID)[:, np.newaxis, np.newaxis]
    growth = prior.growth_k_per_h * np.exp(GROWTH_SD_LOG * _GRID)[:, np.newaxis]
    grown = np.minimum(np.hypot(at_issue, growth * lead_h), prior.sd_climate_k)
    variance = grown**2 + prior.shape_sd_k**2
    misfit = (counts * np.log(variance) + square_k2 / variance).sum(axis=2)
    fit = -0.5 * freedom * weight_ratio * misfit
    log_posterior = fit - 0.5 * (_GRID[:, np.newaxis] ** 2 + _GRID**2)
    chance = np.exp(log_posterior - log_posterior.max())
    chance /= chance.sum()
    issue_mean = float(_GRID @ chance.sum(axis=1))
    issue_sd = float(np.sqrt((_GRID - issue_mean) ** 2 @ chance.sum(axis=1)))
    growth_mean = float(_GRID @ chance.sum(axis=0))
    return replace(
        now,
        sd_at_issue_k=prior.sd_at_issue_k * float(np.exp(prior.sd_log * issue_mean)),
        growth_k_per_h=prior.growth_k_per_h * float(np.exp(GROWTH_SD_LOG * growth_mean)),
        sd_log=prior.sd_log * issue_sd,
    )
