"""How free the hour of a start is: what each other hour costs, and the span that hardly costs.

Whoever starts a machine at another hour than the plan's waits for that hour, whatever a full tank
calls for meanwhile. So the day's call is held back in the trial until the hour tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.action import Action, Delay, Slack
from sugarwright.planning.judging import values_of
from sugarwright.planning.planned import CALL_OF, Place, Planned, asked_by
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import Flags
from sugarwright.plant.simulate import Results, run_many
from sugarwright.plant.tank_kernel import Counts, Floats

SLACK_MONEY = 3.0
SLACK_DAYS = 2  # those after are planned anew before anybody asks
TIMES_OF = {at.MEMBRANE_START: "starts", at.FIRE_START: "lights", at.WASH_AT: "washes",
            at.GATHER_START: "gathers"}  # fmt: skip
RUNNING = ("membrane runs on", "keep the fire")  # what runs can't be put off


@dataclass(frozen=True)
class Tried:
    """A start at other times than the one told, all else the same.

    Parameters
    ----------
    steps : of the plan's weathers, in order; that told is among them
    told : which of them that is
    values : of the plan with the start at each, the day's call held back until then: what plans
        are worth in the weathers that the report's other figures, and what-ifs, are told in
    as_planned : what the plan is worth there
    """

    steps: Counts
    told: int
    values: Floats
    as_planned: float


@dataclass(frozen=True)
class _Trials:
    """Starts to try, none of them run yet from its step on.

    Parameters
    ----------
    planned : the plan
    steps, told : as :class:`Tried` has them
    plans : (times, days, ``PLAN_WIDTH``), the start at each
    waited : how the runs stand at each step, nothing having called for it until then
    """

    planned: Planned
    steps: Counts
    told: int
    plans: Floats
    waited: tuple[Results, ...]

    def value(self, k: int) -> float:
        """What the plan is worth with the start at one of the times."""
        plant, drive = self.planned.plant, self.planned.weathers.checked
        plan, until = self.plans[k][np.newaxis], self.waited[k]
        step = int(self.steps[k])
        rest = run_many(plant, drive, plan, until.states, first=step, totals=until.totals)
        return float(values_of(plant, rest)[0])

    @property
    def as_planned(self) -> float:
        """What the plan is worth as it stands."""
        return float(values_of(self.planned.plant, self.planned.checked.ends[-1])[0])


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
    trials = _trials(planned, day, action, now_s)
    if trials is None:
        return None
    values = np.array([trials.value(k) for k in range(len(trials.steps))])
    return Tried(trials.steps, trials.told, values, trials.as_planned)


def slack_of(
    planned: Planned, day: int, action: Action, now_s: int, *, is_held: bool = False
) -> Slack | Delay | None:
    """Return the span of times around that told that hardly cost anything, where there is one.

    Else what the next later start costs, where somebody is there for that.

    Somebody is there all through it, so that nobody is sent to a machine while nobody is. What a
    full tank is expected to call for waits for no hour.

    Parameters
    ----------
    planned, day, action, now_s : as :func:`try_starts` takes them
    is_held : whether something that is over at the time told keeps it from an earlier one
    """
    trials = None if action.own_hour is not None else _trials(planned, day, action, now_s)
    return None if trials is None else _span(trials, action, is_held)


def _span(trials: _Trials, action: Action, is_held: bool) -> Slack | Delay | None:
    """Go from the time told to earlier and later ones, for as long as they hardly cost anything."""
    possible = _possible(trials.planned, action, trials)
    if is_held or action.waits:
        possible &= trials.steps >= trials.steps[trials.told]
    least = trials.as_planned - SLACK_MONEY

    def is_fine(k: int) -> bool:
        return bool(0 <= k < len(possible) and possible[k]) and trials.value(k) >= least

    first = last = trials.told
    if not is_fine(trials.told):
        return None
    while is_fine(first - 1):
        first -= 1
    while is_fine(last + 1):
        last += 1
    if first == last:
        return _delay(trials, last + 1) if possible[last + 1 : last + 2].any() else None
    ends_s = [time_s(trials.planned, int(trials.steps[each])) for each in (first, last)]
    return Slack(ends_s[0], ends_s[1], SLACK_MONEY)


def _delay(trials: _Trials, k: int) -> Delay:
    costs_money = trials.as_planned - trials.value(k)
    return Delay(time_s(trials.planned, int(trials.steps[k])), costs_money)


def _trials(planned: Planned, day: int, action: Action, now_s: int) -> _Trials | None:
    """The times that there are for a start; None as :func:`try_starts` returns it."""
    start = asked_by(action)
    if start is None or start not in TIMES_OF or day >= SLACK_DAYS or action.kind in RUNNING:
        return None
    told = _step(planned, action.time_s)
    calendar = planned.weathers.checked.calendar
    if told >= len(calendar):  # what waits for more than the plan's hours bring
        return None
    steps = _steps(planned, (day, start), told, _step(planned, now_s))
    minutes, told_min = calendar[steps, at.MINUTE], float(calendar[told, at.MINUTE])
    plans = _moved(planned.plan, (day, start), minutes, told_min)
    waited = _waited(planned, (day, start), steps, plans[-1:])
    return _Trials(planned, steps, int(np.flatnonzero(steps == told)[0]), plans, waited)


def time_s(planned: Planned, step: int) -> int:
    """UTC s at which a step of a plan begins."""
    return int(planned.weathers.checked.begin_s + step * planned.plant.step_s)


def _step(planned: Planned, at_s: int) -> int:
    begin_s = planned.weathers.checked.begin_s
    return int((at_s - begin_s) // planned.plant.step_s)


def _possible(planned: Planned, action: Action, tried: _Trials) -> Flags:
    """Whether somebody is there from the time told to each other, and it may still be begun."""
    absent = planned.weathers.checked.calendar[:, at.PEOPLE] <= 0.0
    gone = np.cumsum(absent)[tried.steps]
    times_s = np.array([time_s(planned, int(step)) for step in tried.steps])
    possible: Flags = ~absent[tried.steps] & (gone == gone[tried.told])
    if action.latest_s is not None:
        possible &= times_s <= action.latest_s
    return possible


def _steps(planned: Planned, place: Place, told: int, now: int) -> Counts:
    """Steps of a day, from now on, that are on offer for a start; and that told."""
    day, start = place
    calendar, cuts = planned.weathers.checked.calendar, planned.checked.cuts
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


def _waited(
    planned: Planned, place: Place, steps: Counts, last_plan: Floats
) -> tuple[Results, ...]:
    """How the runs stand at each step if nothing calls for a start until then.

    Parameters
    ----------
    planned, place, steps : the plan, the start, and the times for it
    last_plan : (1, days, ``PLAN_WIDTH``), with the start at the last of them
    """
    plant, drive = planned.plant, planned.weathers.checked
    day, start = place
    waiting = last_plan.copy()
    if start in CALL_OF:
        waiting[:, day, CALL_OF[start]] = 0.0
    found = [planned.checked.on_from(day, waiting, int(steps[0]))]
    for first, last in pairwise(steps.tolist()):
        states, totals = found[-1].states, found[-1].totals
        found.append(
            run_many(plant, drive, waiting, states, None, last, first=first, totals=totals)
        )
    return tuple(found)
