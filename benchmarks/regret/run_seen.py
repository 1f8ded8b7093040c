"""What a stick in the tank tells of the run of sap under way: the better, the more has come of it.

What came since the last frost is weighed against what the believed trees would have given in the
same air, as the twin does it; the reading's error against the prior spread of runs.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sugarwright.planning.weathers import RunUnderWay
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import make_drive, tapped_s, tree_parameters
from sugarwright.plant.sap_run import sap_run
from sugarwright.weather.ensemble import RUN_SD
from sugarwright.weather.hours import HOUR_S

from .truth import BEFORE_H, Truth

READING_ERROR = 0.02  # of the sap tank, of what a stick tells to have come: from memory
LEAST_ERROR_LOG = 0.1  # of the model within a run, whatever is read: judgement
LEAST_SEEN = 0.1  # of what the model gives: what is read to have come is never nothing
LEAST_ERRORS = 2.0  # what is less than so many errors of a reading tells nothing

RunSeen = Callable[[int, int], RunUnderWay | None]
"""Day of the season and hours since its morning -> what is known of the run then under way."""


def run_seen(believed: Plant, truth: Truth) -> RunSeen:
    """Watch the runs of a season.

    Parameters
    ----------
    believed : the house as its people think it is
    truth : the season
    """
    hours = truth.drive.air_c.shape[1]
    end_s, first_s = truth.begin_s + hours * HOUR_S, truth.begin_s - BEFORE_H * HOUR_S
    known = truth.season.weather.between(first_s, end_s)
    air_c, trees = known.temperature_c[np.newaxis], tree_parameters(believed.house.trees)
    model = make_drive(believed, first_s, air_c, truth.begin_s, end_s)
    expected_kg = HOUR_S * model.sap_kg_s[0].sum(axis=(1, 2))
    came_kg = HOUR_S * truth.drive.sap_kg_s[0].sum(axis=(1, 2))
    run = sap_run(air_c, first_s, tapped_s(believed.house), parameters=trees).run[0, -hours:]
    error_kg = READING_ERROR * believed.p[at.SAP_CAPACITY_M3] / believed.p[at.WATER_M3_KG]

    def seen(day: int, hour: int) -> RunUnderWay | None:
        now = 24 * day + hour
        since = np.flatnonzero(run[:now] == run[now])
        modelled_kg = float(expected_kg[since].sum())
        if modelled_kg < LEAST_ERRORS * error_kg:
            return None
        error_log = max(error_kg / modelled_kg, LEAST_ERROR_LOG)
        weight = RUN_SD**2 / (RUN_SD**2 + error_log**2)
        read_kg = float(came_kg[since].sum()) + error_kg * _chance(truth, day, hour)
        seen_log = np.log(max(read_kg / modelled_kg, LEAST_SEEN))
        sd_log = error_log * np.sqrt(weight)
        # The prior's mean is 1: its middle is a little less.
        middle_log = weight * seen_log - (1.0 - weight) * RUN_SD**2 / 2.0
        factor = float(np.exp(middle_log + sd_log**2 / 2.0))
        return RunUnderWay(trees.bush_scale * factor, float(sd_log))

    return seen


def _chance(truth: Truth, day: int, hour: int) -> float:
    return float(np.random.default_rng([truth.season.seed, day, hour, 7]).standard_normal())
