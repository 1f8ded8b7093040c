"""(c), (e), (f) By the planner: told the weather, by forecasts, late, and wrong about the house."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.search import Budget
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.tank_kernel import Floats

from .houses import Case
from .lateness import late, late_mornings, on_coming_in
from .outcome import Outcome, outcome, ready
from .planner import Planner, as_forecast, as_it_comes, known_trees
from .rolling import Decide, nothing_to_decide
from .seasons import Season
from .truth import HORIZON_H, Truth
from .wrong_house import ready_other

WIDE = Budget(population=960)  # ten times the usual
SEARCHES = 3  # such, for one usual of the planner that does not know the weather


def perfect(case: Case, season: Season) -> Outcome:
    """(c) Told the true weather and sap of its horizon, with more than ten times the search."""
    plant, truth = ready(case, season)
    return outcome(plant, truth, _by_truth(plant, truth, SEARCHES))


def perfect_twice(case: Case, season: Season) -> Outcome:
    """(c) again with twice that search: does more move it?"""
    plant, truth = ready(case, season)
    return outcome(plant, truth, _by_truth(plant, truth, 2 * SEARCHES))


def planned(case: Case, season: Season) -> Outcome:
    """(e) With forecasts as issued; made anew when a tank is off what it expected, or it is old."""
    plant, truth = ready(case, season)
    planner = _sure(plant, truth)
    return outcome(plant, truth, resting(plant, truth, planner.morning), planner.again)


def planned_mornings(case: Case, season: Season) -> Outcome:
    """(e) With nobody who looks again during the day."""
    plant, truth = ready(case, season)
    return outcome(plant, truth, resting(plant, truth, _sure(plant, truth).morning))


def planned_late(case: Case, season: Season) -> Outcome:
    """(e) By a person who is late for everything and forgets washes."""
    plant, truth = ready(case, season)
    planner, chance = _sure(plant, truth), np.random.default_rng([season.seed, 5])
    decide = resting(plant, truth, planner.morning)

    def again(day: int, hour: int, state: Floats, rows: Floats) -> Floats:
        anew = planner.again(day, hour, state, rows)
        if anew is rows:
            return rows
        comes_in = on_coming_in(truth, day, plant.step_s)
        return late(anew, chance, comes_in, truth.calendar_at(day, hour)[at.MINUTE])

    return outcome(plant, truth, late_mornings(decide, chance, truth, plant.step_s), again)


def planned_elsewhere(case: Case, season: Season) -> Outcome:
    """(f) At a house whose membrane, pan and trees are not as it thinks."""
    plant, truth = ready_other(case, season)
    believed = assemble(case.tapped(season.tapped))
    planner = Planner(believed, truth, as_forecast(believed, truth, None))
    return outcome(plant, truth, resting(believed, truth, planner.morning), planner.again)


def perfect_elsewhere(case: Case, season: Season) -> Outcome:
    """(c) at that house, which it knows."""
    plant, truth = ready_other(case, season)
    return outcome(plant, truth, _by_truth(plant, truth, SEARCHES))


def _sure(plant: Plant, truth: Truth) -> Planner:
    """The planner of somebody who knows house and trees."""
    return Planner(plant, truth, as_forecast(plant, truth, known_trees(plant)))


def _by_truth(plant: Plant, truth: Truth, searches: int) -> Decide:
    planner = Planner(plant, truth, as_it_comes(truth), WIDE, searches)
    return resting(plant, truth, planner.morning)


def resting(plant: Plant, truth: Truth, decide: Decide) -> Decide:
    """Save the search on days on which any plan would do nothing, for the planner and its kin."""

    def rest_or_decide(day: int, state: Floats) -> Floats:
        coming_kg = float(truth.day(day, HORIZON_H).sap_kg_s.sum()) * 3600.0
        if nothing_to_decide(plant, state, coming_kg):
            rows = np.zeros((2, at.PLAN_WIDTH))
            rows[:, [at.MEMBRANE_START, at.WASH_AT, at.FIRE_START]] = -1.0
            return rows
        return decide(day, state)

    return rest_or_decide
