"""Where a day's plan stands by now: what is done, what is due, what the tanks should hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sugarwright.logbook.catalogue import GATHERING
from sugarwright.logbook.entry import Entry
from sugarwright.planning.action import Action
from sugarwright.planning.dying import STAY
from sugarwright.planning.report import Fan, PlanReport
from sugarwright.planning.stops import WASH, with_stops

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
_MEMBRANE_ENDS = ("membrane_off", "rinse", "wash")
_CARRIES_ON = {
    "keep the fire": (("fire_lit",), ("fire_out",)),
    "membrane runs on": (("membrane_on",), _MEMBRANE_ENDS),
}
"""Kind of action that lets go on what goes on -> entries that begin that, and that end it."""
_STARTS = (
    "membrane on", "membrane on again", "again through the membrane",
    "light the fire", "light the fire again",
)  # fmt: skip


@dataclass(frozen=True)
class Doing:
    """An action of the plan, as it stands.

    Parameters
    ----------
    number : on its day's list, from 1; the stop of a run has the run's
    action : as planned
    state : "done" (of what goes on: it has ended), "due" (its hour has come, and the log does not
        say that it was done), "passed" (long ago, likewise), "to come", "over" (what goes on, by
        the hour at which the plan ends it), or "at need" (the end of a fire at need as well, until
        the log knows that it was lit)
    done_s : UTC s at which it was done, by the log
    """

    number: int
    action: Action
    state: str
    done_s: float | None = None

    @property
    def carries_on(self) -> bool:
        """Tell whether it lets go on what goes on, so that there is nothing to begin."""
        return self.action.kind in _CARRIES_ON


def doings(report: PlanReport, entries: Sequence[Entry], now_s: float) -> tuple[Doing, ...]:
    """Return the actions of the day that a plan tells of, in order, each as it stands.

    The stops of the membrane's runs are among them.

    Parameters
    ----------
    report : the plan
    entries : of the log, those that stand
    now_s : UTC s
    """
    actions = report.days[report.main_day].actions if report.days else ()
    found, used = list[Doing](), set[str]()
    for number, action in with_stops(actions):
        run = next((each for each in found if each.number == number), None)
        if run is not None:
            found.append(_stop_of(run, action, report, entries, now_s))
        elif action.kind == STAY:
            found.append(_stayed(number, action, report, entries, now_s))
        elif action.kind in _CARRIES_ON:
            found.append(_carried_on(number, action, report, entries, now_s))
        else:
            by = _entries_of(action, report, [each for each in entries if each.key not in used])
            used |= {each.key for each in by}
            done_s = by[-1].at_s if by else None
            at_need = action.kind.endswith("at need") or (
                action.kind == "let the fire go" and _waits_for_need(found)
            )
            state, told = _state(action, done_s, now_s, at_need), _as_it_stands(action, entries)
            found.append(Doing(number, told, state, done_s))
    return tuple(found)


def _as_it_stands(action: Action, entries: Sequence[Entry]) -> Action:
    """Return a wash without the stop before it, where the log stopped the membrane already."""
    if action.kind == WASH and _ended_s(entries, ("membrane_on",), _MEMBRANE_ENDS) is not None:
        return replace(action, runs_at_m3_s=None)
    return action


def next_doing(found: Sequence[Doing]) -> Doing | None:
    """Return what to do next: what is due, else the first to come; None when all is done.

    A fire that is to be let go comes before all else that is due. What only goes on asks for
    nothing, unless somebody must decide whether to stay for it.
    """
    due = [each for each in found if each.state == "due"]
    asks = sorted((each for each in due if not each.carries_on), key=_after_the_fire)
    asks += [each for each in due if each.carries_on and each.action.only_if_stay_s is not None]
    return next(iter([*asks, *(each for each in found if each.state == "to come"), *due]), None)


def _after_the_fire(doing: Doing) -> bool:
    return doing.action.caution != "burn-down"


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


def _carried_on(
    number: int, action: Action, report: PlanReport, entries: Sequence[Entry], now_s: float
) -> Doing:
    """Return how what goes on stands: until the log ends it, or the plan does."""
    begins, ends = _CARRIES_ON[action.kind]
    known = [
        each for each in entries if each.at_s >= report.begin_s or each.made_s > report.begin_s
    ]
    ended_s = _ended_s(known, begins, ends)
    if ended_s is not None:
        return Doing(number, action, "done", ended_s)
    if now_s < action.time_s:
        return Doing(number, action, "to come")
    return Doing(number, action, "due" if now_s < _goes_on_until_s(action, report) else "over")


def _stayed(
    number: int, action: Action, report: PlanReport, entries: Sequence[Entry], now_s: float
) -> Doing:
    """Return how staying with a dying fire stands: due until it has died, or is lit again."""
    lit = any(each.kind == "fire_lit" and each.at_s >= report.begin_s for each in entries)
    is_over = lit or now_s >= (action.leave_s or action.time_s)
    return Doing(number, action, "over" if is_over else "due")


def _goes_on_until_s(action: Action, report: PlanReport) -> float:
    """Return when a plan ends what goes on: its own end, or the next last wood or stop before."""
    end = "let the fire go" if action.caution == "fire" else "stop the membrane"
    later = [each for _, each in with_stops(report.days[report.main_day].actions)]
    stops = [each.time_s for each in later if each.kind == end and each.time_s > action.time_s]
    own = [] if action.until_s is None else [action.until_s]
    return min([*own, *stops], default=action.time_s + STAYS_DUE_S)


def _stop_of(
    run: Doing, stop: Action, report: PlanReport, entries: Sequence[Entry], now_s: float
) -> Doing:
    """Return how the stop of a run stands; of one that the log does not know, nothing is due."""
    begun_s = report.begin_s if run.carries_on else run.done_s
    ended_s = run.done_s if run.carries_on else None
    if begun_s is not None and ended_s is None:
        known = [each for each in entries if each.at_s >= begun_s]
        ended_s = _ended_s(known, ("membrane_on",), _MEMBRANE_ENDS)
    state = _state(stop, ended_s, now_s, at_need=False)
    if state == "due" and begun_s is None:
        state = "passed"
    return Doing(run.number, stop, state, ended_s)


def _ended_s(entries: Sequence[Entry], begins: Sequence[str], ends: Sequence[str]) -> float | None:
    """Return since when what such entries begin is over; None where it goes on, by the last."""
    told = sorted((e for e in entries if e.kind in (*begins, *ends)), key=lambda each: each.at_s)
    last = next((n for n in range(len(told), 0, -1) if told[n - 1].kind in begins), 0)
    return told[last].at_s if last < len(told) else None


def _state(action: Action, done_s: float | None, now_s: float, at_need: bool) -> str:
    if done_s is not None:
        return "done"
    if at_need:
        return "at need"
    if now_s < action.time_s:
        return "to come"
    return "due" if now_s <= _stays_due_until_s(action) else "passed"


def _stays_due_until_s(action: Action) -> float:
    """Return until when what was not logged may still be done; no start after its latest hour."""
    stays_s = action.time_s + STAYS_DUE_S
    if action.point:
        return max(stays_s, action.latest_s or 0, action.until_s or 0)
    if action.kind not in _STARTS:
        return max(stays_s, action.latest_s or 0)
    until_s = stays_s if action.until_s is None else action.until_s
    return min(action.latest_s or stays_s, until_s)
