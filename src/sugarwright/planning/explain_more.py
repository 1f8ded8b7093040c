"""Where the worth of more of a limit comes from: the runs without and with it, line by line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.planning.explain_money import money_lines
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import MoneyLine, More
from sugarwright.planning.limits import WEATHERS, best_of, more_money, raised_limits, variants
from sugarwright.planning.planned import Planned
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Results
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines


def of_more(planned: Planned) -> Explanation:
    """Show what more of each limit would be worth, the most valuable first.

    Parameters
    ----------
    planned : the plan

    Returns
    -------
    Explanation, of the same runs that the limits of its report are reckoned from.
    """
    drive, plans = planned.weathers.checked.some(slice(0, WEATHERS)), variants(planned)
    least = best_of(planned.plant, drive, plans, planned.state)
    found = []
    for raised in raised_limits(planned, drive):
        most = best_of(raised.plant, raised.drive, plans, raised.state)
        gains = _nets(raised.plant, most.runs) - _nets(planned.plant, least.runs)
        lines = money_lines(raised.plant, most.runs, least.runs, planned.plant)
        difference_money = more_money(raised, most, least)
        found.append(
            More(
                limit=replace(raised.limit, money=max(0.0, difference_money)),
                difference_money=difference_money,
                plan_way=_name(planned, plans[most.place]),
                other_way=_name(planned, plans[least.place]),
                lines=_of_maker(lines, most.money, least.money),
                by_weather=tuple(gains.tolist()),
            )
        )
    more = tuple(sorted(found, key=lambda each: -each.limit.money))
    return Explanation("more", None, "", None, (), (), (), (), None, more=more)


def _nets(plant: Plant, runs: Results) -> Floats:
    lines = worth_lines(plant, runs.totals, runs.states)
    nets: Floats = lines.net[0] - lines.crowding[0]
    return nets


def _of_maker(lines: tuple[MoneyLine, ...], most: float, least: float) -> tuple[MoneyLine, ...]:
    """Leave out the search's own charge, and tell apart what a broken rule is counted as.

    No price of a house has either.
    """
    own = [each for each in lines[:-1] if each.name != "crowding"]
    left = MoneyLine(
        "broken",
        most - sum(each.plan_money for each in own),
        least - sum(each.other_money for each in own),
    )
    if max(abs(left.plan_money), abs(left.other_money)) > 1e-6:
        own.append(left)
    return (*own, MoneyLine("net", most, least))


def _name(planned: Planned, plan: Floats) -> str:
    """Return which of the plans that are tried with more room one is."""
    if np.array_equal(plan, planned.plan):
        return "plan"
    if np.array_equal(plan, planned.habit):
        return "habit"
    flows = [at.MEMBRANE_FLOW_M3_S, at.NIGHT_FLOW_M3_S]
    same = np.array_equal(plan[:, flows], planned.plan[:, flows])
    return "longer fires" if same else "other setting"
