"""How a plan was found, in words: whose it is where it is no new one, and if it was hurried."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.report import PlanReport
from sugarwright.saying.plan_parts import AS_GOOD

HURRIED = "the search was cut short by the clock: a longer one might find a little better"


def found_texts(report: PlanReport) -> Iterator[str]:
    """Yield whose plan it is, if not a new one, and that the clock ended its search, if it did."""
    if report.whose in AS_GOOD:
        yield AS_GOOD[report.whose]
    if report.stopped_early:
        yield HURRIED
