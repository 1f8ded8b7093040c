"""What is thought of a membrane before its log is read, and where that comes from."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.as_learnt import LEARNABLE
from sugarwright.learning.membrane_course import FIXED, Course, logit
from sugarwright.plant.house import Membrane

Floats = NDArray[np.float64]

CONDITION = "membrane.condition_fraction"
LOSS_KEY = "membrane.loss_per_hour_fraction"
RINSE_KEY = "membrane.rinse_recovery_fraction"
WASH_KEY = "membrane.wash_recovery_fraction"

FALL_PER_DAY, FALL_SD_PER_DAY = 0.002, 0.01
"""Of the lasting part: 7 % in a season of some 35 days (10 % a year is told of household
membranes), and wide enough that a week of readings can say otherwise (judgement)."""
BEGIN_FRACTION, BEGIN_SD_LOG = 0.04, 1.1
"""Fouling from before the first entry: a twenty-fifth, within a factor of three (judgement)."""
NEW_FRACTION = 0.005


def membrane_prior(course: Course, membrane: Membrane, *, since_new: bool) -> tuple[Floats, Floats]:
    """Return mean and standard deviation of a course's parameters.

    Parameters
    ----------
    course : what they are of
    membrane : as described
    since_new : whether the course begins with a new element
    """
    wash = min(max(membrane.wash_recovery_fraction, 0.02), 0.98)
    rinse = min(max(membrane.rinse_recovery_fraction, 0.02), 0.98)
    condition = 1.0 if since_new else membrane.condition_fraction
    mean = np.zeros(course.size)
    mean[:FIXED] = [
        math.log(condition),
        FALL_PER_DAY,
        math.log(-math.log1p(-max(membrane.loss_per_hour_fraction, 0.001))),
        logit(wash),
        logit(rinse),
        math.log(NEW_FRACTION if since_new else BEGIN_FRACTION),
    ]
    of = LEARNABLE["membrane"]
    sd = np.ones(course.size)
    sd[:FIXED] = [
        of[CONDITION].sd,
        FALL_SD_PER_DAY,
        of[LOSS_KEY].sd,
        of[WASH_KEY].sd
        / (0.9 * 0.1),  # slope of the logit at the figures that the spreads are meant for
        of[RINSE_KEY].sd / (0.4 * 0.6),
        BEGIN_SD_LOG,
    ]
    return mean, sd
