"""Plans as issued, kept in the logbook: what a next plan may go on from."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.logbook.plans import PlanBook
from sugarwright.planning.action import Action
from sugarwright.planning.report import PlanReport
from sugarwright.planning.report_file import report_of
from sugarwright.plant import layout as at
from sugarwright.plant.house import House
from sugarwright.plant.tank_kernel import Floats

_NEEDED = {"day", "house", "rows"}
MOST_AGE_S = 48 * 3600


@dataclass(frozen=True)
class KeptAction:
    """An action of a kept plan.

    Parameters
    ----------
    number : on the page
    kind : as the action has it
    time_s : UTC s at which it was due
    also_s : UTC s of the other hours that its line names: when it was expected, and its own hour
        where a full tank was expected to call before
    """

    number: int
    kind: str
    time_s: int
    also_s: tuple[int, ...] = ()


@dataclass(frozen=True)
class KeptPlan:
    """A plan as it was issued.

    Parameters
    ----------
    begin_s, end_s : UTC s of the hours planned
    day : local day number of its first row
    rows : (days, ``PLAN_WIDTH``)
    state : of the plant when it began
    actions : of the day that its page told of
    """

    begin_s: int
    end_s: int
    day: int
    rows: Floats
    state: Floats
    actions: tuple[KeptAction, ...]


def keep_plan(
    plans: PlanBook, house: House, report: PlanReport, state: Floats | None = None
) -> None:
    """Keep a plan as issued.

    Parameters
    ----------
    plans : of the logbook
    house : as it is described
    report : the plan
    state : of the plant when it begins, by which what was missed of it can be reckoned later

    Raises
    ------
    LogbookError : the logbook cannot be written
    """
    document = {
        "begin_s": report.begin_s,
        "day": _local_day(house, report.begin_s),
        "house": _fingerprint(house),
        "whose": report.whose,
        "net_money": report.plan.money.net,
        "rows": report.rows,
        "end_s": report.end_s,
        "report": asdict(report),
        "state": [] if state is None else state.tolist(),
        "actions": [
            {
                "number": number, "kind": action.kind, "time_s": action.time_s,
                "also_s": _other_hours(action),
            }
            for number, action in enumerate(_told_actions(report), 1)
        ],
    }  # fmt: skip
    plans.keep(report.begin_s, document)


def plan_before(plans: PlanBook, house: House, now_s: int) -> Floats | None:
    """Return the newest plan of the last two days for this house, for today and the days after.

    One of minutes ago is what a person has begun to carry out, and counts; one that begins at this
    very moment does not, so that the same question asked again has the same answer.

    Parameters
    ----------
    plans : as issued
    house : as it is now: a plan for another description is none
    now_s : UTC s

    Returns
    -------
    (days, ``PLAN_WIDTH``), the first row being today; None without one that reaches to today.
    """
    return _rows_left(plans.newest_first(now_s - MOST_AGE_S, now_s), house, now_s)


def rows_in_force(plans: PlanBook, house: House, now_s: int) -> Floats | None:
    """Return what a house goes by for the rest of today and the days after.

    Unlike in :func:`plan_before` one that begins at this very moment counts; but none for tomorrow
    does that begins now: it let today go on by another, and asked again it goes on by that.

    Parameters
    ----------
    plans, house, now_s : as there

    Returns
    -------
    As there.
    """
    documents = plans.newest_first(now_s - MOST_AGE_S, now_s + 1)
    made = (each for each in documents if not _is_for_tomorrow(each, now_s))
    return _rows_left(made, house, now_s)


def _is_for_tomorrow(document: dict[str, Any], now_s: int) -> bool:
    """Tell whether a plan begins now and is for tomorrow."""
    report = document.get("report")
    morning = isinstance(report, dict) and report.get("morning") is not None
    return morning and document.get("begin_s") == now_s


def _rows_left(documents: Iterable[dict[str, Any]], house: House, now_s: int) -> Floats | None:
    """Return the rows of the first plan for a house, from today on."""
    mark, today = _fingerprint(house), _local_day(house, now_s)
    for document in documents:
        if not document.keys() >= _NEEDED or document["house"] != mark:
            continue
        rows = np.array(document["rows"], dtype=np.float64)
        if rows.ndim != 2 or rows.shape[1] != at.PLAN_WIDTH:
            continue  # of a version whose plans decide other things
        left: Floats = rows[max(0, today - document["day"]) :]
        return left if len(left) else None
    return None


def plan_under_way(plans: PlanBook, house: House, now_s: int) -> tuple[int, Floats] | None:
    """Return when the newest plan of the last two days began, and its rows; None without one."""
    for document in plans.newest_first(now_s - MOST_AGE_S, now_s + 1):
        if not document.keys() >= {*_NEEDED, "begin_s"} or document["house"] != _fingerprint(house):
            continue
        rows = np.array(document["rows"], dtype=np.float64)
        if rows.shape[1:] == (at.PLAN_WIDTH,):
            return int(document["begin_s"]), rows
    return None


def plan_in_force(plans: PlanBook, house: House, now_s: int) -> KeptPlan | None:
    """Return the plan that a house goes by at a moment, as it was issued.

    Parameters
    ----------
    plans, house, now_s : as :func:`plan_before` takes them; one that begins now counts too

    Returns
    -------
    The newest of the last two days; None without one, or where it does not say how it began.
    """
    return next(plans_kept(plans, house, now_s), None)


def plans_kept(plans: PlanBook, house: House, now_s: int) -> Iterator[KeptPlan]:
    """Yield the plans of the last two days for a house, the newest first, as they were issued.

    Parameters
    ----------
    plans, house, now_s : as :func:`plan_in_force` takes them; one that does not say how it began,
        or is of a version whose plans decide other things, is passed over
    """
    for document in plans.newest_first(now_s - MOST_AGE_S, now_s + 1):
        if not document.keys() >= _NEEDED or document["house"] != _fingerprint(house):
            continue
        try:
            actions = tuple(_kept_action(each) for each in document["actions"])
            state = np.array(document["state"], dtype=np.float64)
            rows = np.array(document["rows"], dtype=np.float64)
            begin_s, end_s, day = (int(document[key]) for key in ("begin_s", "end_s", "day"))
        except (KeyError, TypeError, ValueError):
            continue  # of an earlier version
        if len(state) and rows.shape[1:] == (at.PLAN_WIDTH,):
            yield KeptPlan(begin_s, end_s, day, rows, state, actions)


def _kept_action(document: dict[str, Any]) -> KeptAction:
    return KeptAction(**{**document, "also_s": tuple(document.get("also_s", ()))})


def kept_report(plans: PlanBook, now_s: int) -> PlanReport | None:
    """Return the newest plan of the last two days, whole as it was issued; None without one."""
    for document in plans.newest_first(now_s - MOST_AGE_S, now_s + 1):
        try:
            return report_of(document["report"])
        except (KeyError, TypeError, ValueError):
            continue  # of an earlier version
    return None


def _told_actions(report: PlanReport) -> tuple[Action, ...]:
    return report.days[report.main_day].actions if report.days else ()


def _other_hours(action: Action) -> list[int]:
    own_s = None if action.own_hour is None else action.own_hour.time_s
    return [each for each in (action.expected_s, own_s) if each not in (None, action.time_s)]


def _local_day(house: House, time_s: int) -> int:
    return datetime.fromtimestamp(time_s, ZoneInfo(house.site.timezone)).toordinal()


def _fingerprint(house: House) -> str:
    return hashlib.sha256(repr(house).encode()).hexdigest()[:16]
