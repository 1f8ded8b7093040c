"""How much sap a bush gives against the model: Bayes on one number, on a grid."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.evidence import Evidence
from sugarwright.learning.expected import Expected
from sugarwright.learning.noise import Fitted, fit_gatherings

Floats = NDArray[np.float64]

# Steps of 0.15 of the prior's deviation: half of what a rich log leaves of it, or less.
_GRID_SDS, _GRID_POINTS = 4.5, 61


@dataclass(frozen=True)
class ScalePosterior:
    """What gatherings say of the scale, for each of some trees (first index).

    Parameters
    ----------
    scale_log : (trees, points), logarithms of the scale
    weights : (trees, points), their probabilities, summing to 1 for each of the trees
    evidence_log : (trees,), logarithm of the marginal likelihood of the gatherings
    fitted : what gatherings share, at each point
    """

    scale_log: Floats
    weights: Floats
    evidence_log: Floats
    fitted: Fitted

    def moments(self, tree_weights: Floats | None = None) -> tuple[float, float]:
        """Return mean and standard deviation of the logarithm of the scale over the trees."""
        share = np.full(len(self.weights), 1.0 / len(self.weights))
        weights = self.weights * (share if tree_weights is None else tree_weights)[:, np.newaxis]
        mean = float(np.sum(weights * self.scale_log))
        return mean, math.sqrt(float(np.sum(weights * (self.scale_log - mean) ** 2)))


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
    fitted = fit_gatherings(evidence, expected, prior_log, scale_log)
    weights, evidence_log = weighed(z, fitted.likelihood_log)
    return ScalePosterior(scale_log, weights, evidence_log, fitted)


def weighed(z: Floats, likelihood_log: Floats) -> tuple[Floats, Floats]:
    """Weigh a grid of standard normal prior points by what was seen.

    Parameters
    ----------
    z : (points,) in standard deviations of the prior
    likelihood_log : (trees, points)

    Returns
    -------
    (trees, points) weights that sum to 1 for each of the trees, and (trees,) the logarithm of what
    they summed to: the evidence.
    """
    weights_log = -0.5 * z**2 + likelihood_log
    weights_log -= math.log(float(np.exp(-0.5 * z**2).sum()))
    top = weights_log.max(axis=1, keepdims=True)
    weights = np.exp(weights_log - top)
    total = weights.sum(axis=1, keepdims=True)
    return weights / total, (top + np.log(total))[:, 0]
