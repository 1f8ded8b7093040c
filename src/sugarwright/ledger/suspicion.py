"""Tests of readings against balances: is something wrong, what, and what can't be told apart.

A *hypothesis* is a direction in which one error moves the mismatch: a reading that is off, or a
balance that lacks a stream (a leak, a forgotten entry). For independent readings the test of a
reading here is the maximum power measurement test.

Sources: Mah & Tamhane (1982), measurement test; Narasimhan & Mah (1987), generalised likelihood
ratio and serial compensation; Bagajewicz & Jiang (1998), equivalent sets (all from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.ledger.chance import chi_square_limit, shared_limit
from sugarwright.ledger.reconcile import Floats

SEEN = 1e-6
"""A hypothesis whose direction is shorter than this is not tested by any balance."""
ALIKE = 0.999
"""Cosine above which two directions can't be told apart whatever the readings say."""


@dataclass(frozen=True)
class GlobalTest:
    """Do the readings agree at all?

    Parameters
    ----------
    statistic : sum of squares of the mismatch; chi-square when nothing is wrong
    degrees : of freedom
    limit : what chance exceeds with the chance asked for; infinite without degrees
    """

    statistic: float
    degrees: int
    limit: float

    @property
    def passed(self) -> bool:
        """Whether chance explains it."""
        return self.statistic <= self.limit


@dataclass(frozen=True)
class Found:
    """One error found by serial elimination.

    Parameters
    ----------
    best : number of the hypothesis that explains most
    either : all that explain it as well (``best`` first): they can't be told apart
    z : (hypotheses,), the tests at this stage; 0 where a hypothesis is not tested
    size : estimated size of the best one, in the units of its direction
    """

    best: int
    either: tuple[int, ...]
    z: Floats
    size: float


def global_test(values: Floats, level: float = 0.05) -> GlobalTest:
    """Test the whole mismatch.

    Parameters
    ----------
    values : (degrees,), the mismatch
    level : chance of an alarm when nothing is wrong
    """
    degrees = len(values)
    limit = chi_square_limit(degrees, level) if degrees else float("inf")
    return GlobalTest(float(values @ values), degrees, limit)


def likelihood_tests(values: Floats, directions: Floats) -> Floats:
    """Return z of each hypothesis, (hypotheses,); its square is the generalised likelihood ratio.

    Parameters
    ----------
    values : (degrees,), the mismatch
    directions : (degrees, hypotheses)
    """
    lengths = np.sqrt((directions**2).sum(axis=0))
    tested = lengths > SEEN * max(float(lengths.max(initial=0.0)), 1e-300)
    z = np.zeros(len(lengths))
    z[tested] = (directions.T @ values)[tested] / lengths[tested]
    return z


def measurement_tests(values: Floats, of_reading: Floats, covariance: Floats) -> Floats:
    """Return |z| of each reading's correction, (readings,).

    Parameters
    ----------
    values, of_reading : the mismatch, as :class:`~sugarwright.ledger.reconcile.Mismatch` has it
    covariance : (readings, readings)

    Notes
    -----
    ``d = S A' V^-1 r`` by its own deviation; for independent readings the same as
    :func:`likelihood_tests`.
    """
    moved = of_reading @ covariance
    return np.abs(likelihood_tests(values, moved))


def alike(directions: Floats, one: int) -> list[int]:
    """Return the hypotheses that no reading could tell from one of them, itself included.

    Parameters
    ----------
    directions : (degrees, hypotheses)
    one : number of the hypothesis
    """
    lengths = np.sqrt((directions**2).sum(axis=0))
    tested = lengths > SEEN * max(float(lengths.max(initial=0.0)), 1e-300)
    if not tested[one]:
        return [one]
    cosines = np.zeros(len(lengths))
    cosines[tested] = np.abs(directions[:, one] @ directions[:, tested])
    cosines[tested] /= lengths[one] * lengths[tested]
    return [int(other) for other in np.flatnonzero(cosines > ALIKE)]


def eliminate(
    values: Floats,
    directions: Floats,
    level: float = 0.05,
    most: int = 10,
    margin: float = 0.0,
) -> list[Found]:
    """Find errors one by one: the best is taken out, and the rest tested anew.

    Parameters
    ----------
    values : (degrees,), the mismatch
    directions : (degrees, hypotheses)
    level : chance of a false alarm, all hypotheses together, at each stage
    most : so many at most
    margin : a hypothesis whose likelihood ratio is this near to the best's is named beside it, if
        it points the same way; 0 names only those that are alike in principle

    Notes
    -----
    Taking out is by projection: what is left says nothing of the error any more, whatever its size.
    """
    found: list[Found] = []
    values, directions = values.copy(), directions.copy()
    while len(found) < most and len(values):
        z = likelihood_tests(values, directions)
        tested = int((z != 0.0).sum())
        if tested == 0 or np.abs(z).max() <= shared_limit(tested, level):
            break
        best = int(np.argmax(np.abs(z)))
        direction = directions[:, best]
        size = float(direction @ values / (direction @ direction))
        near = {*alike(directions, best), *_near(directions, best, z, margin)}
        either = (best, *sorted(near - {best}, key=lambda each: -abs(float(z[each]))))
        found.append(Found(best, either, z, size))
        unit = direction / np.sqrt(direction @ direction)
        values = values - unit * (unit @ values)
        directions = directions - np.outer(unit, unit @ directions)
    return found


def _near(directions: Floats, best: int, z: Floats, margin: float) -> list[int]:
    """Return those that explain nearly as much, and much of the same."""
    if margin <= 0.0:
        return []
    lengths = np.maximum(np.sqrt((directions**2).sum(axis=0)), 1e-300)
    cosines = np.abs(directions[:, best] @ directions) / (lengths * lengths[best])
    close = (z**2 >= z[best] ** 2 - margin) & (cosines > 0.7)
    return [int(other) for other in np.flatnonzero(close)]
