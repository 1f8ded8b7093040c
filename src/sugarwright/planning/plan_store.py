"""Plans as issued, kept in the logbook: what a next plan may go on from."""

from __future__ import annotations

import hashlib
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.logbook.plans import PlanBook
from sugarwright.planning.report import PlanReport
from sugarwright.plant import layout as at
from sugarwright.plant.house import House
from sugarwright.plant.tank_kernel import Floats

_NEEDED = {"day", "house", "rows"}
LEAST_AGE_S = 3600  # a plan of this very hour is no yesterday's
MOST_AGE_S = 48 * 3600


def keep_plan(plans: PlanBook, house: House, report: PlanReport) -> None:
    """Keep a plan as issued.

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
    }
    plans.keep(report.begin_s, document)


def plan_before(plans: PlanBook, house: House, now_s: int) -> Floats | None:
    """Return the newest plan of the last two days for this house, for today and the days after.

    Parameters
    ----------
    plans : as issued
    house : as it is now: a plan for another description is none
    now_s : UTC s

    Returns
    -------
    (days, ``PLAN_WIDTH``), the first row being today; None without one that reaches to today.
    """
    mark, today = _fingerprint(house), _local_day(house, now_s)
    for document in plans.newest_first(now_s - MOST_AGE_S, now_s - LEAST_AGE_S + 1):
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


def _local_day(house: House, time_s: int) -> int:
    return datetime.fromtimestamp(time_s, ZoneInfo(house.site.timezone)).toordinal()


def _fingerprint(house: House) -> str:
    return hashlib.sha256(repr(house).encode()).hexdigest()[:16]
