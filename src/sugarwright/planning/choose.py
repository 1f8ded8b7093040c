"""Choose a plan: search, then let what needs less reading win where it is as good.

The house's own habit and the plan of yesterday are judged beside what the search finds, exactly as
they are, in weathers that nothing was fitted to. A person who knows a plan already follows it
better than a new one: yesterday's stays unless the new one gains a few dollars.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.planning.choices import Force, Menu, Picks, habit_rows, make_menu, rows
from sugarwright.planning.judging import PlanJudge
from sugarwright.planning.lateness import LateJudge
from sugarwright.planning.presets import nearest, presets
from sugarwright.planning.rule_card import Card, card_rows
from sugarwright.planning.search import Budget, Judge, search
from sugarwright.planning.weathers import Weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import Floats

SCREENED = 3  # weathers in which neighbours of a good plan are looked at first
KEEP_MONEY = 2.0  # what a new plan must gain over yesterday's


@dataclass(frozen=True)
class Chosen:
    """The plan chosen.

    Parameters
    ----------
    plan : (days, ``PLAN_WIDTH``), the first row being the local day of the plan's first step
    habit : the same of the house's present way of working
    menu : what there was to choose from
    whose : "search", "habit", "card" or "before": where it comes from
    value_money : its mean net worth over the weathers in which the best were compared, in some of
        them carried out late
    candidates : how many were judged
    stopped_early : the clock ended the search
    """

    plan: Floats
    habit: Floats
    menu: Menu
    whose: str
    value_money: float
    candidates: int
    stopped_early: bool


def choose(
    plant: Plant,
    weathers: Weathers,
    state: Floats,
    seed: int,
    budget: Budget | None = None,
    before: Floats | None = None,
    threads: int | None = None,
    card: Card | None = None,
    force: Force | None = None,
) -> Chosen:
    """Choose a plan for the hours of some weathers.

    Parameters
    ----------
    plant : the house
    weathers : that plans are judged in
    state : of the plant at their beginning
    seed : of the draws
    budget : how much to search
    before : (days, ``PLAN_WIDTH``) an earlier plan for the same days; its last row stands for the
        days beyond
    threads : how many to judge with; None: one a core. The plan does not depend on it
    card : the house's rule card, judged beside its habit; None without one
    force : settles a part of every plan; habit, card and the earlier plan are then none of the
        candidates, since they have not that part in them, but the search may begin near them

    Returns
    -------
    Chosen
    """
    menu = make_menu(plant, weathers.searched, state)
    minding = _minding_tanks(menu, force)
    habit = habit_rows(plant, menu.days)
    begun = presets(menu, habit)
    if before is not None:
        begun = np.concatenate([begun, nearest(menu, before)[np.newaxis]])

    judging = PlanJudge(plant, weathers.compared, state, threads)
    comparing: PlanJudge | LateJudge = judging

    def judge_in(count: int) -> Judge:
        return lambda picks: judging.values(rows(menu, picks, minding), slice(0, count))

    searched, screen, compare = judge_in(weathers.searched.scenarios), None, None
    if weathers.searched.scenarios > SCREENED:
        screen, comparing = judge_in(SCREENED), LateJudge(judging)
        compare = _of_picks(comparing, menu, minding)
    found = search(menu, searched, seed, begun, budget, screen, compare)
    whose, value = "search", found.value_money
    plan = rows(menu, found.picks[np.newaxis], minding)[0]
    known = [] if force is not None else _known_plans(habit, weathers, before, card)
    if known:
        own_plans = np.stack([each[1] for each in known])
        worth = comparing.values(own_plans)
        for (name, own, bonus), own_value in zip(known, worth.tolist(), strict=True):
            if own_value + bonus > value:
                whose, plan, value = name, own, own_value
    count = found.candidates + len(known)
    return Chosen(plan, habit, menu, whose, value, count, found.stopped_early)


def _of_picks(judging: LateJudge, menu: Menu, force: Force) -> Judge:
    def judge(picks: Picks) -> Floats:
        return judging.values(rows(menu, picks, force))

    return judge


def _minding_tanks(menu: Menu, force: Force | None) -> Force:
    """From the second day on a nearly full tank always calls, whatever a plan says.

    Those days are planned anew before anybody gets there. Rows that suit the mean weather would let
    what a great run brings run over or spoil, and today would seem to gather it for nothing.
    """
    calls = (
        (at.MEMBRANE_CALL_M3, menu.sap_calls_m3 if menu.membrane else np.zeros(1)),
        (at.FIRE_CALL_M3, menu.stock_calls_m3),
    )

    def minding(plans: Floats) -> Floats:
        minded = plans.copy()
        for column, levels_m3 in calls:
            later = minded[:, 1:, column]
            later[later <= 0.0] = levels_m3[min(1, len(levels_m3) - 1)]
        return minded if force is None else force(minded)

    return minding


def _known_plans(
    habit: Floats, weathers: Weathers, before: Floats | None, card: Card | None
) -> list[tuple[str, Floats, float]]:
    """Plans that a person knows: name, rows, and what a new one must gain over it."""
    known = [("habit", habit, 0.0)]
    if card is not None:
        known.append(("card", card_rows(card, weathers.searched), 0.0))
    if before is not None:
        last = np.minimum(np.arange(len(habit)), len(before) - 1)
        known.append(("before", before[last], KEEP_MONEY))
    return known
