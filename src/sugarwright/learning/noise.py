r"""How gatherings scatter about the trees: by run, by the hour, and now and then wildly.

A gathering of volume y, of which the model expects v with a usual bush, is taken to be

    log(y + f) = log(s v + f) + g + e

with s the bush's scale, f a floor (see ``learning.evidence``), g a normal part that gatherings
share, e each gathering's own.

*Runs.* What a run of sap brings beyond what temperature tells is a factor, log-normal of median
one, shared by its gatherings; what comes by the floor is of no run that others know of. A gathering
of several is a sum of log-normal parts; it is taken as the log-normal of the same mean and variance
(L.F. Fenton, IRE Trans. Commun. Syst. 8, 1960), its parts in proportion.

*Hours.* An emptying takes more or less than the hour would have it (``learning.expected.SLIP``):
what one gathering lacks the next one has. g has the mean and the covariance that such slips give to
the logarithms of modelled volumes, worked out over all slips.

*Its own.* Reading, spilling, a wrong figure: e is Student's t with few degrees of freedom, so that
one wild day says little. Four is what is advised for small sets (K.L. Lange, R.J.A. Little and
J.M.G. Taylor, J. Am. Stat. Assoc. 84, 1989; from memory).

An overflow says only that a gathering is at least so large, an empty vessel that it is at most so
large: these enter by that probability.

For each scale, g is integrated out by Laplace's approximation at its mode, as is usual for latent
normals under a Student's t (P. Jylanki, J. Vanhatalo and A. Vehtari, J. Mach. Learn. Res. 12,
2011). The mode is found by expectation and maximisation over the variances and the unseen volumes;
their weights stand for the curvature of volumes seen, which is thereby never negative.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.evidence import Evidence
from sugarwright.learning.expected import Expected

Floats = NDArray[np.float64]

OWN_SCALE = 0.30
"""Scale of the logarithm of each gathering's own error, as registered before the first score."""

RUN_SD = 0.74
"""Standard deviation of the logarithm of a run: 0.80 together with the other. Runs seem to scatter
by half about any model of temperature alone (0.52 was registered). This much more makes learning
slow on purpose, since on the one open record it did harm: see ``docs/sap-run.md``."""

TAIL = 4.0
"""Degrees of freedom of that error."""

ONE_VARIANCE = RUN_SD**2 + OWN_SCALE**2 * (TAIL + 3.0) / (TAIL + 1.0)
"""Of the logarithm of one gathering of a whole run, by what it teaches: for Student's t that is the
inverse of Fisher's information."""

_ROUNDS, _STILL = 100, 2e-3


@dataclass(frozen=True)
class Shared:
    """The normal part of the logarithms.

    Parameters
    ----------
    mean_log : (trees, gatherings)
    covariance : (trees, gatherings, gatherings)
    """

    mean_log: Floats
    covariance: Floats


@dataclass(frozen=True)
class Fitted:
    """The normal part at its mode, for each of some trees and scales.

    Parameters
    ----------
    pull : (trees, points, gatherings), its mode by the inverse of its covariance
    root : (trees, points, gatherings), square root of what each gathering tells of it there
    matrix : (trees, points, gatherings, gatherings), one, and the covariance between two roots
    likelihood_log : (trees, points), with the normal part integrated out
    """

    pull: Floats
    root: Floats
    matrix: Floats
    likelihood_log: Floats


def shared_part(floor_m3: Floats, expected: Expected, prior_log: Floats) -> Shared:
    """Return the normal part that gatherings have in common, at the scale expected beforehand.

    Parameters
    ----------
    floor_m3 : (gatherings,)
    expected : of the same gatherings, by trees of scale 1
    prior_log : (trees,), expected logarithm of the scale
    """
    scale = np.exp(prior_log)[:, np.newaxis]
    volume_m3 = scale * expected.volume_m3
    modelled = volume_m3 / (volume_m3 + floor_m3)
    parts = expected.run_shares * modelled[:, :, np.newaxis]
    unseen = 1.0 - modelled
    squares = (parts**2).sum(axis=2) + unseen**2
    variance = np.log1p(math.expm1(RUN_SD**2) * squares)
    parts *= np.sqrt(variance / squares)[:, :, np.newaxis]
    own = unseen**2 * variance / squares
    slips_log, covariance = _slips(floor_m3 / scale, expected)
    covariance += parts @ np.swapaxes(parts, 1, 2)
    covariance += own[:, :, np.newaxis] * np.eye(len(floor_m3))
    return Shared(0.5 * (RUN_SD**2 - variance) + slips_log, covariance)


