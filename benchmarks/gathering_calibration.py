"""How far what is learnt of the trees can be believed: simulation-based calibration, at length.

    python benchmarks/gathering_calibration.py [--logs 1000] [--shape-logs 100]

The truth is drawn from the prior, a log gathered in a made-up world (``gathering_worlds.py``), the
scale learnt from it (S. Talts, M. Betancourt, D. Simpson, A. Vehtari and A. Gelman, 2018). Where
the world is as assumed, ranks are uniform; in the others the lines tell what wrong errors cost.
Nothing here tells how good the model is of real trees.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from gathering_worlds import (
    AS_ASSUMED,
    PURE_FACTORS,
    WILD_FIGURES,
    World,
    gather,
    invented_bush,
    schedule,
)
from sugarwright.learning.evidence import evidence_of, usual_m3_per_tap
from sugarwright.learning.expected import Bush, expect, rows_of
from sugarwright.learning.scale import scale_posterior
from sugarwright.learning.shapes import fit_shapes, prior_shapes, shape_grid, shapes_of
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.tree_knowledge import nothing_learnt

Floats = NDArray[np.float64]

BINS = 10
PRIOR = nothing_learnt(2027, 1.0, 2.0)
NORMAL = NormalDist()


def scale_errors(world: World, bush: Bush, every_days: int, logs: int, seed: int) -> Floats:
    """Return (logs, 2): how far the truth lay above what was learnt, and the stated deviation."""
    source = np.random.default_rng(seed)
    plan = schedule(every_days)
    expected = expect(bush, rows_of(TreeParameters()), plan)
    usual = usual_m3_per_tap(plan, expected)
    found = np.empty((logs, 2))
    for row in found:
        truth_log = PRIOR.yield_sd_log * source.standard_normal()
        trees = TreeParameters(bush_scale=math.exp(truth_log))
        evidence = evidence_of(gather(world, bush, trees, plan, source), usual)
        posterior = scale_posterior(evidence, expected, np.zeros(1), PRIOR.yield_sd_log)
        mean, sd = posterior.moments()
        row[:] = truth_log - mean, sd
    return found


def shape_errors(world: World, bush: Bush, every_days: int, logs: int, seed: int) -> Floats:
    """Return (logs, 1 + shapes, 2): as above, of the scale and each shape, all left free."""
    source = np.random.default_rng(seed)
    plan, grid, shapes = schedule(every_days), shape_grid(PRIOR), prior_shapes(PRIOR)
    expected = expect(bush, grid.trees, plan)
    usual = usual_m3_per_tap(plan, expect(bush, rows_of(TreeParameters()), plan))
    found = np.empty((logs, 1 + len(shapes), 2))
    for rows in found:
        scale_log, *shape_z = source.standard_normal(1 + len(shapes)).tolist()
        scale_log *= PRIOR.yield_sd_log
        truth = {
            shape.name: shape.value * math.exp(shape.sd_log * z)
            for shape, z in zip(shapes, shape_z, strict=True)
        }
        trees = TreeParameters(bush_scale=math.exp(scale_log))._replace(**truth)
        evidence = evidence_of(gather(world, bush, trees, plan, source), usual)
        posterior, weights, _ = fit_shapes(evidence, expected, grid)
        mean, sd = posterior.moments(weights)
        rows[0] = scale_log - mean, sd
        for row, shape in zip(rows[1:], shapes_of(PRIOR, grid, posterior, weights), strict=True):
            row[:] = math.log(truth[shape.name] / shape.value), shape.sd_log
    return found


def levels_of(errors: Floats) -> list[float]:
    """Return at which level of what was learnt the truth of each log lay."""
    return [NORMAL.cdf(apart / sd) for apart, sd in errors.tolist()]


def chi_square(levels: list[float]) -> float:
    """Return how unlike a uniform the ranks are: 9 degrees of freedom."""
    counts = np.histogram(levels, BINS, (0.0, 1.0))[0]
    usual = len(levels) / BINS
    return float(((counts - usual) ** 2 / usual).sum())


def inside(levels: list[float]) -> int:
    """Count the truths in the middle 80 %."""
    return sum(0.1 < level < 0.9 for level in levels)


def _row(name: str, errors: Floats) -> str:
    z = errors[:, 0] / errors[:, 1]
    levels = levels_of(errors)
    held = 100.0 * inside(levels) / len(levels)
    return (
        f"| {name} | {errors[:, 1].mean():.2f} | {z.mean():+.2f} | {z.std():.2f} "
        f"| {held:.0f} | {chi_square(levels):.0f} |"
    )


def _lines(logs: int, shape_logs: int) -> Iterator[str]:
    bush = invented_bush()
    yield "| world, days between | stated sd | truth, in sd | its sd | in 80 % | chi2 |"
    yield "|---|---|---|---|---|---|"
    for world in (AS_ASSUMED, PURE_FACTORS, WILD_FIGURES):
        for days in (1, 2, 3):
            yield _row(f"{world.name}, {days}", scale_errors(world, bush, days, logs, days))
    errors = shape_errors(AS_ASSUMED, bush, 2, shape_logs, 1961)
    for place, name in enumerate(("scale", *(shape.name for shape in prior_shapes(PRIOR)))):
        yield _row(f"shapes free: {name}, 2", errors[:, place])


def main() -> None:
    """Print a line for each world and spacing of gatherings."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--logs", type=int, default=1000, help="for each line on the scale")
    parser.add_argument("--shape-logs", type=int, default=100, help="for those on the shapes")
    asked = parser.parse_args()
    spread = 100.0 * math.sqrt(0.8 * 0.2 / asked.logs)
    print(f"as assumed: 80 of 100 inside, {spread:.1f} by chance; chi2 9, one in 1,000 above 27.9")
    for line in _lines(asked.logs, asked.shape_logs):
        print(line, flush=True)


if __name__ == "__main__":
    main()
