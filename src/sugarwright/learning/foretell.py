"""What the next gathering is likely to bring, given those before it: to be scored, and to tell."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.expected import Expected
from sugarwright.learning.scale import (
    Evidence,
    ScalePosterior,
    covariance,
    errors_at,
    mixing_log,
    scale_posterior,
)

Floats = NDArray[np.float64]


def _expected_of_first(expected: Expected, count: int) -> Expected:
    return Expected(
        expected.volume_m3[:, :count], expected.run_shares[:, :count], expected.brix[:, :count]
    )


def _first(evidence: Evidence, count: int) -> Evidence:
    return Evidence(
        evidence.volume_m3[:count],
        evidence.floor_m3[:count],
        evidence.at_least[:count],
        evidence.nothing[:count],
    )


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
    before = _expected_of_first(expected, known)
    posterior = scale_posterior(_first(evidence, known), before, prior_log, prior_sd_log)
    trees = np.arange(draws) % len(prior_log)
    points = _draw_points(posterior, trees, source)
    scale_log = posterior.scale_log[trees, points]
    middle, sd = _next_error(evidence, before, expected, posterior.scale_log, known)
    mixing = mixing_log(evidence.floor_m3[: known + 1], _expected_of_first(expected, known + 1))
    errors = (
        mixing[trees, known] + middle[trees, points] + sd[trees] * source.standard_normal(draws)
    )
    floor_m3 = evidence.floor_m3[known]
    modelled_m3 = np.exp(scale_log) * expected.volume_m3[trees, known] + floor_m3
    volumes: Floats = np.maximum(modelled_m3 * np.exp(errors) - floor_m3, 0.0)
    return volumes


def _draw_points(
    posterior: ScalePosterior, trees: NDArray[np.int64], source: np.random.Generator
) -> NDArray[np.int64]:
    """Draw a point of the grid for each draw."""
    ladder = np.cumsum(posterior.weights, axis=1)[trees]
    drawn: NDArray[np.int64] = (ladder < source.random(len(trees))[:, np.newaxis]).sum(axis=1)
    inside: NDArray[np.int64] = np.minimum(drawn, ladder.shape[1] - 1)
    return inside


def _next_error(
    evidence: Evidence, before: Expected, expected: Expected, scale_log: Floats, known: int
) -> tuple[Floats, Floats]:
    """Return mean (trees, points) and deviation (trees,) of the next error given those before."""
    matrix = covariance(evidence.floor_m3[: known + 1], _expected_of_first(expected, known + 1))
    sd = np.sqrt(matrix[:, known, known])
    earlier = _first(evidence, known)
    seen = np.flatnonzero(~(earlier.at_least | earlier.nothing))
    if not len(seen):
        return np.zeros_like(scale_log), sd
    errors = errors_at(earlier, before, scale_log)[:, :, seen]
    cross = matrix[:, known, seen][:, :, np.newaxis]
    gain = np.linalg.solve(matrix[:, seen][:, :, seen], cross)
    middle: Floats = (errors @ gain)[:, :, 0]
    variance = sd**2 - (np.swapaxes(cross, 1, 2) @ gain)[:, 0, 0]
    return middle, np.sqrt(variance)
