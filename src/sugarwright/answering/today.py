"""Where a day's plan stands by now: what is done, what is due, what the tanks should hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.logbook.catalogue import GATHERING
from sugarwright.logbook.entry import Entry
from sugarwright.planning.action import Action
from sugarwright.planning.report import Fan, PlanReport

EARLY_S = 2 * 3600  # an action may have been done so long before its hour
STAYS_DUE_S = 3 * 3600
NEARLY_ALL = 0.75  # of what trips were to bring: nobody fetches to the gallon (judgement)
_LOGGED_AS = {
    "membrane on": "membrane_on",
    "membrane on again": "membrane_on",
    "membrane at need": "membrane_on",
    "again through the membrane": "membrane_on",
    "stop the membrane": "membrane_off",
    "rinse the membrane": "rinse",
    "light the fire": "fire_lit",
    "light the fire again": "fire_lit",
    "fire at need": "fire_lit",
    "let the fire go": "fire_out",
    "let the fire go now": "fire_out",
    "wash the membrane": "wash",
    "gather sap": "gather",
}
"""Kind of action -> kind of the entry that says that it was done."""


@dataclass(frozen=True)
class Doing:
    """An action of the plan, as it stands.

    Parameters
    ----------
    number : on its day's list, from 1
    action : as planned
    state : "done", "due" (its hour has come, and the log does not say that it was done), "passed"
        (long ago, likewise), "to come", or "at need" (the end of a fire at need as well, until the
        log knows that it was lit)
    done_s : UTC s at which it was done, by the log
    """

    number: int
    action: Action
    state: str
    done_s: float | None = None


def doings(report: PlanReport, entries: Sequence[Entry], now_s: float) -> tuple[Doing, ...]:
    """Return the actions of the day that a plan tells of, in order, each as it stands.

    Parameters
    ----------
    report : the plan
    entries : of the log, those that stand
    now_s : UTC s
    """
    actions = report.days[report.main_day].actions if report.days else ()
    found, used = list[Doing](), set[str]()
    for number, action in enumerate(actions, 1):
        by = _entries_of(action, report, [each for each in entries if each.key not in used])
        used |= {each.key for each in by}
        done_s = by[-1].at_s if by else None
        at_need = action.kind.endswith("at need") or (
            action.kind == "let the fire go" and _waits_for_need(found)
        )
        found.append(Doing(number, action, _state(action, done_s, now_s, at_need), done_s))
    return tuple(found)


def next_doing(found: Sequence[Doing]) -> Doing | None:
    """Return what to do next: what is due, else the first to come; None when all is done."""
    for state in ("due", "to come"):
        for each in found:
            if each.state == state:
                return each
    return None


def planned_at(report: PlanReport, what: str, time_s: float) -> float | None:
    """Return what a plan leads to expect of a tank, m³; None beyond its hours."""
    fan = next((each for each in report.fans if each.what == what), None)
    if fan is None:
        return None
    at = (time_s - fan.begin_s) / fan.every_s
    if at < 0.0:
        return _from_the_start(report, fan, time_s)
    first = int(at)
    if first + 1 >= len(fan.middle):
        return None
    share = at - first
    return (1.0 - share) * fan.middle[first] + share * fan.middle[first + 1]


def _from_the_start(report: PlanReport, fan: Fan, time_s: float) -> float | None:
    """Return what is expected before a fan's first value: between the beginning and that."""
    start_m3 = getattr(report.standing, f"{fan.what}_m3", None)
    span_s = fan.begin_s - report.begin_s
    if start_m3 is None or time_s < report.begin_s or span_s <= 0:
        return None
    share = (time_s - report.begin_s) / span_s
    return float((1.0 - share) * start_m3 + share * fan.middle[0])


def _entries_of(action: Action, report: PlanReport, entries: Sequence[Entry]) -> list[Entry]:
    """Return what of the log says that an action was done; nothing while it is not."""
    kind = _LOGGED_AS.get(action.kind)
    since_s = max(report.begin_s - EARLY_S, action.time_s - EARLY_S)
    if action.kind == "let the fire go now":  # it burnt then: what went out before was another
        since_s = report.begin_s
    found = [each for each in entries if each.kind == kind and each.at_s >= since_s]
    return _all_loads(action, found) if action.point else found[:1]


def _all_loads(action: Action, entries: Sequence[Entry]) -> list[Entry]:
    """Return the entries of trips, if they brought most of what was to be fetched, or every load.

    One that names no gathering point may be of any.
    """
    places = ("", f"{GATHERING}{action.point}")
    found = sorted((each for each in entries if each.place in places), key=lambda each: each.at_s)
    measures = [each for entry in found for each in entry.measures if each.quantity == "volume"]
    brought_m3 = sum(each.value for each in measures)
    wanted_m3 = NEARLY_ALL * (action.gathered_m3 or 0.0)
    whole = brought_m3 >= wanted_m3 or len(found) >= (action.loads or 1)
    return found if whole else []


def _waits_for_need(before: Sequence[Doing]) -> bool:
    """Tell whether the day's fire is one at need, and the log knows of none."""
    return any(each.action.kind == "fire at need" and each.state == "at need" for each in before)


def _state(action: Action, done_s: float | None, now_s: float, at_need: bool) -> str:
    if done_s is not None:
        return "done"
    if at_need:
        return "at need"
    if now_s < action.time_s:
        return "to come"
    latest_s = max(action.latest_s or 0, action.time_s + STAYS_DUE_S)
    if action.point:
        latest_s = max(latest_s, action.until_s or 0)
    return "due" if now_s <= latest_s else "passed"
