"""What a plan's words say of invented days: nothing untrue, and nothing that matters left out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from icalendar import Calendar

from planning_cases import GALLON_M3
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action, Alone, Slack, Trigger
from sugarwright.planning.report import PlanReport
from sugarwright.saying.plan_broken import broken_texts
from sugarwright.saying.plan_calendar import calendar_file
from sugarwright.saying.plan_ifs import next_text
from sugarwright.saying.plan_words import PlanWords
from told_cases import STANDING, WAY, day_of, report_of, said, utc_s

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
    text = list(broken_texts(PlanWords(report)))[-1]
    assert f"no fire is planned{told}" in text
    assert ("run over or spoil" in text) == bool(told)


# --- what comes first ----------------------------------------------------------------------------

TRIP = Action(
    "gather sap", BEGIN_S + 3600, Trigger("gathering:main", 40 * GALLON_M3), point="main",
    loads=2, load_m3=60 * GALLON_M3, gathered_m3=93 * GALLON_M3, duration_s=2400.0, people=1,
    expected_s=BEGIN_S + 3600, until_s=BEGIN_S + 7500,
)  # fmt: skip
LIGHT = Action(
    "light the fire", BEGIN_S + 3600, Trigger("stock", 30 * GALLON_M3), on_arrival=True,
    expected_s=BEGIN_S + 7500, caution="fire",
)  # fmt: skip


def test_who_fetches_sap_first_lights_the_fire_after_it() -> None:
    report = _report(TRIP, LIGHT)
    then = "light the fire, once the sap is fetched, about 20:15, if the stock tank has 30 gal"
    assert then in said(report)
    assert "expected at 20:15" not in said(report)
    told = "19:10 light the fire once sap is fetched, about 20:15, if stock 30 gal."
    assert told in message(report)
    title = "light the fire once the sap is fetched and the stock tank has 30 gal"
    assert _titles(report)[1] == f"Look: {title}"


def test_one_alone_lights_the_fire_when_the_last_load_is_in_whatever_the_plant_does() -> None:
    alone = Alone(start_first=True, looks=True, light_after=True)
    trips = replace(TRIP, until_s=BEGIN_S + 9300, alone=alone)
    light = replace(LIGHT, slack=Slack(BEGIN_S + 3600, BEGIN_S + 7200, 3.0))
    assert "light the fire, once the sap is fetched, about 20:45, if" in said(_report(trips, light))
    assert "any time" not in said(_report(trips, light))
    assert "any time from 19:10 to 20:10 costs under $3" in said(_report(light))
    assert "once sap is fetched, about 20:45," in message(_report(trips, light))


def test_a_fire_without_a_trip_before_it_is_first_when_you_come_in() -> None:
    later = replace(TRIP, time_s=BEGIN_S + 9000)
    for report in (_report(LIGHT), _report(LIGHT, later)):
        assert "light the fire, first thing when you come in, if the stock" in said(report)
        assert "expected at 20:15" in said(report)
        assert "fetched" not in message(report)


def test_next_is_the_very_first_time_or_nothing() -> None:
    friday = (
        Action("membrane on", utc_s("2026-03-20 10:00"), flow_m3_s=1e-5, expected_s=0),
        Action("membrane on again", utc_s("2026-03-20 20:00"), flow_m3_s=1e-5, expected_s=0),
        Action("let the fire go", utc_s("2026-03-20 23:00"), expected_s=0, caution="burn-down"),
    )
    days = (
        day_of("2026-03-19 22:10", "2026-03-20 04:00"),
        day_of("2026-03-20 04:00", "2026-03-21 04:00", *friday),
    )
    due = tuple((each.time_s, each.kind) for each in friday)
    main = days[0]
    words = PlanWords(report_of(*days, next_s=due))
    assert next_text(words, main) == ""  # Friday's line has its first start
    words = PlanWords(report_of(*days, next_s=due[1:]))
    assert next_text(words, main) == "Friday 16:00 membrane on again"
    words = PlanWords(report_of(*days, next_s=due[2:]))
    assert next_text(words, main) == "Friday 19:00 let the fire go"


# --- where a plan ends ---------------------------------------------------------------------------


def test_a_plan_that_ends_within_its_day_says_so() -> None:
    run = Action(
        "membrane on", BEGIN_S, flow_m3_s=1e-5, expected_s=BEGIN_S, rinse_m3=20 * GALLON_M3,
        caution="membrane",
    )  # fmt: skip
    short = report_of(day_of("2026-03-19 12:00", "2026-03-19 23:00", run))  # 08:00 to 19:00
    assert "this plan ends at 19:00" in said(short)
    assert "still runs as this plan ends, 19:00; rinse it after" in said(short)
    whole = report_of(day_of("2026-03-19 12:00", "2026-03-20 04:00", replace(run, until_s=BEGIN_S)))
    assert "plan ends" not in said(whole)
