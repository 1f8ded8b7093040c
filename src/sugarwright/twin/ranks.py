"""Move the members' values of what was read: each keeps its rank (step 1 of ``correct``)."""

from __future__ import annotations

import math

import numpy as np

from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.ensemble import normal_quantiles

_FAINT = 0.02  # share of the wide normal beneath the kernels
_WIDER = 3.0
_SHARPER = 20.0  # an ensemble so much sharper than a reading is left where it is
_GRID, _NEAR = 400, 240  # points over the whole range, and near the reading
_REACH = 6.0  # standard deviations about the reading that are looked at closely


def moved(
    prior: Floats, value: float, sd: float, low: float, high: float, source: np.random.Generator
) -> tuple[Floats, Floats, Floats]:
    """Move each member's value by a reading.

    Parameters
    ----------
    prior : (members,) what was read, as each member has it
    value, sd : the reading and its standard uncertainty
    low, high : what is possible
    source : breaks ties between members that agree

    Returns
    -------
    Posterior values; normal scores before; and how far each score moves.
    """
    members = len(prior)
    order = np.lexsort((source.random(members), prior))
    rank = np.empty(members)
    rank[order] = np.arange(members)
    q = (rank + 0.5) / members
    grid = _grid(prior, value, sd, low, high)
    density = _density(prior, sd, grid)
    before = _cumulative(density, grid)
    log_likelihood = -0.5 * ((grid - value) / sd) ** 2
    with np.errstate(divide="ignore"):
        log_posterior = np.log(density) + log_likelihood
    after = _cumulative(np.exp(log_posterior - log_posterior.max()), grid)
    posterior = np.interp(q, after, grid)
    score = normal_quantiles(q)
    new_score = normal_quantiles(np.clip(np.interp(posterior, grid, before), 1e-6, 1.0 - 1e-6))
    return np.clip(posterior, low, high), score, new_score - score


def _grid(prior: Floats, value: float, sd: float, low: float, high: float) -> Floats:
    reach = _WIDER * (3.0 * prior.std() + 3.0 * sd)
    least = max(low, min(prior.min(), value) - reach)
    most = min(high, max(prior.max(), value) + reach)
    near = value + sd * np.linspace(-_REACH, _REACH, _NEAR)
    grid = np.concatenate([np.linspace(least, most, _GRID), near[(near > least) & (near < most)]])
    return np.unique(grid)


def _density(prior: Floats, sd: float, grid: Floats) -> Floats:
    """Prior density on a grid, not normalised: kernels, and a wide normal beneath."""
    least = min(0.02 * sd, 1e-3 * float(grid[-1] - grid[0]))  # of members that all agree
    mean, spread = float(prior.mean()), max(float(prior.std()), least)
    low, high = np.quantile(prior, [0.25, 0.75])
    robust = min(spread, (high - low) / 1.349) or spread
    width = max(0.9 * robust * len(prior) ** -0.2, min(0.05 * sd, 0.1 * spread))
    shrink = math.sqrt(max(0.0, 1.0 - (width / spread) ** 2))
    centres = mean + shrink * (prior - mean)
    kernels = np.exp(-0.5 * ((grid[:, np.newaxis] - centres) / width) ** 2).mean(axis=1) / width
    wide = _WIDER * (spread + min(sd, _SHARPER * spread))
    beneath = np.exp(-0.5 * ((grid - mean) / wide) ** 2) / wide
    density: Floats = (1.0 - _FAINT) * kernels + _FAINT * beneath
    return density


def _cumulative(density: Floats, grid: Floats) -> Floats:
    """Integral up to each point, 0 to 1, strictly growing so that it can be turned round."""
    parts = 0.5 * (density[1:] + density[:-1]) * np.diff(grid)
    total = np.concatenate([[0.0], np.cumsum(parts)])
    share: Floats = total / total[-1] + np.linspace(0.0, 1e-12, len(grid))
    return share
