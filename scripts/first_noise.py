r"""The errors of gatherings as fixed before the 2015 score was first computed: kept, not used.

What is shipped has another noise (``sugarwright/learning/noise.py``), chosen after that score was
seen. This one stays as it was, so that the table registered beforehand stays what it was.

A gathering of volume y, of which the model expects v with a usual bush, is taken to be

    log(y + f) = log(s v + f) + e

with s the bush's scale and f a floor, two percent of a full charge: a day of nothing must be
credible however much the model expected. The errors e are normal. Those of one run of sap are
shared (what a run brings beyond what temperature tells), each gathering adds its own (reading,
spilling, the hour not written down): with the run shares w of the gatherings,

    cov(e_i, e_j) = RUN_SD^2 (a_i a_j sum_r w_ir w_jr + (1 - a_i)^2 [i = j]) + OWN_SD^2 [i = j]

where a = v / (v + f): what comes by the floor is of no run that others know of. A gathering of
several runs is a sum of log-normal parts, whose median is above that of a single one; e has that
mean (:func:`mixing_log`; the idea of L.F. Fenton, IRE Trans. Commun. Syst. 8, 1960).

An error beyond FAR of its standard deviations counts as FAR of them: a wrong figure, or a day whose
sap went into the next gathering, then pulls the scale no further than an unlucky one would.

An overflow says only that e is at least so large, an empty vessel that it is at most so large.
These enter by their probability given all other gatherings; that two of them in one run know of
each other is left out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.evidence import Evidence
from sugarwright.learning.expected import Expected
from sugarwright.learning.foretell import draw_points
from sugarwright.learning.gatherings import Gathering
from sugarwright.learning.scale import weighed
from sugarwright.physics.tree import TreeParameters

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: Standard deviations of the logarithm: 0.60 together, as gatherings of one sugarbush scattered
#: about this model in 2015.
RUN_SD = 0.52
OWN_SD = 0.30
TOTAL_VARIANCE = RUN_SD**2 + OWN_SD**2
FAR = 2.5
FLOOR_FRACTION = 0.02
_GRID_SDS, _GRID_POINTS = 5.0, 161
_erfc = np.vectorize(math.erfc, otypes=[np.float64])


@dataclass(frozen=True)
class ScalePosterior:
    """What gatherings say of the scale: (trees, points) logarithms and their probabilities."""

    scale_log: Floats
    weights: Floats


def evidence_of(gatherings: Sequence[Gathering]) -> Evidence:
    """Return gatherings as numbers; an overflow of nothing measured says nothing less than 0."""
    volume_m3 = np.array([each.volume_m3 for each in gatherings], dtype=np.float64)
    taps = np.array([each.taps for each in gatherings], dtype=np.float64)
    at_least = np.array([each.overflow for each in gatherings], dtype=np.bool_)
    floor_m3 = FLOOR_FRACTION * TreeParameters().full_charge_m3 * taps
    return Evidence(volume_m3, floor_m3, at_least, ~at_least & (volume_m3 == 0.0))


def mixing_log(floor_m3: Floats, expected: Expected) -> Floats:
    """Return (trees, gatherings): the mean of the errors, by which mixed runs exceed a single one.

    A sum of shares w, each times a log-normal of unit median and deviation s, has the mean
    exp(s^2 / 2) and a logarithm of variance near s^2 sum w^2: so its median is near
    exp(s^2 (1 - sum w^2) / 2).
    """
    by_run = expected.volume_m3 / (expected.volume_m3 + floor_m3)
    mixed = 1.0 - (expected.run_shares**2).sum(axis=2)
    shift: Floats = 0.5 * RUN_SD**2 * by_run * mixed
    return shift


def covariance(floor_m3: Floats, expected: Expected) -> Floats:
    """Return (trees, gatherings, gatherings) of the errors."""
    by_run = expected.volume_m3 / (expected.volume_m3 + floor_m3)
    parts = expected.run_shares * by_run[:, :, np.newaxis]
    own = (RUN_SD * (1.0 - by_run)) ** 2 + OWN_SD**2
    shared = RUN_SD**2 * (parts @ np.swapaxes(parts, 1, 2))
    both: Floats = shared + own[:, :, np.newaxis] * np.eye(own.shape[1])
    return both


def scale_posterior(
    evidence: Evidence, expected: Expected, prior_log: Floats, prior_sd_log: float
) -> ScalePosterior:
    """Learn the scale from gatherings.

    Parameters
    ----------
    evidence : what was gathered
    expected : what trees of scale 1 would have given
    prior_log : (trees,), expected logarithm of the scale for each of the trees
    prior_sd_log : its standard deviation

    Returns
    -------
    ScalePosterior
    """
    z = np.linspace(-_GRID_SDS, _GRID_SDS, _GRID_POINTS)
    scale_log = prior_log[:, np.newaxis] + prior_sd_log * z
    weights, _ = weighed(z, likelihood_log(evidence, expected, scale_log))
    return ScalePosterior(scale_log, weights)


def likelihood_log(evidence: Evidence, expected: Expected, scale_log: Floats) -> Floats:
    """Return (trees, points): log likelihood of all gatherings at each scale."""
    errors = errors_at(evidence, expected, scale_log)
    matrix = covariance(evidence.floor_m3, expected)
    bound = evidence.at_least | evidence.nothing
    seen = ~bound
    root = np.linalg.cholesky(matrix[:, seen][:, :, seen])
    white = np.linalg.solve(root, np.swapaxes(errors[:, :, seen], 1, 2))
    spread = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
    likelihood: Floats = -0.5 * (white**2).sum(axis=1) - spread[:, np.newaxis]
    likelihood -= 0.5 * math.log(2.0 * math.pi) * int(seen.sum())
    if bound.any():
        gain = np.linalg.solve(root, matrix[:, seen][:, :, bound])
        middle = np.swapaxes(gain, 1, 2) @ white
        sd = np.sqrt(np.diagonal(matrix, axis1=1, axis2=2)[:, bound] - (gain**2).sum(axis=1))
        z = (np.swapaxes(errors[:, :, bound], 1, 2) - middle) / sd[:, :, np.newaxis]
        sign = np.where(evidence.at_least[bound], 1.0, -1.0)[:, np.newaxis]
        beyond = 0.5 * _erfc(sign * z / math.sqrt(2.0))
        likelihood += np.log(np.maximum(beyond, 1e-300)).sum(axis=1)
    return likelihood


def errors_at(evidence: Evidence, expected: Expected, scale_log: Floats) -> Floats:
    """Return (trees, points, gatherings): e less its mean, at each scale."""
    modelled_m3 = np.exp(scale_log)[:, :, np.newaxis] * expected.volume_m3[:, np.newaxis, :]
    middle = mixing_log(evidence.floor_m3, expected)[:, np.newaxis, :]
    gathered_log = np.log(evidence.volume_m3 + evidence.floor_m3)
    errors = gathered_log - np.log(modelled_m3 + evidence.floor_m3) - middle
    far = FAR * math.sqrt(TOTAL_VARIANCE)
    bounded: Floats = np.clip(errors, -far, far)
    return bounded


def foretell(
    evidence: Evidence,
    expected: Expected,
    prior_log: Floats,
    prior_sd_log: float,
    known: int,
    draws: int,
    seed: int,
) -> Floats:
    """Draw the volume of the gathering that follows the first ``known`` ones.

    The scale is drawn from what those teach; where the next gathering shares a run with them, it
    shares that run's error too. Each of the trees counts the same, whatever the gatherings say.

    Parameters
    ----------
    evidence, expected : of at least ``known + 1`` gatherings; the volumes of those after the known
        ones are not looked at
    prior_log, prior_sd_log : of the scale, as in ``scale_posterior``
    known : gatherings that have been
    draws : wanted
    seed : of the draws

    Returns
    -------
    (draws,) volumes [m3]
    """
    source = np.random.default_rng(np.random.SeedSequence([abs(int(seed)), known]))
    before = expected.part(slice(known))
    posterior = scale_posterior(evidence.part(slice(known)), before, prior_log, prior_sd_log)
    trees = np.arange(draws) % len(prior_log)
    points = draw_points(posterior.weights, trees, source)
    scale_log = posterior.scale_log[trees, points]
    middle, sd = _next_error(evidence, before, expected, posterior.scale_log, known)
    mixing = mixing_log(evidence.floor_m3[: known + 1], expected.part(slice(known + 1)))
    errors = (
        mixing[trees, known] + middle[trees, points] + sd[trees] * source.standard_normal(draws)
    )
    floor_m3 = evidence.floor_m3[known]
    modelled_m3 = np.exp(scale_log) * expected.volume_m3[trees, known] + floor_m3
    volumes: Floats = np.maximum(modelled_m3 * np.exp(errors) - floor_m3, 0.0)
    return volumes


def _next_error(
    evidence: Evidence, before: Expected, expected: Expected, scale_log: Floats, known: int
) -> tuple[Floats, Floats]:
    """Return mean (trees, points) and deviation (trees,) of the next error given those before."""
    matrix = covariance(evidence.floor_m3[: known + 1], expected.part(slice(known + 1)))
    sd = np.sqrt(matrix[:, known, known])
    earlier = evidence.part(slice(known))
    seen = np.flatnonzero(~(earlier.at_least | earlier.nothing))
    if not len(seen):
        return np.zeros_like(scale_log), sd
    errors = errors_at(earlier, before, scale_log)[:, :, seen]
    cross = matrix[:, known, seen][:, :, np.newaxis]
    gain = np.linalg.solve(matrix[:, seen][:, :, seen], cross)
    middle: Floats = (errors @ gain)[:, :, 0]
    variance = sd**2 - (np.swapaxes(cross, 1, 2) @ gain)[:, 0, 0]
    return middle, np.sqrt(variance)
