"""A mean that one or two weathers make is told as that, and middles are called middles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planning_cases import GALLON_M3, demo_house, forecast_from, gallons, local_s, quick
from sugarwright.cli.plan_explain_text import explanation_lines
from sugarwright.planning.action import Action, Reason
from sugarwright.planning.explain import explain
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.outlook import few_that_make, lost_m3
from sugarwright.planning.planned import Planned, without
from sugarwright.planning.reasons import without_losses
from sugarwright.planning.report import PlanReport, Range
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant.assemble import assemble
from sugarwright.plant.simulate import run_many
from sugarwright.plant.state import Levels
from sugarwright.weather.hours import HourlyWeather
from told_cases import day_of, report_of, said, utc_s


@pytest.mark.parametrize(
    ("values", "few"),
    [
        ([0.0] * 37 + [3.0, 2.0, 9.0], 1),  # 9 of 14
        ([0.0] * 37 + [3.0, 3.0, 4.0], 2),  # 7 of 10
        ([0.0] * 37 + [3.0, 3.0, 3.0], 2),  # 6 of 9
        ([1.0] * 40, None),
        ([1.0] * 39 + [30.0], None),  # large, and not the most of it
        ([-2.0] * 10 + [30.0] + [3.0] * 5, 1),  # 30 of 45 won; what others take off is no part
        ([0.0] * 39 + [-5.0], 1),  # of a sum below nothing what takes off
        ([0.0] * 40, None),
        ([0.0, 0.0, 5.0], None),  # one of three is no few
    ],
)
def test_it_is_few_that_make_more_than_half(values: list[float], few: int | None) -> None:
    assert few_that_make(np.array(values)) == few


def _day_with(reason: Reason) -> PlanReport:
    on = Action("membrane on", utc_s("2026-03-19 10:00"), flow_m3_s=1e-5, reason=reason)
    return report_of(day_of("2026-03-19 09:00", "2026-03-20 04:00", on))


def test_a_reason_says_so_of_the_sap_lost() -> None:
    reason = Reason(35.0, 0.0, 31 * GALLON_M3, 0.0, spilled_weathers=1)
    told = said(_day_with(reason))
    assert "without it: $35 less, 31 gal of sap lost (mostly in 1 of 40 weathers)" in told
    assert "mostly in" not in said(_day_with(replace(reason, spilled_weathers=None)))


def test_an_explanation_says_so_of_its_mean_and_calls_middles_middles() -> None:
    report = _day_with(Reason(35.0, 0.0, 0.0, 0.0))
    lost = (0.0,) * 38 + (4 * GALLON_M3, 76 * GALLON_M3)
    found = Explanation(
        "lost", None, "", 2 * GALLON_M3, lost, (Range(0.0, 0.0, 1 * GALLON_M3),), (), (), 0.0,
        middle=0.0, few_weathers=1,
    )  # fmt: skip
    told = " ".join(" ".join(explanation_lines(report, found)).split())
    assert "2.0 gal in the mean of 40 weathers (mostly in 1 of 40 weathers)" in told
    assert "0.0 gal in the middle one, 0.0 gal to 76.0 gal" in told
    assert "Of each day the middle of the weathers, and what eight of ten lie between" in told
    wide = replace(found, few_weathers=None)
    assert "mostly" not in " ".join(explanation_lines(report, wide))


@pytest.fixture(scope="module")
def planned(whately_2015: HourlyWeather) -> tuple[PlanReport, Planned]:
    """Return a plan of an evening with little room in the sap tank."""
    now_s = local_s("2015-03-16 16:00")
    full = Levels(gallons(400, 2.0), gallons(60, 6.0), gallons(100, 0.0), pan_brix=15.0)
    known = forecast_from(whately_2015, now_s, 36)
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        return plan_with_grounds(assemble(demo_house()), known, full, now_s, 36)


def test_the_traced_middle_is_that_of_its_weathers(planned: tuple[PlanReport, Planned]) -> None:
    report, grounds = planned
    for what in ("sap", "lost", "stock"):
        found = explain(grounds, report, what)
        ordered = sorted(each or 0.0 for each in found.by_weather)
        assert found.middle == pytest.approx(0.5 * (ordered[19] + ordered[20]))
        assert len(ordered) == 40


def test_each_reason_has_the_weathers_in_which_its_sap_is_lost(
    planned: tuple[PlanReport, Planned],
) -> None:
    _, grounds = planned
    kept, reasons = without_losses(grounds)
    state, weathers = kept.state, kept.weathers.checked
    told = 0
    for place, reason in reasons.items():
        plans = np.stack([kept.plan, without(kept.plan, place)])
        totals = run_many(kept.plant, weathers, plans, state).totals
        with_it, without_it = lost_m3(kept.plant, totals)
        more = np.sort(without_it - with_it)[::-1]
        assert more.mean() == pytest.approx(reason.spilled_m3, abs=1e-9)
        if more.mean() > 1e-6:
            won = more.clip(0.0)
            most = won[: reason.spilled_weathers or 2].sum() > 0.5 * won.sum()
            assert most == (reason.spilled_weathers is not None)
            told += 1
    assert told
