"""What a plan's words say of invented days: nothing untrue, and nothing that matters left out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from icalendar import Calendar

from planning_cases import GALLON_M3
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.report import PlanReport
from sugarwright.saying.plan_broken import broken_texts
from sugarwright.saying.plan_calendar import calendar_file
from sugarwright.saying.plan_words import PlanWords
from told_cases import STANDING, WAY, day_of, report_of, utc_s

BEGIN_S = utc_s("2026-03-19 22:10")  # 18:10 in New York
GO = Action(
    "let the fire go now",
    BEGIN_S,
    expected_s=BEGIN_S,
    boils_off_m3=12 * GALLON_M3,
    reserve_m3=20 * GALLON_M3,
    leave_s=BEGIN_S + 4140,
    caution="burn-down",
)


def _report(*actions: Action, **changes: Any) -> PlanReport:
    return report_of(day_of("2026-03-19 22:10", "2026-03-20 04:00", *actions), **changes)


def _titles(report: PlanReport) -> list[str]:
    read: Any = Calendar.from_ical(calendar_file(report) or b"")
    return [str(each["summary"]) for each in read.walk("VEVENT")]


# --- a fire let go with too little feed ----------------------------------------------------------


@pytest.mark.parametrize(
    ("has_membrane", "pour"), [(True, "sap, permeate or water"), (False, "sap or water")]
)
def test_feed_that_may_not_last_is_in_message_and_alarm(has_membrane: bool, pour: str) -> None:
    few_m3 = 12 * GALLON_M3
    short = replace(STANDING, has_membrane=has_membrane, sap_m3=few_m3, stock_m3=few_m3)
    lacking = f"feed may not last: pour in {pour}, draw the coals"
    report = _report(GO, standing=short)
    assert f"{lacking}, stay till 19:19." in message(report)
    assert _titles(report) == [f"Let the fire go now, {lacking}"]


def test_feed_that_lasts_asks_for_nothing_more() -> None:
    report = _report(GO)
    assert "keep liquid over the whole pan floor, stay till 19:19." in message(report)
    assert _titles(report) == ["Let the fire go now"]


# --- what is lost whatever is done ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("broken", "lost_gal", "told"),
    [
        (("sap spoiled", "no wood for a boil"), 400, ""),  # turned as the plan begins: no loss
        (("sap spoiled", "no wood for a boil"), 470, ", and about 70 gal run over or spoil"),
        (("no wood for a boil",), 400, ", and about 400 gal run over or spoil"),  # turns later
    ],
)
def test_what_has_turned_is_no_loss_for_want_of_wood(
    broken: tuple[str, ...], lost_gal: float, told: str
) -> None:
    dump = Action("dump what has spoiled", BEGIN_S, Trigger("sap", 400 * GALLON_M3))
    report = _report(dump, broken=broken, plan=replace(WAY, lost_m3=lost_gal * GALLON_M3))
    said = list(broken_texts(PlanWords(report)))[-1]
    assert f"no fire is planned{told}" in said
    assert ("run over or spoil" in said) == bool(told)
