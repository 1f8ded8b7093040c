"""What a plan would be if something were otherwise, beside the plan as things are.

Both are found with the same seed and judged in the same weathers, so that their difference is that
of the thing supposed and not of the draws. A plan for other prices is told by its own prices.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning.course import net_money
from sugarwright.planning.forced import Settled
from sugarwright.planning.outlook import way
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import PlanReport, Way
from sugarwright.planning.rule_card import Card
from sugarwright.planning.search import Budget
from sugarwright.planning.suppositions import (
    Forced,
    Grounds,
    Supposition,
    forced_places,
    forcing,
    supposing,
)
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import run_many
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s

MOST_IFS = 3  # beside the plan as things are: more columns fit no page


@dataclass(frozen=True)
class IfPlan:
    """The best plan found if something is otherwise.

    Parameters
    ----------
    text : as it was said
    supposed : what it was read as
    report : of the plan; its limits and marks of change are left out
    difference_money : its worth less that of the plan as things are, mean over the weathers
    standard_error_money : of that mean
    less_share : share of the weathers in which it is worth less
    unchanged : what the plan as things are would come to if nobody changed it
    unchanged_breaks : whether that would leave a fire alone or a hot pan short of feed somewhere
    """

    text: str
    supposed: tuple[Supposition, ...]
    report: PlanReport
    difference_money: float
    standard_error_money: float
    less_share: float
    unchanged: Way
    unchanged_breaks: bool


@dataclass(frozen=True)
class WhatIf:
    """The plan as things are, and the plans if they were not.

    Parameters
    ----------
    today : the plan as things are; its limits and marks of change are left out
    ifs : one for each thing supposed
    """

    today: PlanReport
    ifs: tuple[IfPlan, ...]


def what_if(
    grounds: Grounds,
    supposed: tuple[tuple[str, tuple[Supposition, ...]], ...],
    hours: int = 72,
    seed: int | None = None,
    budget: Budget | None = None,
    before: Floats | None = None,
    card: Card | None = None,
) -> WhatIf:
    """Plan as things are, and once more for each thing supposed.

    Parameters
    ----------
    grounds : what the plan is made from
    supposed : text and suppositions of each
    hours, seed, budget, before, card : as :func:`~sugarwright.planning.today.plan_today` takes them

    Returns
    -------
    WhatIf

    Raises
    ------
    InputError : too many are asked for at once, or one of them cannot be
    """
    if not 1 <= len(supposed) <= MOST_IFS:
        raise InputError("--if", len(supposed), "are too many at once", f"up to {MOST_IFS}")
    report, planned = plan_with_grounds(
        grounds.plant, grounds.weather, grounds.levels, grounds.now_s, hours, seed, budget,
        before, grounds.belief, card, brief=True,
    )  # fmt: skip
    ifs = tuple(
        _if_plan(grounds, text, things, hours, report, planned, budget, card)
        for text, things in supposed
    )
    return WhatIf(report, ifs)


def _if_plan(
    grounds: Grounds,
    text: str,
    things: tuple[Supposition, ...],
    hours: int,
    today: PlanReport,
    planned: Planned,
    budget: Budget | None,
    card: Card | None,
) -> IfPlan:
    then = supposing(grounds, things)
    first_day = int(planned.weathers.forecast.calendar[0, at.DAY])
    force = forcing(things, first_day)
    settled = None if force is None else Settled(force, forced_places(things, first_day))
    report, other = plan_with_grounds(
        then.plant, then.weather, then.levels, then.now_s, hours, today.seed, budget,
        planned.plan, then.belief, card, settled=settled, brief=True,
    )  # fmt: skip
    ends = run_many(other.plant, other.weathers.checked, planned.plan[np.newaxis], other.state)
    gains = (
        net_money(other.plant, other.checked.ends[-1])[0]
        - net_money(planned.plant, planned.checked.ends[-1])[0]
    )
    return IfPlan(
        text=text,
        supposed=things,
        report=replace(report, whose="search") if settled is not None else report,
        difference_money=float(gains.mean()),
        standard_error_money=float(gains.std(ddof=1) / np.sqrt(len(gains))),
        less_share=float((gains < 0.0).mean()),
        unchanged=way(other.plant, ends),
        unchanged_breaks=bool((broken_s(ends.totals) > 0.0).any()),
    )


def is_forced(things: tuple[Supposition, ...]) -> bool:
    """Tell whether nothing but actions of the plan is otherwise, the world being as it is."""
    return all(isinstance(thing, Forced) for thing in things)