def _slips(floor_m3: Floats, expected: Expected) -> tuple[Floats, Floats]:
    """Return mean and covariance that slipping emptyings give to logarithms of volumes.

    Each logarithm is split, as in an analysis of variance, into what the slip of its beginning
    tells of it, what that of its end tells, and the rest; neighbours share an emptying.
    """
    emptied = expected.emptied
    chance, until_m3 = emptied.share, emptied.until_m3
    begun_m3 = until_m3[:, emptied.begins, :, np.newaxis]
    ran_m3 = np.maximum(until_m3[:, emptied.ends, np.newaxis, :] - begun_m3, 0.0)
    ran_m3 *= emptied.taps[:, np.newaxis, np.newaxis]
    floor_m3 = np.broadcast_to(floor_m3, expected.volume_m3.shape)
    volume_log = np.log(ran_m3 + floor_m3[:, :, np.newaxis, np.newaxis])
    by_begin = volume_log @ chance
    by_end = np.einsum("b,tgbe->tge", chance, volume_log)
    mean_log = by_begin @ chance
    variance = np.einsum("b,tgbe,e->tg", chance, volume_log**2, chance) - mean_log**2
    trees, gatherings = mean_log.shape
    tells = np.zeros((trees, gatherings, until_m3.shape[1], len(chance)))
    each = np.arange(gatherings)
    root = np.sqrt(chance)
    tells[:, each, emptied.begins] = root * (by_begin - mean_log[:, :, np.newaxis])
    tells[:, each, emptied.ends] = root * (by_end - mean_log[:, :, np.newaxis])
    columns = tells.reshape(trees, gatherings, until_m3[0].size)
    covariance: Floats = columns @ np.swapaxes(columns, 1, 2)
    rest = variance - np.diagonal(covariance, axis1=1, axis2=2)
    covariance += np.maximum(rest, 0.0)[:, :, np.newaxis] * np.eye(gatherings)
    return mean_log - np.log(expected.volume_m3 + floor_m3), covariance


def fit_gatherings(
    evidence: Evidence, expected: Expected, prior_log: Floats, scale_log: Floats
) -> Fitted:
    """Weigh gatherings at each scale.

    Parameters
    ----------
    evidence : what was gathered
    expected : what trees of scale 1 would have given
    prior_log : (trees,), expected logarithm of the scale
    scale_log : (trees, points)
    """
    shared = shared_part(evidence.floor_m3, expected, prior_log)
    modelled_m3 = np.exp(scale_log)[:, :, np.newaxis] * expected.volume_m3[:, np.newaxis, :]
    gathered_log = np.log(evidence.volume_m3 + evidence.floor_m3)
    errors = gathered_log - np.log(modelled_m3 + evidence.floor_m3)
    return fit_shared(evidence, errors - shared.mean_log[:, np.newaxis], shared.covariance)


