"""Learning a membrane's course from readings: a normal approximation at the mode.

Readings are compared in logarithms of the condition (``learning.membrane_condition``). An error of
a thermometer, a gauge or a flow tube is in part the same all day: each day and quantity has an
unknown of its own. What is each reading's own is Student's t, so that one slip says little (K.L.
Lange, R.J.A. Little and J.M.G. Taylor, J. Am. Stat. Assoc. 84, 1989; from memory), scaled so that a
reading tells as much as a normal one of its standard deviation.

The mode is found by Gauss-Newton steps with the weights of expectation and maximisation, which is
what an iterated Kalman smoother does to a course without noise of its own (B.M. Bell, SIAM J.
Optim. 4, 1994; from memory); the covariance is the inverse of the curvature there (Laplace's
approximation). Where readings scatter more than their instruments can, all errors are widened.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.membrane_condition import Seen
from sugarwright.learning.membrane_course import Course
from sugarwright.learning.membrane_log import Reading

Floats = NDArray[np.float64]

SHARED_FRACTION = 0.25
"""Part of an error's variance that a day's readings share, half of its size: judgement. Who holds
the same thermometer the same way errs alike."""
TAIL = 4.0
"""Degrees of freedom of a reading's own error."""
QUESTIONED = 3.5
"""Own errors, in standard deviations, beyond which a reading is named."""
_CORE = math.sqrt((TAIL + 1.0) / (TAIL + 3.0))  # scale of the t, by its Fisher information
_SCATTER_READINGS = 12.0  # that the stated standard deviations are worth against the scatter seen
_ROUNDS, _STILL = 60, 1e-6


@dataclass(frozen=True)
class Errors:
    """Errors of readings, as a table.

    Parameters
    ----------
    own_sd : (readings,), of what is each reading's own
    shared : (readings, unknowns), what one standard deviation of a day's error makes of it
    """

    own_sd: Floats
    shared: Floats


@dataclass(frozen=True)
class Fit:
    """A course as learnt.

    Parameters
    ----------
    course : what it is of
    mean : (size,), its parameters
    covariance : (size, size)
    states : (steps,), ln of the reversible part after each step
    residual_sds : (readings,), each reading's own error in its standard deviations
    scatter_ratio : by which readings scatter more than their instruments; 1 at least
    prior_information : (size,), inverse variances
    errors : of its readings
    weights : (readings,), what each counted; 1 as usual, near 0 for a slip
    """

    course: Course
    mean: Floats
    covariance: Floats
    states: Floats
    residual_sds: Floats
    scatter_ratio: float
    prior_information: Floats
    errors: Errors
    weights: Floats

    def sd(self, place: int) -> float:
        """Return the standard deviation of a parameter."""
        return float(math.sqrt(self.covariance[place, place]))


def errors_of(
    readings: Sequence[Reading],
    seen: Sequence[Seen],
    days: Sequence[int],
    shared_fraction: float = SHARED_FRACTION,
) -> Errors:
    """Split the errors of readings into their own and those that a day's readings share.

    Parameters
    ----------
    readings, seen : as many of each
    days : the local day of each, as a number
    shared_fraction : part of an error's variance that a day's readings share
    """
    unknowns: dict[tuple[int, str], int] = {}
    own = np.zeros(len(readings))
    shared = np.zeros((len(readings), sum(len(each.slopes) for each in seen)))
    for row, (reading, found, day) in enumerate(zip(readings, seen, days, strict=True)):
        for name, slope in found.slopes.items():
            sent = reading.inputs[name]
            part = 1.0 if sent.carried else shared_fraction
            column = unknowns.setdefault((day, name), len(unknowns))
            shared[row, column] = slope * sent.sd * math.sqrt(part)
            own[row] += (slope * sent.sd) ** 2 * (1.0 - part)
    return Errors(np.maximum(np.sqrt(own), 1e-4), shared[:, : len(unknowns)])


def fit_course(
    course: Course, condition_log: Floats, errors: Errors, mean: Floats, sd: Floats
) -> Fit:
    """Learn the parameters of a course.

    Parameters
    ----------
    course : with as many readings as there are conditions
    condition_log : (readings,), what each says
    errors : of these
    mean, sd : (size,), prior
    """
    size, unknowns = course.size, errors.shared.shape[1]
    information = 1.0 / np.concatenate([sd, np.ones(unknowns)]) ** 2
    prior = np.concatenate([mean, np.zeros(unknowns)])
    at = prior.copy()
    weights, scatter = np.ones(len(condition_log)), 1.0
    for _ in range(_ROUNDS):
        modelled, slopes, _ = course.with_slopes(at[:size])
        design = np.hstack([slopes, scatter * errors.shared])
        residual = condition_log - modelled - scatter * errors.shared @ at[size:]
        inverse = weights / (scatter * errors.own_sd) ** 2
        curvature = design.T @ (design * inverse[:, np.newaxis]) + np.diag(information)
        step = np.linalg.solve(
            curvature, design.T @ (inverse * residual) + information * (prior - at)
        )
        step *= min(1.0, 1.5 / float(np.abs(step * np.sqrt(information)).max(initial=1e-12)))
        at = at + step
        own = (residual - design @ step) / errors.own_sd
        weights = _weights(own / scatter)
        before, scatter = scatter, _scatter(own, weights)
        if np.abs(step * np.sqrt(information)).max() < _STILL and abs(scatter - before) < _STILL:
            break
    _, _, states = course.with_slopes(at[:size])
    covariance = np.asarray(np.linalg.inv(curvature)[:size, :size], dtype=np.float64)
    return Fit(
        course, at[:size], covariance, states, own / scatter, scatter, information[:size],
        Errors(scatter * errors.own_sd, scatter * errors.shared), weights,
    )  # fmt: skip


def _weights(own_sds: Floats) -> Floats:
    """Return what each reading counts by expectation and maximisation under Student's t."""
    weights: Floats = (TAIL + 1.0) / (TAIL + (own_sds / _CORE) ** 2)
    return weights


def _scatter(own_sds: Floats, weights: Floats) -> float:
    """Return by how much readings scatter more than stated; never less than stated."""
    seen = float((weights * own_sds**2).sum()) / _CORE**2
    squared = (_SCATTER_READINGS + seen) / (_SCATTER_READINGS + len(own_sds))
    return max(1.0, math.sqrt(squared))
