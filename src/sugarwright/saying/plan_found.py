"""How a plan is found, in words: what is tried, whose it is, and if it was hurried."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.planning.report import PlanReport
from sugarwright.planning.weathers import OTHERS, SEARCHED
from sugarwright.saying.plan_parts import AS_GOOD

HURRIED = "the search was cut short by the clock: a longer one might find a little better"


def search_text(plans: int = 1) -> str:
    """Say, while that goes on, what is tried for so many plans."""
    what = "planning: about" if plans == 1 else f"planning {plans} times, each time about"
    best = f"the best ones in up to {SEARCHED + OTHERS}"
    return f"{what} a thousand plans, each in up to {SEARCHED} weathers, {best}"


def found_texts(report: PlanReport) -> Iterator[str]:
    """Yield whose plan it is, if not a new one, and that the clock ended its search, if it did."""
    if report.whose in AS_GOOD:
        yield AS_GOOD[report.whose]
    if report.stopped_early:
        yield HURRIED
