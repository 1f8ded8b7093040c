"""Why each thing is in the plan, and how free its hour is; what brings nothing is left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.action import Reason, Slack
from sugarwright.planning.course import breaks, follow, net_money
from sugarwright.planning.judging import values_of
from sugarwright.planning.outlook import lost_m3, syrup_m3
from sugarwright.planning.plainer import GUARD_MONEY
from sugarwright.planning.planned import Place, Planned, without
from sugarwright.planning.together import losing_together
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Results
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import older_money

SLACK_MONEY = 3.0
CALLS = (at.MEMBRANE_CALL_M3, at.FIRE_CALL_M3)  # may cost a little in weathers without great runs
SLACK_DAYS = 2  # those after are planned anew before anybody asks
TIMES_OF = {at.MEMBRANE_START: "starts", at.FIRE_START: "lights", at.WASH_AT: "washes"}


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

    lost = sums(full) - sums(left_out)
    return [
        Reason(float(money), float(syrup), float(-spilled), float(-full_share), float(-older))
        for money, syrup, spilled, full_share, older in lost
    ]


def slacks(planned: Planned) -> dict[Place, Slack]:
    """Spans of starting times around those chosen that hardly cost anything, where there are any.

    Parameters
    ----------
    planned : the plan
    """
    found = {}
    for place, (times, values) in tried_starts(planned).items():
        slack = _slack(planned, place, times, values)
        if slack is not None:
            found[place] = slack
    return found


def tried_starts(planned: Planned) -> dict[Place, tuple[Floats, Floats]]:
    """Return what the plan is worth with each of its next starts at each time there is for it.

    Parameters
    ----------
    planned : the plan

    Returns
    -------
    For each start of today and tomorrow: local minutes, that planned among them, and values in the
    weathers that the plan was searched in.
    """
    plant, drive = planned.plant, planned.weathers.searched
    course = follow(plant, drive, planned.plan, planned.state)
    found = {}
    for day in range(min(SLACK_DAYS, len(planned.plan))):
        places = [place for place in planned.starts() if place[0] == day]
        times = [_times(planned, place) for place in places]
        if not places:
            continue
        plans = np.concatenate(
            [_moved(planned.plan, *each) for each in zip(places, times, strict=True)]
        )
        values = values_of(plant, course.on_from(day, plans))
        ends = np.cumsum([len(each) for each in times])[:-1]
        for place, tried, value in zip(places, times, np.split(values, ends), strict=True):
            found[place] = tried, value
    return found


def _times(planned: Planned, place: Place) -> Floats:
    offered = getattr(planned.menu, TIMES_OF[place[1]])[place[0]][1:]
    times: Floats = np.unique(np.append(offered, planned.plan[place]))
    return times


def _moved(plan: Floats, place: Place, times: Floats) -> Floats:
    """Return the plan with a start at each of some times; a fire lit later is kept as long."""
    day, start = place
    plans: Floats = np.repeat(plan[np.newaxis], len(times), axis=0)
    plans[:, day, start] = times
    if start == at.FIRE_START:
        plans[:, day, at.FIRE_STOP] = np.minimum(of.END_OF_DAY, times + of.burn_min(plan[day]))
    return plans


def _slack(planned: Planned, place: Place, times: Floats, values: Floats) -> Slack | None:
    first = last = int(np.flatnonzero(times == planned.plan[place])[0])
    fine = values >= values[first] - SLACK_MONEY
    while first > 0 and fine[first - 1]:
        first -= 1
    while last < len(fine) - 1 and fine[last + 1]:
        last += 1
    if first == last:
        return None
    ends = [start_s(planned, place[0], time) for time in times[[first, last]].tolist()]
    return Slack(ends[0], ends[1], SLACK_MONEY)


def start_s(planned: Planned, day: int, of_day_min: float) -> int:
    """UTC s of the first step of a day of the plan at or after a local minute of it."""
    drive, cuts = planned.weathers.forecast, planned.checked.cuts
    minutes = drive.calendar[cuts[day] : cuts[day + 1], at.MINUTE]
    step = cuts[day] + int(np.argmax(minutes >= of_day_min))
    return int(drive.begin_s + step * planned.plant.step_s)
