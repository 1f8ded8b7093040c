"""Chains of measured differences, and how likely they are when one reading in them may be a slip.

A chain is what belongs together: the tank readings before, during and after one fire. Its windows
(from one reading to the next) share readings, so their errors hang together; and they share how
eagerly was fired that day, a factor about the model's own value. Beside the likelihood without a
slip stand those with one: a reading that lies by any amount, or a day on which nothing fits. The
chances of all of them are summed, so a slip costs little more than itself, and can be named
(a mixture of good and bad data: G.E.P. Box and G.C. Tiao, Biometrika 55, 1968).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.remarks import Doubt

Floats = NDArray[np.float64]

SLIP_CHANCE = 0.02  # of each reading: judgement
ODD_CHANCE = 0.01  # of a day on which nothing fits (a wrong hour, a fire not logged): judgement
ALIKE_FRACTION = 0.3  # of the likeliest slip's chance
ODD_SD = 0.7  # how far it may lie then, as a part of the model's value: judgement


@dataclass(frozen=True)
class Slip:
    """One reading that may be wrong by any amount.

    Parameters
    ----------
    at_s : UTC s of it
    what : in words, without time
    effect : (windows,), what one unit of error does to each of the chain's windows
    sd : of the error, should it be one
    """

    at_s: float
    what: str
    effect: Floats
    sd: float


@dataclass(frozen=True)
class Chain:
    """Measured differences that belong together.

    Parameters
    ----------
    at_s : UTC s of its begin
    what : in words, without time
    measured : (windows,)
    covariance : (windows, windows) of their errors of reading
    slips : readings that may be wrong
    """

    at_s: float
    what: str
    measured: Floats
    covariance: Floats
    slips: tuple[Slip, ...]

    @property
    def total(self) -> tuple[float, float]:
        """What was measured in all, and the variance of that."""
        return float(self.measured.sum()), float(self.covariance.sum())


def likelihoods(chain: Chain, modelled: Floats, own_sd: Floats) -> Floats:
    """Return log likelihoods, with their prior chances: no slip, each slip, an odd day.

    Parameters
    ----------
    chain : what was measured
    modelled : (points, windows)
    own_sd : (points,), standard deviation of the day's own factor

    Returns
    -------
    (2 + slips, points)
    """
    clean = 1.0 - ODD_CHANCE - SLIP_CHANCE * len(chain.slips)
    left = chain.measured - modelled
    rows = [math.log(max(clean, 0.5)) + _normal_log(left, modelled, own_sd, chain.covariance)]
    for slip in chain.slips:
        wider = chain.covariance + slip.sd**2 * np.outer(slip.effect, slip.effect)
        rows.append(math.log(SLIP_CHANCE) + _normal_log(left, modelled, own_sd, wider))
    odd_sd = np.full(len(modelled), ODD_SD)
    rows.append(math.log(ODD_CHANCE) + _normal_log(left, modelled, odd_sd, chain.covariance))
    return np.stack(rows)


def _normal_log(left: Floats, modelled: Floats, own_sd: Floats, covariance: Floats) -> Floats:
    """Log density of a normal with covariance C + s^2 m m', by Sherman and Morrison's formula."""
    inverse = np.linalg.inv(covariance)
    pulled, weighed = left @ inverse, modelled @ inverse
    own = own_sd**2
    stretch = 1.0 + own * np.einsum("pw,pw->p", weighed, modelled)
    cross = np.einsum("pw,pw->p", weighed, left)
    square = np.einsum("pw,pw->p", pulled, left) - own * cross**2 / stretch
    spread = float(np.linalg.slogdet(covariance)[1]) + np.log(stretch)
    density: Floats = -0.5 * (square + spread + left.shape[1] * math.log(2.0 * math.pi))
    return density


def summed(rows: Floats) -> Floats:
    """Return the logarithm of the sum of exponentials over the first axis."""
    top = rows.max(axis=0)
    total: Floats = top + np.log(np.exp(rows - top).sum(axis=0))
    return total


def doubts(chains: Sequence[Chain], rows: Sequence[Floats], weights: Floats) -> tuple[Doubt, ...]:
    """Return what is more likely a slip than not, given all that was learnt.

    Parameters
    ----------
    chains : with their ``likelihoods``
    rows : (2 + slips, points) of each
    weights : (points,) what was learnt, summing to 1
    """
    found = []
    for chain, each in zip(chains, rows, strict=True):
        chances = np.exp(each - summed(each)) @ weights
        if chances[0] >= 0.5:
            continue
        said = [*((slip.at_s, slip.what) for slip in chain.slips), (chain.at_s, chain.what)]
        best = int(np.argmax(chances[1:]))
        if chances[1:-1].max(initial=0.0) > ALIKE_FRACTION * chances[-1]:
            best = int(np.argmax(chances[1:-1]))  # a reading can be looked up, an odd day cannot
        # Of two readings about one window either may be the wrong one.
        alike = [
            at_s
            for place, (at_s, what) in enumerate(said)
            if place != best
            and what == said[best][1]
            and chances[1 + place] > ALIKE_FRACTION * chances[1 + best]
        ]
        found.append(Doubt(*said[best], float(1.0 - chances[0]), tuple(alike)))
    return tuple(found)
