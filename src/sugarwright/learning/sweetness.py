"""Early-season Brix of the sap from readings of what was gathered.

The model says how sap weakens with days, warmth and much flow; readings say where it starts. Their
errors are normal: days remember each other (``weather.ensemble``), the instrument does not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.expected import Expected
from sugarwright.learning.gatherings import Gathering
from sugarwright.physics.tree import TreeParameters
from sugarwright.weather.ensemble import BRIX_MEMORY_PER_DAY, BRIX_SD

Floats = NDArray[np.float64]

INSTRUMENT_SD = 0.1
"""Of one reading: half the usual division of a hand refractometer, 0.2 Brix."""


def readings_covariance(end_s: Floats) -> Floats:
    """Return (readings, readings) of their errors [Brix squared]."""
    apart_days = np.abs(end_s[:, np.newaxis] - end_s) / 86400.0
    shared: Floats = BRIX_SD**2 * BRIX_MEMORY_PER_DAY**apart_days
    return shared + INSTRUMENT_SD**2 * np.eye(len(end_s))


def learn_brix(
    gatherings: Sequence[Gathering], expected: Expected, middle_brix: float, sd_brix: float
) -> tuple[float, float, int]:
    """Learn the Brix at the start of the season.

    Parameters
    ----------
    gatherings : some with a reading
    expected : of one set of trees, at ``TreeParameters().brix_start``
    middle_brix, sd_brix : what was known before

    Returns
    -------
    (Brix, its standard deviation, how many readings taught it)
    """
    use = [
        place
        for place, each in enumerate(gatherings)
        if each.brix is not None and not math.isnan(expected.brix[0, place])
    ]
    if not use:
        return middle_brix, sd_brix, 0
    read = np.array([gatherings[place].brix for place in use], dtype=np.float64)
    start = read - (expected.brix[0, use] - TreeParameters().brix_start)
    matrix = readings_covariance(np.array([gatherings[place].end_s for place in use]))
    per_reading = np.linalg.solve(matrix, np.ones(len(use)))
    precision = 1.0 / sd_brix**2 + float(per_reading.sum())
    mean = (middle_brix / sd_brix**2 + float(per_reading @ start)) / precision
    return mean, math.sqrt(1.0 / precision), len(use)
