"""What of a plan loses only together: each part holds another up, and without both it is better.

A membrane that is not started lets the tank fill that calls for it tomorrow: each alone is worth
keeping, and neither may be. So pairs are tried, and whole days and machines.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from sugarwright.planning.choices import STARTS
from sugarwright.planning.course import breaks, net_money
from sugarwright.planning.planned import Place, Planned, without
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats

_FIRE = (at.FIRE_START, at.FIRE_CALL_M3)
Group = frozenset[Place]


def losing_together(
    planned: Planned, kept: set[Place] | frozenset[Place], least_money: dict[Place, float]
) -> Group | None:
    """Return what of a plan is best left out together.

    Parameters
    ----------
    planned : a plan of which no part alone is better left out
    kept : what stays, whatever it costs
    least_money : of each other place, what it must bring at least; below 0 where it may cost

    Returns
    -------
    Those whose leaving out together gains the most, more than any of them may cost, and breaks no
    rule more; None where there are none.
    """
    course = planned.checked
    base = float(net_money(planned.plant, course.ends[-1]).mean())
    broken = float(breaks(course.ends[-1])[0])
    best, most = None, 0.0
    groups = _groups([place for place in least_money if place not in kept])
    for day in range(len(planned.plan)):
        here = [group for group in groups if min(group)[0] == day]
        if not here:
            continue
        results = course.on_from(day, np.stack([_without(planned.plan, group) for group in here]))
        gains = net_money(planned.plant, results).mean(axis=1) - base
        gains[breaks(results) > broken] = -np.inf
        for group, gain in zip(here, gains.tolist(), strict=True):
            may_cost = -min(least_money[place] for place in group)
            if gain > max(may_cost, most):
                best, most = group, gain
    return best


def _groups(places: list[Place]) -> list[Group]:
    """Pairs of which one at least is a start; whole days; a machine, or all, from a day on."""
    pairs = [
        frozenset(pair)
        for pair in combinations(places, 2)
        if any(column in STARTS for _, column in pair)
    ]
    found = set(pairs)
    for day in {day for day, _ in places}:
        later = [place for place in places if place[0] >= day]
        found |= {
            frozenset(later),
            frozenset(place for place in later if place[0] == day),
            frozenset(place for place in later if place[1] in _FIRE),
            frozenset(place for place in later if place[1] not in _FIRE),
        }
    return sorted((group for group in found if len(group) > 1), key=sorted)


def _without(plan: Floats, group: Group) -> Floats:
    for place in group:
        plan = without(plan, place)
    return plan
