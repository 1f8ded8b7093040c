"""Readings made to agree with balances: weighted least squares, unmeasured streams projected out.

The balances are ``measured @ x + unmeasured @ u = constant``. What the readings miss of them,
freed from the unmeasured ``u`` and scaled so that chance alone gives independent numbers of
standard deviation 1, is the *mismatch*; every test of :mod:`~sugarwright.ledger.suspicion` is made
of it.

Sources: Narasimhan & Jordache, "Data Reconciliation and Gross Error Detection" (2000), chapters
3, 6 and 7 (from memory); Crowe, Garcia Campos & Hrymak (1983) for the projection (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sugarwright.errors import InputError

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

RANK = 1e-9
"""Parts smaller than this share of the largest count as nothing when ranks are told."""


@dataclass(frozen=True)
class Balances:
    """Linear balances of measured and unmeasured quantities.

    Parameters
    ----------
    measured : (balances, readings)
    unmeasured : (balances, unknowns); may have no columns
    constant : (balances,)
    """

    measured: Floats
    unmeasured: Floats
    constant: Floats


@dataclass(frozen=True)
class Mismatch:
    """What the readings miss of the balances.

    Parameters
    ----------
    values : (degrees,), independent, of standard deviation 1 when nothing is wrong
    of_reading : (degrees, readings), by how much a reading that is one unit too high moves them
    of_balance : (degrees, balances), the same for a balance from which one unit vanishes
    """

    values: Floats
    of_reading: Floats
    of_balance: Floats

    @property
    def degrees(self) -> int:
        """Balances left to test with."""
        return len(self.values)


@dataclass(frozen=True)
class Reconciled:
    """Readings that agree with the balances.

    Parameters
    ----------
    values : (readings,)
    covariance : (readings, readings)
    unmeasured : (unknowns,); where not observable, one of many possible values
    unmeasured_covariance : (unknowns, unknowns)
    redundant : (readings,), whether the balances test the reading at all
    observable : (unknowns,), whether the readings say what it is
    mismatch : what the readings missed
    """

    values: Floats
    covariance: Floats
    unmeasured: Floats
    unmeasured_covariance: Floats
    redundant: Flags
    observable: Flags
    mismatch: Mismatch


def reconcile(balances: Balances, readings: Floats, covariance: Floats) -> Reconciled:
    """Find the least correction of all readings, by their uncertainties, that closes the balances.

    Parameters
    ----------
    balances : what must hold
    readings : (readings,)
    covariance : (readings, readings) of their errors, positive definite

    Raises
    ------
    InputError : shapes that do not fit, or a covariance that is none

    Notes
    -----
    ``x = y - S A' (A S A')^-1 (A y - c)`` after the projection; errors and tests by the whitened
    form of the same.
    """
    root = _root(balances, readings, covariance)
    mismatch = mismatch_of(balances, readings, root)
    adjusted = mismatch.of_reading @ root  # of a reading by one standard deviation
    white = -adjusted.T @ mismatch.values
    values = readings + root @ white
    spread = root @ (np.eye(len(readings)) - adjusted.T @ adjusted) @ root.T
    inverse = np.linalg.pinv(balances.unmeasured, rcond=RANK)
    unmeasured = inverse @ (balances.constant - balances.measured @ values)
    carried = inverse @ balances.measured
    return Reconciled(
        values,
        spread,
        unmeasured,
        carried @ spread @ carried.T,
        np.asarray((adjusted**2).sum(axis=0) > RANK),
        observable(balances.unmeasured),
        mismatch,
    )


def mismatch_of(balances: Balances, readings: Floats, root: Floats) -> Mismatch:
    """Return what readings miss of balances.

    Parameters
    ----------
    balances : what must hold
    readings : (readings,)
    root : (readings, readings), a square root of the covariance of their errors (``R R' = S``)
    """
    free = left_null(balances.unmeasured)
    design = free @ balances.measured
    white = design @ root
    whiten = _whitening(white @ white.T)
    missed = whiten @ (free @ (balances.measured @ readings - balances.constant))
    return Mismatch(missed, whiten @ design, whiten @ free)


def observable(unmeasured: Floats) -> Flags:
    """Return which unknowns the balances settle, (unknowns,): those that no free change touches.

    Parameters
    ----------
    unmeasured : (balances, unknowns)
    """
    count = unmeasured.shape[1]
    if count == 0:
        return np.zeros(0, dtype=np.bool_)
    _, sizes, right = np.linalg.svd(unmeasured, full_matrices=True)
    rank = int((sizes > RANK * max(float(sizes.max(initial=0.0)), 1e-300)).sum())
    return np.asarray((right[rank:] ** 2).sum(axis=0) < RANK)


def left_null(unmeasured: Floats) -> Floats:
    """Return orthonormal rows that take every unmeasured stream out, (left over, balances).

    Parameters
    ----------
    unmeasured : (balances, unknowns)
    """
    balances, unknowns = unmeasured.shape
    if unknowns == 0:
        return np.eye(balances)
    if unknowns <= balances:  # factors without pivots are faster, and enough at full rank
        factor, upper = np.linalg.qr(unmeasured, mode="complete")
        sizes = np.abs(np.diagonal(upper))
        if sizes.min() > 1e-7 * sizes.max():
            return np.ascontiguousarray(factor[:, unknowns:].T)
    left, sizes, _ = np.linalg.svd(unmeasured, full_matrices=True)
    rank = int((sizes > RANK * max(float(sizes.max(initial=0.0)), 1e-300)).sum())
    return np.ascontiguousarray(left[:, rank:].T)


def _whitening(variance: Floats) -> Floats:
    """Return a matrix that makes something of this variance independent; repeats are dropped."""
    if len(variance) == 0:
        return variance
    sizes, vectors = np.linalg.eigh(variance)
    kept = sizes > RANK * max(float(sizes.max()), 1e-300)
    whitening: Floats = vectors[:, kept].T / np.sqrt(sizes[kept])[:, np.newaxis]
    return whitening


def _root(balances: Balances, readings: Floats, covariance: Floats) -> Floats:
    count = len(readings)
    fits = balances.measured.shape[1] == count and covariance.shape == (count, count)
    rows = {len(balances.measured), len(balances.unmeasured), len(balances.constant)}
    if not fits or len(rows) != 1:
        raise InputError("balances", balances.measured.shape, "do not fit the readings")
    try:
        return np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)
    except np.linalg.LinAlgError:
        problem = "is no covariance: every reading needs an uncertainty above 0"
        raise InputError("covariance", None, problem) from None
