"""Plans as issued, kept as files in the sugarhouse folder: what a next plan may go on from.

One JSON file a plan, never altered. A damaged one is passed over: a plan is better made anew than
not at all.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.planning.report import PlanReport
from sugarwright.plant import layout as at
from sugarwright.plant.house import House
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.keeping import create_whole

PLANS = "plans"
LEAST_AGE_S = 3600  # a plan of this very hour is no yesterday's
MOST_AGE_S = 48 * 3600
_STAMP = "%Y-%m-%dT%H%MZ"


def keep_plan(folder: str | Path, house: House, report: PlanReport) -> None:
    """Keep a plan as issued; one of the same minute stands.

    Raises
    ------
    WeatherFileError : the folder cannot be written to
    """
    name = datetime.fromtimestamp(report.begin_s, UTC).strftime(_STAMP)
    document = {
        "begin_s": report.begin_s,
        "day": _local_day(house, report.begin_s),
        "house": _fingerprint(house),
        "whose": report.whose,
        "net_money": report.plan.money.net,
        "rows": report.rows,
    }
    create_whole(Path(folder) / PLANS / f"{name}.json", json.dumps(document, indent=1) + "\n")


def plan_before(folder: str | Path, house: House, now_s: int) -> Floats | None:
    """Return the newest plan of the last two days for this house, for today and the days after.

    Parameters
    ----------
    folder : of the house
    house : as it is now: a plan for another description is none
    now_s : UTC s

    Returns
    -------
    (days, ``PLAN_WIDTH``), the first row being today; None without one that reaches to today.
    """
    mark, today = _fingerprint(house), _local_day(house, now_s)
    for document in _newest_first(Path(folder) / PLANS):
        age_s = now_s - document["begin_s"]
        if not LEAST_AGE_S <= age_s <= MOST_AGE_S or document["house"] != mark:
            continue
        rows = np.array(document["rows"], dtype=np.float64)
        if rows.ndim != 2 or rows.shape[1] != at.PLAN_WIDTH:
            continue  # of a version whose plans decide other things
        left: Floats = rows[max(0, today - document["day"]) :]
        return left if len(left) else None
    return None


def _newest_first(folder: Path) -> Iterator[dict[str, Any]]:
    for path in sorted(folder.glob("*.json"), reverse=True):
        try:
            document = json.loads(path.read_text(encoding="utf-8"))
            if {"begin_s", "day", "house", "rows"} <= document.keys():
                yield document
        except (OSError, ValueError, AttributeError):
            continue


def _local_day(house: House, time_s: int) -> int:
    return datetime.fromtimestamp(time_s, ZoneInfo(house.site.timezone)).toordinal()


def _fingerprint(house: House) -> str:
    return hashlib.sha256(repr(house).encode()).hexdigest()[:16]
