"""Bayes on a few numbers: a grid over their priors, laid once more where the posterior is."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.robust import Chain, likelihoods, summed

Floats = NDArray[np.float64]

FIRST_SDS = 4.0  # of the prior, to each side
SECOND_SDS = 5.0  # of the posterior of the first grid
ROUNDS = 3
BAND_SDS = 1.6449  # to each side of a band that holds nine of ten


@dataclass(frozen=True)
class LogPrior:
    """A log-normal prior.

    Parameters
    ----------
    median, sd_log : of the number
    points : of its axis
    """

    median: float
    sd_log: float
    points: int = 7


@dataclass(frozen=True)
class Gridded:
    """What was learnt, on a grid.

    Parameters
    ----------
    values : (points, numbers)
    weights : (points,), summing to 1
    mean_log, sd_log : (numbers,), of the logarithms
    """

    values: Floats
    weights: Floats
    mean_log: Floats
    sd_log: Floats


def learn_on_grid(
    priors: Sequence[LogPrior], likelihood_log: Callable[[Floats], Floats]
) -> Gridded:
    """Learn numbers from what was seen.

    Parameters
    ----------
    priors : one a number
    likelihood_log : of (points, numbers), giving (points,)

    Returns
    -------
    Gridded
    """
    z_mean, z_sd = np.zeros(len(priors)), np.ones(len(priors))
    reach = FIRST_SDS
    for _ in range(ROUNDS):
        axes = []
        for at, prior in enumerate(priors):
            low = max(z_mean[at] - reach * z_sd[at], -FIRST_SDS - 1.0)
            high = min(z_mean[at] + reach * z_sd[at], FIRST_SDS + 1.0)
            axes.append(np.linspace(low, high, prior.points))
        z, values = _laid(priors, axes)
        weights = weights_of(likelihood_log(values) - 0.5 * (z**2).sum(axis=1))
        z_mean = weights @ z
        step = np.array([axis[1] - axis[0] for axis in axes])
        z_sd = np.maximum(np.sqrt(weights @ (z - z_mean) ** 2), 0.5 * step)
        reach = SECOND_SDS
    logs = np.log(values)
    mean_log = weights @ logs
    return Gridded(values, weights, mean_log, np.sqrt(weights @ (logs - mean_log) ** 2))


def _laid(priors: Sequence[LogPrior], axes: Sequence[Floats]) -> tuple[Floats, Floats]:
    z = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, len(priors))
    values = [each.median * np.exp(each.sd_log * z[:, at]) for at, each in enumerate(priors)]
    return z, np.stack(values, axis=1)


def prior_grid(priors: Sequence[LogPrior], finer: int = 2) -> tuple[Floats, Floats]:
    """Return values (points, numbers) over the priors, the first axis finer, and log weights."""
    counts = [each.points * (finer if at == 0 else 1) for at, each in enumerate(priors)]
    axes = [np.linspace(-FIRST_SDS, FIRST_SDS, count) for count in counts]
    z, values = _laid(priors, axes)
    return values, -0.5 * (z**2).sum(axis=1)


def weights_of(weights_log: Floats) -> Floats:
    """Return weights that sum to 1."""
    weights = np.exp(weights_log - weights_log.max())
    whole: Floats = weights / weights.sum()
    return whole


@dataclass(frozen=True)
class Foretold:
    """One chain beside what those before it let expect.

    Parameters
    ----------
    at_s : UTC s of its begin
    measured : in all [m3]
    expected, sd : as foretold from those before, uncertainty of the readings included [m3]
    inside : whether it lies within the band that holds nine of ten
    """

    at_s: float
    measured: float
    expected: float
    sd: float
    inside: bool


def one_by_one(
    chains: Sequence[Chain],
    priors: Sequence[LogPrior],
    modelled: Callable[[int, Floats], Floats],
    own: int,
) -> tuple[Foretold, ...]:
    """Foretell each chain from the prior and the chains before it: the predictive check.

    Parameters
    ----------
    chains : in order of time
    priors : of the numbers
    modelled : (points, windows) of a chain, by its place and the values (points, numbers)
    own : which of the numbers is the deviation of the day's own factor
    """
    values, weights_log = prior_grid(priors)
    found = []
    for at, chain in enumerate(chains):
        each = modelled(at, values)
        weights, total = weights_of(weights_log), each.sum(axis=1)
        measured, variance = chain.total
        mean = float(weights @ total)
        spread = float(weights @ ((total - mean) ** 2 + (values[:, own] * total) ** 2))
        sd = math.sqrt(spread + variance)
        inside = abs(measured - mean) <= BAND_SDS * sd
        found.append(Foretold(chain.at_s, measured, mean, sd, inside))
        weights_log = weights_log + summed(likelihoods(chain, each, values[:, own]))
    return tuple(found)


def inside_chance(right: int, of: int, band_fraction: float) -> float:
    """Return how likely so few of so many fall inside bands that hold a part, or fewer.

    The lower tail of the binomial distribution.
    """
    return sum(
        math.comb(of, each) * band_fraction**each * (1.0 - band_fraction) ** (of - each)
        for each in range(right + 1)
    )
