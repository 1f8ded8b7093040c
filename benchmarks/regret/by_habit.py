"""(a) As a sensible neighbour works; on time, late, and in a house that is not as described."""

from __future__ import annotations

import numpy as np

from sugarwright.plant.assemble import Plant

from .houses import Case
from .lateness import late_mornings
from .neighbour import habit_of_today
from .outcome import Outcome, outcome, ready
from .rolling import Decide
from .seasons import Season
from .wrong_house import ready_other


def habit(case: Case, season: Season) -> Outcome:
    """(a) As a sensible neighbour works."""
    plant, truth = ready(case, season)
    return outcome(plant, truth, _decide(case, plant))


def habit_late(case: Case, season: Season) -> Outcome:
    """The same by somebody who is late for everything and forgets washes."""
    plant, truth = ready(case, season)
    decide, chance = _decide(case, plant), np.random.default_rng([season.seed, 5])
    return outcome(plant, truth, late_mornings(decide, chance, truth, plant.step_s))


def habit_elsewhere(case: Case, season: Season) -> Outcome:
    """The same where membrane, pan and trees are not as described."""
    plant, truth = ready_other(case, season)
    return outcome(plant, truth, _decide(case, plant))


def _decide(case: Case, plant: Plant) -> Decide:
    return lambda _, x: habit_of_today(plant, x, case.overnight, 2)
