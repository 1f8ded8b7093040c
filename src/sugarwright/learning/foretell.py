"""What the next gathering is likely to bring, given those before it: to be scored, and to tell."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.evidence import Evidence
from sugarwright.learning.expected import Expected
from sugarwright.learning.noise import OWN_SCALE, TAIL, foretold, shared_part
from sugarwright.learning.scale import ScalePosterior, scale_posterior

Floats = NDArray[np.float64]


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

    The scale is drawn from what those teach; where the next gathering shares a run or an emptying
    with them, it shares that error too. Each of the trees counts the same, whatever the gatherings
    say.

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
    evidence, expected = evidence.part(slice(known + 1)), expected.part(slice(known + 1))
    before = evidence.part(slice(known)), expected.part(slice(known))
    posterior = scale_posterior(*before, prior_log, prior_sd_log)
    trees = np.arange(draws) % len(prior_log)
    points = draw_points(posterior.weights, trees, source)
    middle_log, sd_log = _next_error(evidence, expected, prior_log, posterior, known)
    error_log = middle_log[trees, points] + sd_log[trees, points] * source.standard_normal(draws)
    error_log += OWN_SCALE * source.standard_t(TAIL, draws)
    floor_m3 = evidence.floor_m3[known]
    scale = np.exp(posterior.scale_log[trees, points])
    modelled_m3 = scale * expected.volume_m3[trees, known] + floor_m3
    volumes: Floats = np.maximum(modelled_m3 * np.exp(error_log) - floor_m3, 0.0)
    return volumes


def draw_points(
    weights: Floats, trees: NDArray[np.int64], source: np.random.Generator
) -> NDArray[np.int64]:
    """Draw a point of the scale's grid for each draw.

    Parameters
    ----------
    weights : (trees, points) of the posterior
    trees : (draws,) which of the trees each draw is of
    source : of the draws
    """
    ladder = np.cumsum(weights, axis=1)[trees]
    drawn: NDArray[np.int64] = (ladder < source.random(len(trees))[:, np.newaxis]).sum(axis=1)
    inside: NDArray[np.int64] = np.minimum(drawn, ladder.shape[1] - 1)
    return inside


def _next_error(
    evidence: Evidence,
    expected: Expected,
    prior_log: Floats,
    posterior: ScalePosterior,
    known: int,
) -> tuple[Floats, Floats]:
    """Return (trees, points): mean and deviation of the next normal part given those before."""
    shared = shared_part(evidence.floor_m3, expected, prior_log)
    middle, lost = foretold(posterior.fitted, shared.covariance[:, known, :known])
    variance = shared.covariance[:, known, known][:, np.newaxis] - lost
    return shared.mean_log[:, known, np.newaxis] + middle, np.sqrt(variance)
