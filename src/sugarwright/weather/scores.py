"""How good an ensemble was: scores that only an honest forecaster can win.

T. Gneiting and A.E. Raftery, "Strictly proper scoring rules, prediction, and estimation", J. Am.
Stat. Assoc. 102 (2007) 359; the fair form is by C.A.T. Ferro, Q. J. R. Meteorol. Soc. 140 (2014)
1917. Members run along the first axis of an ensemble, the cases along the others.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sugarwright.errors import InputError, RangeError

Floats = NDArray[np.float64]

_erf = np.frompyfunc(math.erf, 1, 1)


def crps_ensemble(observed: ArrayLike, members: ArrayLike, fair: bool = False) -> Floats:
    """Return the continuous ranked probability score of an ensemble, in the unit of its values.

    mean |x - y| - mean |x - x'| / 2; smaller is better, and for one member it is the absolute
    error.

    Parameters
    ----------
    observed : (...) what came
    members : (members, ...) what was held possible
    fair : take the members as a sample from what was held possible, and score that instead: pairs
        of different members only. Needed to compare ensembles of different sizes; the plain form
        scores the members as they stand

    Raises
    ------
    InputError : if shapes do not fit
    RangeError : if the fair form has fewer than two members
    """
    came, possible = _fitting(observed, members)
    count = len(possible)
    if fair and count < 2:
        raise RangeError("members", count, "the fair score needs pairs", "2 or more")
    ordered = np.sort(possible, axis=0)
    weights = 2.0 * np.arange(1, count + 1) - count - 1.0
    pairs = np.tensordot(weights, ordered, axes=1)  # half the sum of |x - x'| over ordered pairs
    apart = pairs / (count * (count - 1) if fair else count * count)
    score: Floats = np.abs(possible - came).mean(axis=0) - apart
    return score


def crps_normal(observed: ArrayLike, mean: ArrayLike, sd: ArrayLike) -> Floats:
    """Return the score of a normal distribution (Gneiting and Raftery 2007, eq. 21).

    Parameters
    ----------
    observed, mean, sd : of one shape; ``sd`` above zero

    Raises
    ------
    RangeError : if a deviation is not above zero
    """
    came, middle, spread = (np.asarray(each, dtype=np.float64) for each in (observed, mean, sd))
    if not (spread > 0.0).all():
        raise RangeError("sd", float(np.min(spread)), "is no spread of a normal", "above 0")
    z = (came - middle) / spread
    density, below = normal_density(z), normal_below(z)
    score: Floats = spread * (z * (2.0 * below - 1.0) + 2.0 * density - 1.0 / math.sqrt(math.pi))
    return score


def normal_density(z: Floats) -> Floats:
    """Return the standard normal density."""
    density: Floats = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    return density


def normal_below(z: Floats) -> Floats:
    """Return the standard normal distribution function."""
    return 0.5 * (1.0 + np.asarray(_erf(z / math.sqrt(2.0)), dtype=np.float64))


def ranks(observed: ArrayLike, members: ArrayLike, seed: int = 0) -> NDArray[np.int64]:
    """Return how many members lie below what came, 0 to members; a tie is settled by lot.

    Over many cases each rank comes equally often if what came is like one more member
    (T.M. Hamill, Mon. Weather Rev. 129 (2001) 550).
    """
    came, possible = _fitting(observed, members)
    below = (possible < came).sum(axis=0)
    ties = (possible == came).sum(axis=0)
    rank: NDArray[np.int64] = below + np.random.default_rng(seed).integers(0, ties, endpoint=True)
    return rank


def rank_histogram(observed: ArrayLike, members: ArrayLike, seed: int = 0) -> NDArray[np.int64]:
    """Return how often each rank came, (members + 1,)."""
    possible = np.asarray(members)
    return np.bincount(ranks(observed, possible, seed).ravel(), minlength=len(possible) + 1)


def pit(observed: ArrayLike, members: ArrayLike, seed: int = 0) -> Floats:
    """Return the share of what was held possible that lies below what came: even over 0 to 1.

    The probability integral transform of the members, spread by lot within its rank.
    """
    rank = ranks(observed, members, seed)
    within = np.random.default_rng([seed, 1]).random(rank.shape)
    share: Floats = (rank + within) / (len(np.asarray(members)) + 1)
    return share


def band(members: ArrayLike, share_fraction: float = 0.8) -> tuple[Floats, Floats]:
    """Return the ends of the band that should hold a share of outcomes.

    The k-th of n ordered members has k / (n + 1) of outcomes below it, so 9, 19 or 39 members
    give 80 % exactly; between members lines are straight, and beyond the last there is none.

    Raises
    ------
    RangeError : if the share is none
    """
    if not 0.0 < share_fraction < 1.0:
        raise RangeError("share_fraction", share_fraction, "is no share", "between 0 and 1")
    tail = (1.0 - share_fraction) / 2.0
    ends = np.quantile(np.asarray(members), [tail, 1.0 - tail], axis=0, method="weibull")
    return ends[0], ends[1]


def coverage(observed: ArrayLike, members: ArrayLike, share_fraction: float = 0.8) -> float:
    """Return the share of outcomes that the band held, its ends included."""
    came, possible = _fitting(observed, members)
    low, high = band(possible, share_fraction)
    return float(((came >= low) & (came <= high)).mean())


def sharpness(members: ArrayLike, share_fraction: float = 0.8) -> float:
    """Return the mean width of the band: of two that hold their share, the narrower is better."""
    low, high = band(members, share_fraction)
    return float((high - low).mean())


def _fitting(observed: ArrayLike, members: ArrayLike) -> tuple[Floats, Floats]:
    came = np.asarray(observed, dtype=np.float64)
    possible = np.asarray(members, dtype=np.float64)
    if possible.ndim != came.ndim + 1 or possible.shape[1:] != came.shape or len(possible) == 0:
        shape = f"(members, {', '.join(map(str, came.shape))})"
        raise InputError("members", possible.shape, "do not fit what was observed", shape)
    return came, possible
