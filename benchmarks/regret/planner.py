"""The planner, as the plan command asks it, without its report: what a morning's plan would be.

Yesterday's plan is handed on, as a maker would keep it: it stays unless a new one gains a little.
"""

from __future__ import annotations

from collections.abc import Callable

from sugarwright.planning.choose import choose
from sugarwright.planning.search import USUAL, Budget
from sugarwright.planning.weathers import Belief, Weathers, make_weathers
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import tree_parameters
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tree_knowledge import TreeKnowledge

from .rolling import Decide
from .truth import HORIZON_H, Truth

KNOWN_TREES_SD_LOG = 0.1  # trees that some seasons of gatherings have taught
KNOWN_BRIX_SD = 0.1
THREADS = 1  # a season has a process of its own

WeathersOf = Callable[[int], Weathers]
"""Day of the season -> what a plan of that morning is judged in."""


def by_plans(
    plant: Plant,
    truth: Truth,
    weathers_of: WeathersOf,
    budget: Budget = USUAL,
    searches: int = 1,
) -> Decide:
    """Decide by a plan made each morning, with yesterday's at hand.

    Parameters
    ----------
    plant : the house as the planner believes it to be
    truth : the season
    weathers_of : what each morning knows of the weather
    budget : how much each search may search
    searches : how many to make, by seeds of their own; the best of them counts
    """
    last: dict[int, Floats] = {}

    def decide(day: int, state: Floats) -> Floats:
        begin_s, weathers = truth.morning_s(day), weathers_of(day)
        before = a_day_later(last[day - 1]) if day - 1 in last else None
        found = [
            choose(plant, weathers, state, begin_s + number, budget, before, THREADS)
            for number in range(searches)
        ]
        last[day] = max(found, key=lambda one: one.value_money).plan
        return last[day]

    return decide


def a_day_later(rows: Floats) -> Floats:
    """Rows of yesterday's plan from today on, but for the few hours of its last day."""
    return rows[1:-1]


def known_trees(plant: Plant) -> TreeKnowledge:
    """What somebody knows whose trees are as the house says, and who has measured that."""
    trees, usual = plant.house.trees, tree_parameters(plant.house.trees)
    return TreeKnowledge(
        season=trees.tapped.year,
        learnt_s=0,
        gatherings=0,
        brix_readings=0,
        independent_gatherings=0.0,
        yield_factor=usual.bush_scale,
        yield_sd_log=KNOWN_TREES_SD_LOG,
        sap_brix=usual.brix_start,
        sap_brix_sd=KNOWN_BRIX_SD,
    )


def as_forecast(plant: Plant, truth: Truth, trees: TreeKnowledge | None) -> WeathersOf:
    """What the forecast of each morning and a knowledge of the trees make likely."""

    def weathers_of(day: int) -> Weathers:
        begin_s, belief = truth.morning_s(day), Belief(trees=trees)
        return make_weathers(plant, truth.forecast(day), begin_s, HORIZON_H, begin_s, belief)

    return weathers_of


def as_it_comes(truth: Truth) -> WeathersOf:
    """The one weather that really comes, sap and all."""

    def weathers_of(day: int) -> Weathers:
        true = truth.day(day, HORIZON_H)
        return Weathers(forecast=true, searched=true, checked=true)

    return weathers_of
