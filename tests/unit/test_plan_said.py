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
from sugarwright.planning.stops import next_times
from sugarwright.saying.plan_actions import does_texts
from sugarwright.saying.plan_broken import broken_texts
from sugarwright.saying.plan_calendar import calendar_file
from sugarwright.saying.plan_gauges import gauge_text
from sugarwright.saying.plan_next import next_text
from sugarwright.saying.plan_parts import standing_text
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


STAY = replace(GO, kind="stay with the pan", expected_s=None)


def test_a_fire_that_was_let_go_before_says_how_long_to_stay_and_what_to_pour_in() -> None:
    few_m3 = 12 * GALLON_M3
    short = replace(STANDING, stock_m3=few_m3, fire_dies_s=BEGIN_S + 4140)
    report = _report(STAY, standing=short)
    texts = does_texts(PlanWords(report), STAY)
    assert texts == [
        "the fire dies down: no more wood; stay with the pan until it has, about 19:19",
        "the 12 gal in the stock tank may not be enough: pour in sap, permeate or water before the "
        "pan is bare; draw the coals if you must",
        "as it dies it boils off up to 12 gal more",
    ]
    lacking = "feed may not last: pour in sap, permeate or water, draw the coals"
    assert f"keep liquid over its whole floor; {lacking}, stay till 19:19." in message(report)
    assert message(report).endswith("Never leave a lit pan. An estimate: watch the pan.")
    assert _titles(report) == [f"Stay with the pan, {lacking}"]
    assert gauge_text(PlanWords(report), STAY).startswith(
        "stay until it has died down, about 19:19"
    )
    assert "the fire dies down: stay until about 19:19" in standing_text(PlanWords(report))
    enough = _report(STAY, standing=replace(short, stock_m3=100 * GALLON_M3))
    assert "feed it on, the 100 gal in the stock tank are enough" in gauge_text(
        PlanWords(enough), STAY
    )


def test_a_dying_fire_that_cannot_be_kept_in_feed_or_company_is_no_fire_to_be_lit() -> None:
    dying = replace(STANDING, fire_dies_s=BEGIN_S + 4140)
    report = _report(STAY, standing=dying, broken=("fire alone", "pan short of feed"))
    alone, short = broken_texts(PlanWords(report))
    assert alone.startswith("the fire is not dead yet, and this plan cannot keep somebody at it")
    assert short.startswith("the fire is not dead yet, and its feed may not last until it is: pour")
    assert "don't light" not in f"{alone} {short} {message(report)}".lower()


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


def test_a_fire_that_has_its_feed_waits_for_the_sap_all_the_same() -> None:
    """Its gauge met as the plan begins, page and calendar had the hour without a condition."""
    trips = replace(TRIP, time_s=BEGIN_S, expected_s=BEGIN_S)
    light = replace(LIGHT, time_s=BEGIN_S, trigger=Trigger("stock", GALLON_M3), on_arrival=False)
    report = _report(trips, light)
    assert gauge_text(PlanWords(report), light) == "once the sap is fetched, about 20:15"
    assert "light the fire, once the sap is fetched, about 20:15" in said(report)
    assert "sap is fetched" not in said(_report(light))


def test_a_fire_that_waits_for_feed_after_the_sap_is_fetched_says_both_hours() -> None:
    """Its hour was told as that of the sap, which was in long before."""
    early = replace(TRIP, until_s=BEGIN_S + 5400)
    text = said(_report(early, LIGHT))
    assert "light the fire, once the sap is fetched, about 19:40, if the stock tank has" in text
    assert "expected at 20:15" in text
    other = replace(TRIP, point="road", until_s=BEGIN_S + 7200)
    assert "once the sap is fetched, about 20:15, if" in said(_report(early, other, LIGHT))


def test_a_full_tank_calls_nobody_off_a_load_under_way() -> None:
    trips = replace(TRIP, alone=Alone(light_after=True))
    light = replace(LIGHT, call_m3=40 * GALLON_M3)
    at_once = "with 40 gal in the stock tank at once"
    assert f"{at_once}, once the load under way is in, whatever the clock" in said(
        _report(trips, light)
    )
    assert f"{at_once}, whatever the clock" in said(_report(light))


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


def _next(*actions: Action) -> str:
    """Say the next times of an invented Thursday's and Friday's actions, as their sheet does."""
    thursday = day_of("2026-03-19 09:00", "2026-03-20 04:00")
    friday = day_of("2026-03-20 04:00", "2026-03-21 04:00")
    days = [
        replace(day, actions=tuple(a for a in actions if day.begin_s <= a.time_s < day.end_s))
        for day in (thursday, friday)
    ]
    report = report_of(*days, next_s=next_times(days, thursday.begin_s))
    text = next_text(PlanWords(report))
    assert (f" next {text} " in said(report)) == bool(text)
    return text


def test_the_next_three_times_stand_in_a_line_each_with_its_hour() -> None:
    at_s = utc_s("2026-03-19 09:30")
    run = Action(
        "membrane on", at_s, flow_m3_s=1e-5, expected_s=at_s, until_s=at_s + 6000,
        ends="people leave", rinse_m3=0.07, caution="membrane",
    )  # fmt: skip
    fire = Action("light the fire", utc_s("2026-03-19 21:00"), expected_s=at_s, caution="fire")
    last = Action("let the fire go", utc_s("2026-03-20 00:45"), caution="burn-down")
    assert _next(run, fire, last) == "05:30 membrane on; 07:10 stop it; 17:00 light the fire"
    assert _next(fire, last) == "17:00 light the fire; 20:45 let the fire go"
    assert _next() == ""


def test_a_next_time_names_its_day_once_and_on_what_it_hangs() -> None:
    lit_s = utc_s("2026-03-20 21:00")
    rare = Action("light the fire", lit_s, expected_s=lit_s, probability=0.3, caution="fire")
    stays = replace(rare, probability=None, only_if_stay_s=lit_s, else_stay_s=lit_s)
    waits = Action("membrane on", lit_s, Trigger("sap", 0.5), flow_m3_s=1e-5, caution="membrane")
    trip = Action("gather sap", utc_s("2026-03-20 22:00"), point="main bush", expected_s=lit_s)
    assert _next(rare, trip) == (
        "Friday 17:00 light the fire (likely in 3 of 10 weathers); 18:00 gather sap (main bush)"
    )
    assert _next(stays) == "Friday 17:00 light the fire, only if you can stay"
    assert _next(waits) == "Friday 17:00 membrane on (by the forecast the tank won't have it)"


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
