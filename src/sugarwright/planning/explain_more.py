"""Where the worth of more of a limit comes from: the runs without and with it, line by line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.planning.explain_money import money_lines
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import MoneyLine, More
from sugarwright.planning.judging import values_of
from sugarwright.planning.limits import WEATHERS, _raised, _variants
from sugarwright.planning.planned import Planned
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Results, run_many
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
    drive, plans = planned.weathers.checked.some(slice(0, WEATHERS)), _variants(planned)
    way, runs, least = _best(planned.plant, drive, plans, planned.state)
    found = []
    for raised in _raised(planned, drive):
        other_way, others, most = _best(raised.plant, raised.drive, plans, raised.state)
        gains = _nets(raised.plant, others) - _nets(planned.plant, runs)
        lines = money_lines(raised.plant, others, runs, planned.plant)
        found.append(
            More(
                limit=replace(raised.limit, money=max(0.0, most - least)),
                difference_money=most - least,
                plan_way=_name(planned, plans[other_way]),
                other_way=_name(planned, plans[way]),
                lines=_with_broken(lines, most, least),
                by_weather=tuple(gains.tolist()),
            )
        )
    more = tuple(sorted(found, key=lambda each: -each.limit.money))
    return Explanation("more", None, "", None, (), (), (), (), None, more=more)


def _best(plant: Plant, drive: Drive, plans: Floats, state: Floats) -> tuple[int, Results, float]:
    """Return the best of plans, its runs, and what it is worth."""
    results = run_many(plant, drive, plans, state)
    values = values_of(plant, results)
    k = int(np.argmax(values))
    one = Results(results.states[k : k + 1], results.totals[k : k + 1])
    return k, one, float(values[k])


def _nets(plant: Plant, runs: Results) -> Floats:
    nets: Floats = worth_lines(plant, runs.totals, runs.states).net[0]
    return nets


def _with_broken(lines: tuple[MoneyLine, ...], most: float, least: float) -> tuple[MoneyLine, ...]:
    """Tell apart what a rule broken in some weather is counted as: no price of a house has it."""
    net = lines[-1]
    broken = MoneyLine("broken", most - net.plan_money, least - net.other_money)
    if max(abs(broken.plan_money), abs(broken.other_money)) < 1e-6:
        return lines
    return (*lines[:-1], broken, MoneyLine("net", most, least))


def _name(planned: Planned, plan: Floats) -> str:
    """Return which of the plans that are tried with more room one is."""
    if np.array_equal(plan, planned.plan):
        return "plan"
    if np.array_equal(plan, planned.habit):
        return "habit"
    flows = [at.MEMBRANE_FLOW_M3_S, at.NIGHT_FLOW_M3_S]
    same = np.array_equal(plan[:, flows], planned.plan[:, flows])
    return "longer fires" if same else "other setting"