def fit_shared(evidence: Evidence, errors: Floats, covariance: Floats) -> Fitted:
    """Find the mode of the normal part, and the likelihood without it.

    Parameters
    ----------
    evidence : which gatherings are bounds
    errors : (trees, points, gatherings)
    covariance : (trees, gatherings, gatherings) of the normal part
    """
    trees, points, count = errors.shape
    sign = evidence.at_least.astype(float) - evidence.nothing.astype(float)
    flat = errors.reshape(trees * points, count)
    tree = np.repeat(np.arange(trees), points)
    mode, moving = np.zeros_like(flat), np.arange(len(flat))
    for _ in range(_ROUNDS):
        pull, weight = own_errors(flat[moving] - mode[moving], sign)[1:3]
        matrix = covariance[tree[moving]] + (1.0 / weight)[:, :, np.newaxis] * np.eye(count)
        target = mode[moving] + pull / weight
        after = target - np.linalg.solve(matrix, target[..., np.newaxis])[..., 0] / weight
        still = np.abs(after - mode[moving]).max(axis=1, initial=0.0) < _STILL
        mode[moving] = after
        moving = moving[~still]
        if not len(moving):
            break
    density_log, pull, _, curvature = own_errors(flat - mode, sign)
    root = np.sqrt(curvature)
    matrix = np.eye(count) + root[:, :, np.newaxis] * covariance[tree] * root[:, np.newaxis, :]
    likelihood = density_log.sum(axis=1) - 0.5 * (pull * mode).sum(axis=1)
    likelihood -= 0.5 * np.linalg.slogdet(matrix)[1]
    return Fitted(
        pull.reshape(errors.shape),
        root.reshape(errors.shape),
        matrix.reshape(*errors.shape, count),
        likelihood.reshape(trees, points),
    )


def foretold(fitted: Fitted, shared_with: Floats) -> tuple[Floats, Floats]:
    """Return (trees, points) of a further gathering's normal part: its mean, and the variance lost.

    Parameters
    ----------
    fitted : from the gatherings known
    shared_with : (trees, gatherings), covariance of the further one with each of them
    """
    column = shared_with[:, np.newaxis, :] * fitted.root
    gain = np.linalg.solve(fitted.matrix, column[..., np.newaxis])[..., 0]
    return (shared_with[:, np.newaxis, :] * fitted.pull).sum(axis=2), (column * gain).sum(axis=2)


def own_errors(left: Floats, sign: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return what each gathering's own error says of the normal part.

    Parameters
    ----------
    left : (..., gatherings), own errors of the logarithm
    sign : (gatherings,), 1 for a lower bound, -1 for an upper one, 0 for a volume that was seen

    Returns
    -------
    (log density, its slope by the normal part, the weight of the next step, the curvature)
    """
    u = left / OWN_SCALE
    weight = (TAIL + 1.0) / (TAIL + u**2) / OWN_SCALE**2
    constant = math.lgamma(0.5 * (TAIL + 1.0)) - math.lgamma(0.5 * TAIL)
    constant -= 0.5 * math.log(TAIL * math.pi) + math.log(OWN_SCALE)
    density_log = constant - 0.5 * (TAIL + 1.0) * np.log1p(u**2 / TAIL)
    slope = weight * left
    # The chance beyond a bound, and with it the mean weight there: that of a t of six degrees.
    beyond, heavier = tails_beyond(sign * u)
    hazard = np.exp(density_log) / beyond
    bounded = hazard * (hazard - sign * slope)
    seen = sign == 0.0
    return (
        np.where(seen, density_log, np.log(beyond)),
        np.where(seen, slope, sign * hazard),
        np.where(seen, weight, heavier / beyond / OWN_SCALE**2),
        np.where(seen, weight, np.maximum(bounded, 0.0)),
    )


def tails_beyond(z: Floats) -> tuple[Floats, Floats]:
    """Return chances above z of a Student's t of 4 degrees of freedom, and above sqrt(1.5) z of 6.

    Closed forms for whole even degrees (M. Abramowitz and I.A. Stegun, Handbook of Mathematical
    Functions, 1964, 26.7.4).
    """
    sine = z / np.sqrt(4.0 + z**2)
    square = 4.0 / (4.0 + z**2)
    four = 0.5 - 0.5 * sine * (1.0 + 0.5 * square)
    six = 0.5 - 0.5 * sine * (1.0 + 0.5 * square + 0.375 * square**2)
    return np.maximum(four, 1e-14), np.maximum(six, 1e-16)
