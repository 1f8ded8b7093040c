"""How forecasts err at one place: how much, for how long, and in which direction.

The defaults are a prior from memory for post-processed forecasts of 2 m temperature in
north-eastern North America in spring. ``weather.errors_learnt`` moves them as far as the place's
own forecasts, once their hours have come, can carry.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sugarwright.errors import RangeError

Floats = NDArray[np.float64]

WARMEST_LOCAL_H = 15.0
_RANGES = {
    "sd_at_issue_k": (0.05, 15.0),
    "growth_k_per_h": (0.0, 1.0),
    "sd_climate_k": (0.1, 20.0),
    "slow_fraction": (0.0, 1.0),
    "memory_fraction": (0.0, 0.9999),
    "swing_fraction": (0.0, 2.0),
    "shape_sd_k": (0.0, 15.0),
    "bias_k": (-15.0, 15.0),
    "bias_growth_k_per_h": (-0.5, 0.5),
    "swing_bias_k": (-15.0, 15.0),
}


@dataclass(frozen=True)
class ForecastErrors:
    """What is believed of a forecast's errors (forecast minus what came).

    Parameters
    ----------
    sd_at_issue_k : standard deviation at lead zero [K]
    growth_k_per_h : what is added with each hour of lead, in squares [K/h]
    sd_climate_k : no forecast errs more than the season's own spread [K]
    slow_fraction : share of the variance in which hours hang together: when a front comes, how
        warm its air is
    memory_fraction : share of that part's deviation which is left an hour later; 0.97 leaves 0.69
        after 12 h
    swing_fraction : variance, against the whole, of the day-night part at its crests: nights
        colder and afternoons warmer, or the reverse. Half of it on average over a day
    shape_sd_k : error that does not grow with lead, added in squares [K]: a curve through a typed
        low and high has one
    bias_k : mean error at lead zero [K]
    bias_growth_k_per_h : what the mean error changes by with each hour of lead [K/h]
    swing_bias_k : mean error of the day-night part [K]: positive where the forecast's afternoons
        are too warm and its nights too cold
    source : where these figures come from, in words
    forecasts : how many forecasts taught them
    bias_sd_k : how sure the bias is: standard deviation of ``bias_k`` [K]
    sd_log : how sure the spread is: standard deviation of the logarithm of the error of the first
        days

    Raises
    ------
    RangeError : if a figure cannot be
    """

    sd_at_issue_k: float = 1.2
    growth_k_per_h: float = 0.021
    sd_climate_k: float = 5.0
    slow_fraction: float = 0.75
    memory_fraction: float = 0.97
    swing_fraction: float = 0.5
    shape_sd_k: float = 0.0
    bias_k: float = 0.0
    bias_growth_k_per_h: float = 0.0
    swing_bias_k: float = 0.0
    source: str = "prior, from memory"
    forecasts: int = 0
    bias_sd_k: float = 1.0
    sd_log: float = 0.35

    def __post_init__(self) -> None:
        for field in fields(self):
            least, greatest = _RANGES.get(field.name, (0.0, 1e9))
            value = getattr(self, field.name)
            if not isinstance(value, str) and not least <= value <= greatest:
                allowed = f"{least:g} to {greatest:g}"
                raise RangeError(field.name, value, "is no error of a forecast", allowed)

    def sd_k(self, lead_h: ArrayLike) -> Floats:
        """Return the standard deviation of the error [K] at a lead [h]; a negative one is zero."""
        lead = np.maximum(np.asarray(lead_h, dtype=np.float64), 0.0)
        grown = np.minimum(
            np.hypot(self.sd_at_issue_k, self.growth_k_per_h * lead), self.sd_climate_k
        )
        return np.hypot(grown, self.shape_sd_k)

    def mean_k(self, lead_h: ArrayLike, local_h: ArrayLike) -> Floats:
        """Return the mean error [K] at a lead [h] and an hour of the local (sun) day [h]."""
        wave: Floats = day_wave(local_h)
        lead = np.maximum(np.asarray(lead_h, dtype=np.float64), 0.0)
        return self.bias_k + self.bias_growth_k_per_h * lead + self.swing_bias_k * wave


def day_wave(local_h: ArrayLike) -> Floats:
    """Return the course of a day: 1 at its warmest hour, -1 twelve hours from it."""
    since_h = np.asarray(local_h, dtype=np.float64) - WARMEST_LOCAL_H
    wave: Floats = np.cos(2.0 * np.pi * since_h / 24.0)
    return wave
