"""More than the scale: how long sap flows after a thaw, and how much warmth closes the tap holes.

A short log cannot tell these from the scale, and what it seems to say of them is mostly noise. So
they are learnt only when both of these hold:

- the log is worth :data:`FEWEST_INDEPENDENT` gatherings, each of a run of its own, or more;
- its marginal likelihood is at least :data:`LEAST_RATIO` times as large with the shapes free (over
  their priors) as with the shapes kept: "substantial" evidence in the scale of H. Jeffreys
  (Theory of Probability, 1961) and R.E. Kass and A.E. Raftery (J. Am. Stat. Assoc. 90, 1995).

Free shapes lie on a grid over their priors, the scale on its own grid at each point: no sampling.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.evidence import Evidence
from sugarwright.learning.expected import Expected, rows_of
from sugarwright.learning.scale import ScalePosterior, scale_posterior
from sugarwright.physics.tree import TREE_PRIOR_SPREAD, TreeParameters
from sugarwright.plant.tree_knowledge import LEARNT_SHAPES, Shape, TreeKnowledge

Floats = NDArray[np.float64]

FEWEST_INDEPENDENT = 8.0
LEAST_RATIO = 3.0
_SDS, _POINTS = 2.4, 9


@dataclass(frozen=True)
class ShapeGrid:
    """Trees over the priors of the shapes.

    Parameters
    ----------
    z : (trees, shapes), deviations from the prior medians in prior standard deviations
    trees : (trees, parameters)
    prior : (trees,), probabilities that sum to 1
    scale_log, scale_sd_log : the prior of the scale's logarithm, (trees,) and one for all
    """

    z: Floats
    trees: Floats
    prior: Floats
    scale_log: Floats
    scale_sd_log: float


def prior_shapes(prior: TreeKnowledge) -> tuple[Shape, ...]:
    """Return every shape that can be learnt, as known before."""
    known = {shape.name: shape for shape in prior.shapes}
    medians = TreeParameters()._asdict()
    return tuple(
        known.get(name, Shape(name, medians[name], TREE_PRIOR_SPREAD[name][1], 0.0))
        for name in LEARNT_SHAPES
    )


def shape_grid(prior: TreeKnowledge) -> ShapeGrid:
    """Return the grid over what was known before."""
    shapes = prior_shapes(prior)
    axis = np.linspace(-_SDS, _SDS, _POINTS)
    z = np.stack(np.meshgrid(*[axis] * len(shapes), indexing="ij"), axis=-1)
    z = z.reshape(-1, len(shapes))
    trees = rows_of(TreeParameters(), len(z))
    for place, shape in enumerate(shapes):
        column = TreeParameters._fields.index(shape.name)
        trees[:, column] = shape.value * np.exp(shape.sd_log * z[:, place])
    weights = np.exp(-0.5 * (z**2).sum(axis=1))
    shared = np.array([shape.scale_correlation for shape in shapes])
    scale_log = math.log(prior.yield_factor) + prior.yield_sd_log * (z @ shared)
    left = math.sqrt(max(1.0 - float(shared @ shared), 1e-6))
    return ShapeGrid(z, trees, weights / weights.sum(), scale_log, prior.yield_sd_log * left)


def fit_shapes(
    evidence: Evidence, expected: Expected, grid: ShapeGrid
) -> tuple[ScalePosterior, Floats, float]:
    """Return the scale at each point of the grid, the points' probabilities, and the evidence.

    ``expected`` is what the grid's trees would give. The evidence returned is the logarithm of the
    marginal likelihood over scale and shapes.
    """
    posterior = scale_posterior(evidence, expected, grid.scale_log, grid.scale_sd_log)
    top = float(posterior.evidence_log.max())
    weights = grid.prior * np.exp(posterior.evidence_log - top)
    total = float(weights.sum())
    return posterior, weights / total, top + math.log(total)


def shapes_of(
    prior: TreeKnowledge, grid: ShapeGrid, posterior: ScalePosterior, weights: Floats
) -> tuple[Shape, ...]:
    """Return each shape's median, spread and correlation with the scale after learning."""
    scale_mean, scale_sd = posterior.moments(weights)
    at_point = (posterior.weights * posterior.scale_log).sum(axis=1)
    learnt = []
    for place, shape in enumerate(prior_shapes(prior)):
        z = grid.z[:, place]
        mean = float(weights @ z)
        sd = math.sqrt(float(weights @ (z - mean) ** 2))
        both = float(weights @ ((z - mean) * (at_point - scale_mean)))
        # Two shapes and the rest share one variance: 0.7 each keeps them together below 1.
        correlation = min(max(both / max(sd * scale_sd, 1e-12), -0.7), 0.7)
        value = shape.value * math.exp(shape.sd_log * mean)
        learnt.append(Shape(shape.name, value, shape.sd_log * sd, correlation))
    return tuple(learnt)
