"""Why each thing is in the plan; what brings nothing is left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.planning.action import Reason
from sugarwright.planning.course import breaks, net_money
from sugarwright.planning.outlook import few_that_make, lost_m3, syrup_m3
from sugarwright.planning.plainer import GUARD_MONEY
from sugarwright.planning.planned import CALL_OF, Place, Planned, without, without_machine
from sugarwright.planning.together import losing_together
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Results
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import older_money

CALLS = (at.MEMBRANE_CALL_M3, at.FIRE_CALL_M3)  # may cost a little in weathers without great runs
LEAST_MONEY = 1.0  # less is no reason
HARDLY = 0.1  # of what a machine is worth that day: its hour alone hardly changes anything


def without_losses(
    planned: Planned, staying: frozenset[Place] = frozenset()
) -> tuple[Planned, dict[Place, Reason]]:
    """Leave out one start after another that costs more than it brings, the worst one first.

    Then what does so only together. The search judged in few weathers; in others a start may turn
    out to lose. A plan with less to do is the better one even where that is all the same.

    Parameters
    ----------
    planned : the plan as chosen
    staying : starts that stay, whatever they cost

    Returns
    -------
    The plan that is left, and the reason of each of its starts: none is a loss but those that stay.
    """
    while True:
        reasons, breaking = _reasons(planned)
        kept = breaking | staying
        losing = [
            place
            for place in reasons
            if reasons[place].money < _least_money(place) and place not in kept
        ]
        if losing:
            worst = min(losing, key=lambda place: reasons[place].money)
            planned = replace(planned, plan=without(planned.plan, worst))
            continue
        together = losing_together(planned, kept, {each: _least_money(each) for each in reasons})
        if together is None:
            return planned, reasons
        for place in together:
            planned = replace(planned, plan=without(planned.plan, place))


def _least_money(place: Place) -> float:
    return -GUARD_MONEY if place[1] in CALLS else 0.0


def _reasons(planned: Planned) -> tuple[dict[Place, Reason], set[Place]]:
    """Reason of each start; and those without which a rule would be broken more."""
    found: dict[Place, Reason] = {}
    breaking: set[Place] = set()
    course, asked = planned.checked, planned.places()
    base = breaks(course.ends[-1])[0]
    for day in range(len(planned.plan)):
        places = [place for place in asked if place[0] == day]
        if places:
            plans = np.stack([without(planned.plan, place) for place in places])
            results = course.on_from(day, plans)
            found |= zip(places, _differences(planned, results), strict=True)
            broken = breaks(results) > base
            breaking |= {place for place, more in zip(places, broken, strict=True) if more}
    return found, breaking


def _differences(planned: Planned, left_out: Results) -> list[Reason]:
    """What each of some plans changes against the plan, in the mean."""
    plant, full = planned.plant, planned.checked.ends[-1]

    def sums(results: Results) -> Floats:
        totals = results.totals
        return np.stack(
            [
                net_money(plant, results).mean(axis=1),
                syrup_m3(plant, totals).mean(axis=1),
                lost_m3(plant, totals).mean(axis=1),
                (totals[..., at.SAP_FULL_AT_S] >= 0.0).mean(axis=1),
                np.add(*older_money(plant, totals, results.states)).mean(axis=1),
            ],
            axis=1,
        )

    lost = (sums(full) - sums(left_out)).tolist()
    spilled = lost_m3(plant, left_out.totals) - lost_m3(plant, full.totals)
    return [
        Reason(money, syrup, -spilt, -full_share, -older, spilled_in=few_that_make(by_weather))
        for (money, syrup, spilt, full_share, older), by_weather in zip(lost, spilled, strict=True)
    ]


def of_day(planned: Planned, reasons: dict[Place, Reason]) -> dict[Place, Reason]:
    """Return reasons, those of the whole day where a full tank makes up for a start left out.

    On a full day the tank calls for fire and membrane whatever their hours, and an hour has no
    reason of its own; the machine has.

    Parameters
    ----------
    planned : the plan
    reasons : of each of its starts, with only that left out
    """
    found = dict(reasons)
    for day in range(len(planned.plan)):
        places = [place for place in reasons if place[0] == day and calls_too(planned, place)]
        if places:
            plans = np.stack([without_machine(planned.plan, place) for place in places])
            whole = _differences(planned, planned.checked.on_from(day, plans))
            for place, reason in zip(places, whole, strict=True):
                if counts_as_day(reasons[place].money, reason.money):
                    found[place] = replace(reason, of_day=True)
    return found


def calls_too(planned: Planned, place: Place) -> bool:
    """Tell whether a full tank may call that day for what a place asks for by the hour."""
    call = CALL_OF.get(place[1])
    return call is not None and bool(planned.plan[place[0], call] > 0.0)


def counts_as_day(hour_money: float, day_money: float) -> bool:
    """Tell whether the machine is worth something that day of which its hour is hardly a part.

    Parameters
    ----------
    hour_money, day_money : lost without the hour; without the hour and the day's call
    """
    return day_money >= LEAST_MONEY and hour_money < max(LEAST_MONEY, HARDLY * day_money)
