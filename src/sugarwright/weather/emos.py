"""Mean and spread of a real ensemble, corrected by how it did here lately.

Ensemble model output statistics (T. Gneiting, A.E. Raftery, A.H. Westveld and T. Goldman, Mon.
Weather Rev. 133 (2005) 1098): what comes is normal about a + b x of the members' mean x, with a
variance c + d s² of their variance s²; a, b, c, d make the mean score (CRPS) of the last weeks
least. Here they are also held to what is believed without any: a month is few forecasts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.forecast import Forecast
from sugarwright.weather.scores import crps_normal, normal_below, normal_density
from sugarwright.weather.verified import DAY_H, Measured, lead_days, overlap_fraction

Floats = NDArray[np.float64]

LEARN_DAYS = 30
DAY_FREEDOM = 2.0  # a day's hours hang together: they count as two, its mean and its swing
_PRIOR_SD = np.array([1.0, 0.1, 0.35, 0.5])  # of a [K], b, and the logarithms of sqrt(c), sqrt(d)
_MOST_STEPS = 60


@dataclass(frozen=True)
class Calibration:
    """What becomes of an ensemble's mean and spread.

    Parameters
    ----------
    intercept_k : a, added to the mean [K]
    slope : b, of the mean about 0 °C, where it matters most for sap
    base_sd_k : square root of c: what no ensemble of a coarse grid knows of one place [K]
    spread_factor : square root of d
    forecasts : how many forecasts taught it
    """

    intercept_k: float = 0.0
    slope: float = 1.0
    base_sd_k: float = 1.2
    spread_factor: float = 1.0
    forecasts: int = 0

    def mean_c(self, mean_c: Floats) -> Floats:
        """Return the corrected mean of members whose mean is given [°C]."""
        return self.intercept_k + self.slope * mean_c

    def sd_k(self, sd_k: Floats) -> Floats:
        """Return the corrected spread of members whose standard deviation is given [K]."""
        return np.hypot(self.base_sd_k, self.spread_factor * sd_k)


def fit_calibration(
    mean_c: Floats,
    sd_k: Floats,
    observed_c: Floats,
    weight_ratio: float = 1.0,
    prior: Calibration | None = None,
) -> Calibration:
    """Return the calibration of least CRPS, held to a prior.

    Parameters
    ----------
    mean_c, sd_k : (cases,) of the members
    observed_c : (cases,) what came
    weight_ratio : how many independent cases each of them is worth
    prior : what is believed without any case

    Returns
    -------
    Calibration

    Notes
    -----
    Damped Newton steps on the weighted score, in units of the prior's own base spread, plus half
    the squared distance from the prior in its standard deviations; the Hessian is by differences
    of the exact gradient.
    """
    begin = prior or Calibration()
    cases = (mean_c, sd_k, observed_c)
    at = np.zeros(4)
    value, slope = _objective(at, cases, weight_ratio, begin)
    damping = 1e-3
    for _ in range(_MOST_STEPS):
        hessian = _hessian(at, slope, cases, weight_ratio, begin)
        step = -np.linalg.solve(hessian + damping * np.eye(4), slope)
        tried, slope_there = _objective(at + step, cases, weight_ratio, begin)
        if tried < value:
            at, slope, damping = at + step, slope_there, damping / 10.0
            if value - tried < 1e-10 * (1.0 + abs(value)):
                break
            value = tried
        else:
            damping = max(10.0 * damping, 1e-3)
            if damping > 1e12:
                break
    return _calibration(at, begin)


def learn_calibration(forecasts: Sequence[Forecast], came: Measured) -> Calibration:
    """Return what the forecasts with members say, those of the last ``LEARN_DAYS`` days."""
    real = [each for each in forecasts if each.member_temperature_c is not None]
    if not real:
        return Calibration()
    first_s = max(each.issued_s for each in real) - LEARN_DAYS * DAY_H * 3600
    days, means, spreads = [], [], []
    for forecast in (each for each in real if each.issued_s >= first_s):
        members_c = forecast.member_temperature_c
        assert members_c is not None  # for the type checker: chosen so above
        for day in lead_days(forecast, came):
            days.append(day)
            means.append(members_c[:, day.place].mean(axis=0))
            spreads.append(sample_sd(members_c[:, day.place]))
    if not days:
        return Calibration()
    observed_c = np.concatenate([each.observed_c for each in days])
    weight = overlap_fraction(days) * DAY_FREEDOM / DAY_H
    fitted = fit_calibration(np.concatenate(means), np.concatenate(spreads), observed_c, weight)
    return replace(fitted, forecasts=len({each.issued_s for each in days}))


def sample_sd(members: Floats) -> Floats:
    """Return the standard deviation that members are a sample of; 0 for one alone."""
    if len(members) < 2:
        return np.zeros(members.shape[1:])
    spread: Floats = members.std(axis=0, ddof=1)
    return spread


def _calibration(at: Floats, begin: Calibration) -> Calibration:
    off = at * _PRIOR_SD
    return Calibration(
        begin.intercept_k + float(off[0]),
        begin.slope + float(off[1]),
        begin.base_sd_k * math.exp(float(np.clip(off[2], -5.0, 5.0))),
        begin.spread_factor * math.exp(float(np.clip(off[3], -5.0, 5.0))),
        begin.forecasts,
    )


def _objective(
    at: Floats, cases: tuple[Floats, Floats, Floats], weight_ratio: float, begin: Calibration
) -> tuple[float, Floats]:
    """Return the penalised score and its gradient, ``at`` in prior standard deviations."""
    mean_c, sd_k, observed_c = cases
    now = _calibration(at, begin)
    middle, spread = now.mean_c(mean_c), now.sd_k(sd_k)
    z = (observed_c - middle) / spread
    by_middle = 1.0 - 2.0 * normal_below(z)
    by_spread = 2.0 * normal_density(z) - 1.0 / math.sqrt(math.pi)
    gradient = np.array(
        [
            by_middle.sum(),
            by_middle @ mean_c,
            by_spread @ (now.base_sd_k**2 / spread),
            by_spread @ ((now.spread_factor * sd_k) ** 2 / spread),
        ]
    )
    scale = weight_ratio / begin.base_sd_k
    score = scale * float(crps_normal(observed_c, middle, spread).sum())
    return score + 0.5 * float(at @ at), scale * gradient * _PRIOR_SD + at


def _hessian(
    at: Floats,
    slope: Floats,
    cases: tuple[Floats, Floats, Floats],
    weight_ratio: float,
    begin: Calibration,
) -> Floats:
    """Return the curvature, its negative directions turned round so that steps go down."""
    step = 1e-5
    columns = [
        (_objective(at + step * axis, cases, weight_ratio, begin)[1] - slope) / step
        for axis in np.eye(4)
    ]
    curvature = np.array(columns)
    values, vectors = np.linalg.eigh(0.5 * (curvature + curvature.T))
    turned: Floats = (vectors * np.abs(values)) @ vectors.T
    return turned
