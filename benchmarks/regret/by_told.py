"""The planner told the true air, but not how much its runs of sap will give.

It stands between (e) and (c), which is told the sap as well: what is lost to (c) here, no weather
forecast could win back.
"""

from __future__ import annotations

import numpy as np

from sugarwright.planning.weathers import Belief, Weathers, make_weathers
from sugarwright.plant.assemble import Plant
from sugarwright.weather.hours import HOUR_S

from .by_planner import resting
from .houses import Case
from .outcome import Outcome, outcome, ready
from .planner import Planner, WeathersOf, known_trees
from .run_seen import run_seen
from .seasons import Season
from .truth import HORIZON_H, Truth


def told_air(case: Case, season: Season) -> Outcome:
    """By a planner whose forecasts are right."""
    plant, truth = ready(case, season)
    planner = Planner(plant, truth, _right_forecasts(plant, truth))
    return outcome(plant, truth, resting(plant, truth, planner.morning), planner.again)


def _right_forecasts(plant: Plant, truth: Truth) -> WeathersOf:
    seen, trees = run_seen(plant, truth), known_trees(plant)

    def weathers_of(day: int, hour: int) -> Weathers:
        now_s, known = truth.morning_s(day) + HOUR_S * hour, truth.right_forecast(day)
        belief = Belief(sd_k=np.zeros(len(known)), trees=trees, run=seen(day, hour))
        return make_weathers(plant, known, now_s, HORIZON_H - hour, now_s, belief)

    return weathers_of
