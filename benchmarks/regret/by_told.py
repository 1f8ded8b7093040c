"""The planner told the true air, but not how much its runs of sap will give.

It stands between (e) and (c), which is told the sap as well: what is lost to (c) here, no weather
forecast could win back.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.weather.ensemble import PRIOR

from .by_planner import resting
from .houses import Case
from .outcome import Outcome, outcome, ready
from .planner import Planner, as_forecast, known_trees
from .seasons import Season

SURE = replace(PRIOR, sd_at_issue_k=0.05, growth_k_per_h=0.0)  # the least that a forecast may err


def told_air(case: Case, season: Season) -> Outcome:
    """By a planner whose forecasts are right, and who knows that."""
    plant, truth = ready(case, season)
    right = replace(truth, errors_k=np.zeros_like(truth.errors_k))
    planner = Planner(plant, truth, as_forecast(plant, right, known_trees(plant), SURE))
    return outcome(plant, truth, resting(plant, truth, planner.morning), planner.again)
