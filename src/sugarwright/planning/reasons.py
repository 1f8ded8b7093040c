"""Why each thing is in the plan; what brings nothing is left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.planning.action import Reason
from sugarwright.planning.choices import WHENEVER
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
_RUNS = {at.MEMBRANE_START: at.T_MEMBRANE_ON, at.FIRE_START: at.T_FIRE_ON}
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
        trips = {place for place in reasons if place[1] == at.GATHER_START}
        kept = breaking | staying | trips  # if more comes than was thought, they are wanted
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
        Reason(
            money, syrup, -spilt, -full_share, -older, spilled_weathers=few_that_make(by_weather)
        )
        for (money, syrup, spilt, full_share, older), by_weather in zip(lost, spilled, strict=True)
    ]


def of_day(planned: Planned, reasons: dict[Place, Reason]) -> dict[Place, Reason]:
    """Return reasons, those of the whole day where a start left out is not the run that it begins.

    On a full day the tank calls for fire and membrane whatever their hours, and an hour has no
    reason of its own; the machine has. And a row that starts a machine starts it again once the
    tank has refilled or somebody is back: without it the later runs of the day go as well.

    Parameters
    ----------
    planned : the plan
    reasons : of each of its starts, with only that left out
    """
    found = {
        place: replace(reason, of_day=True) if place[1] == at.GATHER_START else reason
        for place, reason in reasons.items()
    }
    for day in range(len(planned.plan)):
        again = {place for place in reasons if place[0] == day and runs_again(planned, place)}
        places = [
            place
            for place in reasons
            if place[0] == day and (place in again or calls_too(planned, place))
        ]
        if places:
            plans = np.stack([without_machine(planned.plan, place) for place in places])
            whole = _differences(planned, planned.checked.on_from(day, plans))
            for place, reason in zip(places, whole, strict=True):
                if place in again or counts_as_day(reasons[place].money, reason.money):
                    found[place] = replace(reason, of_day=True)
    return found


def fetched_first_money(planned: Planned, day: int) -> float:
    """What it costs, in the mean, to fetch a day's sap whenever that is worth a trip."""
    at_once = planned.plan.copy()
    at_once[day, at.GATHER_START] = WHENEVER
    (reason,) = _differences(planned, planned.checked.on_from(day, at_once[np.newaxis]))
    return reason.money


def calls_too(planned: Planned, place: Place) -> bool:
    """Tell whether a full tank may call that day for what a place asks for by the hour."""
    call = CALL_OF.get(place[1])
    return call is not None and bool(planned.plan[place[0], call] > 0.0)


def runs_again(planned: Planned, place: Place) -> bool:
    """Tell whether the machine that a place starts is started more than once that day."""
    traced = _RUNS.get(place[1])
    if traced is None:
        return False
    first, last = planned.checked.cuts[place[0] : place[0] + 2]
    runs = planned.trace.column(traced)[max(0, first - 1) : last] > 0.0
    begun_with = int(first == 0 and runs[0])
    return int((runs[1:] & ~runs[:-1]).sum()) + begun_with > 1


def left_out(planned: Planned, place: Place) -> tuple[Floats, Results, str]:
    """Return the plan without an action, its runs, and why it is the day without the machine.

    As :func:`of_day` reckons it, of one place: "call" (a full tank makes up for the hour), "again"
    (the machine runs more than once, by that hour); empty where it is not.
    """

    def run(plan: Floats) -> Results:
        return planned.checked.on_from(place[0], plan[np.newaxis])

    plan = without(planned.plan, place)
    again = "again" if runs_again(planned, place) else ""
    others = run(plan)
    if not calls_too(planned, place):
        return plan, others, again
    day_plan = without_machine(planned.plan, place)
    day_others = run(day_plan)
    worth = net_money(planned.plant, planned.checked.ends[-1]).mean()
    lost = [float(worth - net_money(planned.plant, each).mean()) for each in (others, day_others)]
    why = "call" if counts_as_day(*lost) else again
    return (day_plan, day_others, why) if why else (plan, others, "")


def counts_as_day(hour_money: float, day_money: float) -> bool:
    """Tell whether the machine is worth something that day of which its hour is hardly a part.

    Parameters
    ----------
    hour_money, day_money : lost without the hour; without the hour and the day's call
    """
    return day_money >= LEAST_MONEY and hour_money < max(LEAST_MONEY, HARDLY * day_money)
