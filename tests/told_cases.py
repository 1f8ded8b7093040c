"""Reports made up for their words: a day of invented actions, said in full."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from planning_cases import GALLON_M3
from sugarwright.cli.plan_text import plan_lines
from sugarwright.planning.action import Action
from sugarwright.planning.beginning import Standing
from sugarwright.planning.report import Day, Money, PlanReport, Range, Way

NOTHING = Range(0.0, 0.0, 0.0)
MONEY = Money(50.0, -20.0, -5.0, -1.0, -3.0, 0.0, 12.0, 0.0, 33.0)
WAY = Way(MONEY, 4 * GALLON_M3, 4 * 3600.0, 5 * 3600.0, 1.0, 0.3, 0.0)
STANDING = Standing(
    200 * GALLON_M3, 2.0, 425 * GALLON_M3, 0.1, 100 * GALLON_M3, 6.0, 135 * GALLON_M3,
    100 * GALLON_M3, 275 * GALLON_M3, 8.0, has_membrane=True,
)  # fmt: skip


def utc_s(text: str) -> int:
    """UTC s of a time written in UTC; New York is four hours behind in late March."""
    return int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp())


def day_of(begin: str, end: str, *actions: Action, **changes: Any) -> Day:
    """An invented day between two times of UTC."""
    day = Day(
        utc_s(begin), utc_s(end), actions, Range(0.1, 0.5, 0.9), NOTHING, NOTHING, NOTHING,
        NOTHING, NOTHING, NOTHING, -5.0, 4.0,
    )  # fmt: skip
    return replace(day, **changes)


def report_of(*days: Day, **changes: Any) -> PlanReport:
    """A report of invented days."""
    report = PlanReport(
        house="Invented house",
        timezone="America/New_York",
        units="us",
        currency="$",
        begin_s=days[0].begin_s,
        end_s=days[-1].end_s,
        forecast_source="an invented forecast",
        forecast_issued_s=None,
        forecast_cautions=(),
        standing=STANDING,
        days=days,
        watch=(),
        next_s=(),
        plan=WAY,
        habit=WAY,
        weathers=40,
        candidates=1,
        stopped_early=False,
        whose="search",
        seed=1,
        rows=(),
        broken=(),
    )
    return replace(report, **changes)


def said(report: PlanReport) -> str:
    """All lines of a plan as one, so that it does not matter where they are folded."""
    return re.sub(r"\s+", " ", "\n".join(plan_lines(report)))
