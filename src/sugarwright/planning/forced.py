"""Choose a plan when a part of it is already settled: whatever is searched, that part stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sugarwright.planning.choices import Picks, habit_rows, make_menu, rows
from sugarwright.planning.choose import SCREENED, Chosen
from sugarwright.planning.presets import nearest, presets
from sugarwright.planning.search import Budget, Judge, judge_plans, search
from sugarwright.planning.weathers import Weathers
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats

Force = Callable[[Floats], Floats]
"""From plans (plans, days, ``PLAN_WIDTH``) to new ones in which what is settled stands."""


@dataclass(frozen=True)
class Settled:
    """A part of a plan that is settled before the search.

    Parameters
    ----------
    force : puts it in the place of whatever a plan has there
    places : starts of it (day and column), which stay even where they lose
    """

    force: Force
    places: frozenset[tuple[int, int]] = frozenset()


def choose_forced(
    plant: Plant,
    weathers: Weathers,
    state: Floats,
    seed: int,
    force: Force,
    budget: Budget | None = None,
    before: Floats | None = None,
) -> Chosen:
    """Choose a plan as :func:`~sugarwright.planning.choose.choose` does, a part being settled.

    Parameters
    ----------
    plant, weathers, state, seed, budget : as there
    force : settles the part
    before : (days, ``PLAN_WIDTH``) a plan from which the search may begin

    Returns
    -------
    Chosen; ``whose`` is "search": neither habit nor card is a plan with that part in it.
    """
    menu = make_menu(plant, weathers.searched, state)
    habit = habit_rows(plant, menu.days)
    begun = presets(menu, habit)
    if before is not None:
        begun = np.concatenate([begun, nearest(menu, before)[np.newaxis]])

    def judge_in(drive: Drive) -> Judge:
        def judge(picks: Picks) -> Floats:
            return judge_plans(plant, drive, force(rows(menu, picks)), state)

        return judge

    few = weathers.searched.some(slice(0, SCREENED))
    found = search(
        menu, judge_in(weathers.searched), seed, begun, budget, judge_in(few),
        judge_in(weathers.compared),
    )  # fmt: skip
    plan = force(rows(menu, found.picks[np.newaxis]))[0]
    return Chosen(
        plan, habit, menu, "search", found.value_money, found.candidates, found.stopped_early
    )
