"""How free the hour of a start is: what each other hour costs, and the span that hardly costs.

Whoever starts a machine at another hour than the plan's waits for that hour, whatever a full tank
calls for meanwhile. So the day's call is held back in the trial until the hour tried.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.action import Action, Slack
from sugarwright.planning.judging import values_of
from sugarwright.planning.planned import CALL_OF, CHOSEN, Place, Planned
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import Flags
from sugarwright.plant.simulate import run_many
from sugarwright.plant.tank_kernel import Counts, Floats

SLACK_MONEY = 3.0
SLACK_DAYS = 2  # those after are planned anew before anybody asks
TIMES_OF = {at.MEMBRANE_START: "starts", at.FIRE_START: "lights", at.WASH_AT: "washes"}
RUNNING = ("membrane runs on", "keep the fire")  # what runs can't be put off


@dataclass(frozen=True)
class Tried:
    """A start at other times than the one told, all else the same.

    Parameters
    ----------
    steps : of the plan's weathers, in order; that told is among them
    told : which of them that is
    values : of the plan with the start at each, the day's call held back until then: what plans
        are worth in the weathers that the plan was searched in
    as_planned : what the plan is worth there
    """

    steps: Counts
    told: int
    values: Floats
    as_planned: float


def try_starts(planned: Planned, day: int, action: Action, now_s: int) -> Tried | None:
    """Try an action of a plan at each time that there is for it.

    Parameters
    ----------
    planned : the plan
    day : of the plan, that the action is of
    action : as the day tells of it
    now_s : UTC s; nothing is tried before

    Returns
    -------
    What each time is worth; None of what is no start, runs already or is planned anew before.
    """
    start = CHOSEN.get(action.kind)
    if start is None or start not in TIMES_OF or day >= SLACK_DAYS or action.kind in RUNNING:
        return None
    told = _step(planned, action.time_s)
    if told >= planned.weathers.searched.steps:  # what waits for more than the plan's hours bring
        return None
    steps = _steps(planned, (day, start), told, _step(planned, now_s))
    minutes = planned.weathers.searched.calendar[steps, at.MINUTE]
    told_min = float(planned.weathers.searched.calendar[told, at.MINUTE])
    plans = _moved(planned.plan, (day, start), minutes, told_min)
    values = _values(planned, (day, start), steps, plans)
    as_planned = float(values_of(planned.plant, planned.searched.ends[-1])[0])
    return Tried(steps, int(np.flatnonzero(steps == told)[0]), values, as_planned)


def slack_of(planned: Planned, day: int, action: Action, now_s: int) -> Slack | None:
    """Return the span of times around that told that hardly cost anything, where there is one.

    Somebody is there all through it, so that nobody is sent to a machine while nobody is. What a
    full tank is expected to call for waits for no hour.

    Parameters
    ----------
    planned, day, action, now_s : as :func:`try_starts` takes them
    """
    if action.own_hour is not None:
        return None
    tried = try_starts(planned, day, action, now_s)
    return None if tried is None else _span(planned, action, tried)


def _span(planned: Planned, action: Action, tried: Tried) -> Slack | None:
    fine = (tried.values >= tried.as_planned - SLACK_MONEY) & _possible(planned, action, tried)
    first = last = tried.told
    if not fine[tried.told]:
        return None
    while first > 0 and fine[first - 1]:
        first -= 1
    while last < len(fine) - 1 and fine[last + 1]:
        last += 1
    if first == last:
        return None
    earliest_s, latest_s = (time_s(planned, int(tried.steps[each])) for each in (first, last))
    return Slack(earliest_s, latest_s, SLACK_MONEY)


def time_s(planned: Planned, step: int) -> int:
    """UTC s at which a step of a plan begins."""
    return int(planned.weathers.searched.begin_s + step * planned.plant.step_s)


def _step(planned: Planned, at_s: int) -> int:
    begin_s = planned.weathers.searched.begin_s
    return int((at_s - begin_s) // planned.plant.step_s)


def _possible(planned: Planned, action: Action, tried: Tried) -> Flags:
    """Whether somebody is there from the time told to each other, and it may still be begun."""
    absent = planned.weathers.searched.calendar[:, at.PEOPLE] <= 0.0
    gone = np.cumsum(absent)[tried.steps]
    times_s = np.array([time_s(planned, int(step)) for step in tried.steps])
    possible: Flags = ~absent[tried.steps] & (gone == gone[tried.told])
    if action.waits:  # what it waits for ends the earlier part of the span
        possible &= tried.steps >= tried.steps[tried.told]
    if action.latest_s is not None:
        possible &= times_s <= action.latest_s
    return possible


def _steps(planned: Planned, place: Place, told: int, now: int) -> Counts:
    """Steps of a day, from now on, that are on offer for a start; and that told."""
    day, start = place
    calendar, cuts = planned.weathers.searched.calendar, planned.searched.cuts
    minutes = calendar[cuts[day] : cuts[day + 1], at.MINUTE]
    offered = getattr(planned.menu, TIMES_OF[start])[day][1:]
    stop = planned.plan[day, at.MEMBRANE_STOP]
    if start == at.MEMBRANE_START and stop > planned.plan[place]:
        offered = offered[offered < stop]  # one begun after it would be for the night
    steps = cuts[day] + np.array([int(np.argmax(minutes >= each)) for each in offered], dtype=int)
    found: Counts = np.unique(np.append(steps[steps >= now], told))
    return found


def _moved(plan: Floats, place: Place, minutes: Floats, told_min: float) -> Floats:
    """Return the plan with a start at each of some times; a fire lit later is kept as long."""
    day, start = place
    plans: Floats = np.repeat(plan[np.newaxis], len(minutes), axis=0)
    plans[:, day, start] = minutes
    if start == at.FIRE_START:
        kept_min = max(0.0, of.burn_min(plan[day]) + plan[place] - told_min)
        plans[:, day, at.FIRE_STOP] = np.minimum(of.END_OF_DAY, minutes + kept_min)
    return plans


def _values(planned: Planned, place: Place, steps: Counts, plans: Floats) -> Floats:
    """What plans are worth of which each begins at its step; until then nothing calls for it."""
    plant, drive = planned.plant, planned.weathers.searched
    day, start = place
    waiting = plans[-1:].copy()  # its hour is the last of all
    if start in CALL_OF:
        waiting[:, day, CALL_OF[start]] = 0.0
    course, first = planned.searched, planned.searched.cuts[day]
    states = course.ends[day - 1].states if day else planned.state
    totals = course.ends[day - 1].totals if day else None
    values = []
    for step, plan in zip(steps.tolist(), plans, strict=True):
        until = run_many(plant, drive, waiting, states, None, step, first=first, totals=totals)
        first, states, totals = step, until.states, until.totals
        rest = run_many(plant, drive, plan[np.newaxis], states, first=step, totals=totals)
        values.append(float(values_of(plant, rest)[0]))
    return np.array(values)
