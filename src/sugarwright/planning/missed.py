"""An action of the kept plan was missed: what that costs, and what to do now.

The cost is told from how the kept plan began, in weathers of which the hours up to now are known:
the plan carried out to its end, against the same without the action until now and the better of
two ways from then on: the new plan, or the old one for the rest. So it holds what can still be got
back of it, and the end of the new plan, which reaches further, counts for nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning.choose import KEEP_MONEY
from sugarwright.planning.course import breaks, net_money
from sugarwright.planning.if_time import take_time
from sugarwright.planning.plan_store import KeptAction, KeptPlan
from sugarwright.planning.planned import CHOSEN, Planned, without_machine
from sugarwright.planning.report import PlanReport
from sugarwright.planning.rule_card import Card
from sugarwright.planning.search import Budget
from sugarwright.planning.suppositions import Grounds
from sugarwright.planning.today import plan_with_grounds
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant.simulate import run_many
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HOUR_S

_WORDS = {
    "membrane on": ("membrane", "ro", "start"),
    "membrane runs on": ("membrane", "ro", "run"),
    "membrane on again": ("membrane", "again"),
    "again through the membrane": ("stock", "again", "through"),
    "light the fire": ("light", "fire"),
    "light the fire again": ("light", "again"),
    "keep the fire": ("keep", "fire"),
    "let the fire go": ("let", "go", "last", "wood"),
    "let the fire go now": ("let", "go", "now"),
    "stay with the pan": ("stay", "pan"),
    "wash the membrane": ("wash",),
    "stop the membrane": ("stop", "membrane"),
    "rinse the membrane": ("rinse", "membrane"),
    "drain before the frost": ("drain", "frost"),
    "dump what has spoiled": ("dump",),
    "membrane at need": ("membrane", "ro", "start", "need"),
    "fire at need": ("light", "fire", "need"),
    "gather sap": ("gather", "sap", "fetch"),
    "gather at need": ("gather", "need"),
}


@dataclass(frozen=True)
class Missed:
    """An action that was missed, and the plan from now on.

    Parameters
    ----------
    kind, due_s : of the action, in the plan kept; of one that is no choice but follows from
        another (the last wood, draining before a frost), no cost is reckoned
    kept_begin_s, kept_end_s : UTC s at which that plan began, and ends
    cost_money : what the plan, carried out, was worth more than what can still be done; mean; None
        where none is reckoned
    standard_error_money : of that mean over the weathers
    plan : from now on
    """

    kind: str
    due_s: int
    kept_begin_s: int
    kept_end_s: int
    cost_money: float | None
    standard_error_money: float | None
    plan: PlanReport


def find_missed(kept: KeptPlan, text: str, now_s: int, timezone: str) -> KeptAction:
    """Return the action of a kept plan that is meant.

    Parameters
    ----------
    kept : the plan that was kept
    text : its number ("3"), or words of it and a clock time that its line names ("light 17:00")
    now_s : UTC s, now
    timezone : of the house

    Raises
    ------
    InputError : there is no such action, or it is not due yet
    """
    allowed = "; ".join(
        f"{each.number} {each.kind} {_clock(each.time_s, now_s, timezone)}" for each in kept.actions
    ) or "none: that plan asked for nothing"  # fmt: skip
    found = [each for each in kept.actions if _is_meant(each, text, timezone)]
    if not found:
        raise InputError("--missed", text, "is no action of the plan kept", allowed)
    action = found[0]
    if action.time_s > now_s:
        clock = _clock(action.time_s, now_s, timezone)
        issued = _clock(kept.begin_s, now_s, timezone)
        problem = f"is not due before {clock} in the plan of {issued}: nothing is missed yet"
        raise InputError("--missed", text, problem)
    return action


def find_in_plans(
    plans: Sequence[KeptPlan], text: str, now_s: int, timezone: str
) -> tuple[KeptPlan, KeptAction]:
    """Return the action that is meant, and the plan by which it was due.

    A number is one of the newest plan. Words may mean an action of an older one that was due before
    a newer took its place.

    Parameters
    ----------
    plans : those kept, the newest first, one at least
    text, now_s, timezone : as :func:`find_missed` takes them

    Raises
    ------
    InputError : there is no such action, or it is not due yet
    """
    in_force_s = now_s
    for kept in plans if not _is_number(text) else plans[:1]:
        for action in kept.actions:
            if _is_meant(action, text, timezone) and action.time_s <= in_force_s:
                return kept, action
        in_force_s = min(in_force_s, kept.begin_s)
    return plans[0], find_missed(plans[0], text, now_s, timezone)


def plan_after(
    grounds: Grounds,
    kept: KeptPlan,
    action: KeptAction,
    hours: int = 72,
    seed: int | None = None,
    budget: Budget | None = None,
    card: Card | None = None,
) -> tuple[Missed, Planned]:
    """Plan from now on, and reckon what it costs that an action was missed.

    What is left of the kept plan stays unless one made as if there were none gains over it: beside
    what was missed the rest may have lost its sense, and a search that begins there may end there.

    Parameters
    ----------
    grounds : how things stand now
    kept, action : the plan that was kept, and what of it was missed
    hours, seed, budget, card : as :func:`~sugarwright.planning.today.plan_today` takes them
    """
    timezone = grounds.plant.house.site.timezone
    today = _local(grounds.now_s, timezone)[0] - kept.day
    column = CHOSEN.get(action.kind)
    left = kept.rows
    if column is not None:
        left = without_machine(left, (_local(action.time_s, timezone)[0] - kept.day, column))
    before = left[min(today, len(left) - 1) :]
    kept_on, anew = (
        plan_with_grounds(
            grounds.plant, grounds.weather, grounds.levels, grounds.now_s, hours, seed, budget,
            rows, grounds.belief, card,
        )
        for rows in (before, None)
    )  # fmt: skip
    report, planned = anew if _is_better(anew[0], kept_on[0]) else kept_on
    end_s = min(kept.end_s, grounds.weather.end_s)
    missed = Missed(action.kind, action.time_s, kept.begin_s, end_s, None, None, report)
    if column is None:
        return missed, planned
    costs = _costs(grounds, kept, left, planned, today, report.seed)
    error_money = float(costs.std(ddof=1) / np.sqrt(len(costs)))
    reckoned = replace(missed, cost_money=float(costs.mean()), standard_error_money=error_money)
    return reckoned, planned


def _is_better(anew: PlanReport, kept_on: PlanReport) -> bool:
    gain = anew.plan.money.net - kept_on.plan.money.net
    return len(anew.broken) <= len(kept_on.broken) and gain > KEEP_MONEY


def _costs(
    grounds: Grounds, kept: KeptPlan, left: Floats, planned: Planned, today: int, seed: int
) -> Floats:
    """Worth of the kept plan carried out less that of what is done now, in each weather."""
    plant, begin_s = planned.plant, kept.begin_s
    end_s = min(kept.end_s, grounds.weather.end_s)
    hours = (end_s - (begin_s - begin_s % HOUR_S)) // HOUR_S
    drive = make_weathers(plant, grounds.weather, begin_s, hours, seed, grounds.belief).checked
    step = int((grounds.now_s - drive.begin_s) // plant.step_s)
    whole = run_many(plant, drive, kept.rows[np.newaxis], kept.state)
    until = run_many(plant, drive, left[np.newaxis], kept.state, None, step)
    rows = left.copy()
    for day in range(today, len(rows)):
        rows[day] = planned.plan[min(day - today, len(planned.plan) - 1)]
    rest = run_many(
        plant, drive, np.stack([rows, left]), until.states[0], first=step, totals=until.totals[0]
    )
    costs: Floats = net_money(plant, whole) - net_money(plant, rest)
    broken = breaks(rest)
    best: Floats = costs[1 if broken[1] <= broken[0] and costs[1].mean() < costs[0].mean() else 0]
    return best


def _is_meant(action: KeptAction, text: str, timezone: str) -> bool:
    plain = text.strip().lower()
    if _is_number(plain):
        return action.number == int(plain)
    when, words = take_time(plain.replace(",", " ").split())
    minutes = [_local(each, timezone)[1] for each in (action.time_s, *action.also_s)]
    if when.at is not None and when.minute(when.at, afternoon=True) not in minutes:
        return False
    known = [word for word in words if word not in ("the", "a", "at", "on")]
    return bool(known) and all(word in _WORDS.get(action.kind, ()) or word in action.kind.split()
                               for word in known)  # fmt: skip


def _is_number(text: str) -> bool:
    return text.strip().isascii() and text.strip().isdigit()


def _local(time_s: int, timezone: str) -> tuple[int, int]:
    """Local day number and minute of an instant."""
    moment = datetime.fromtimestamp(time_s, ZoneInfo(timezone))
    return moment.toordinal(), moment.hour * 60 + moment.minute


def _clock(time_s: int, now_s: int, timezone: str) -> str:
    """Local clock time of an instant, with its day where that is not today."""
    moment = datetime.fromtimestamp(time_s, ZoneInfo(timezone))
    same = moment.toordinal() == _local(now_s, timezone)[0]
    return moment.strftime("%H:%M" if same else "%A %H:%M")
