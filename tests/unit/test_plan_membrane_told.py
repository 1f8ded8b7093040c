"""What a plan's words say of the membrane: in full, in the text message, in the calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from icalendar import Calendar

from planning_cases import GALLON_M3
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action, OwnHour, Trigger
from sugarwright.planning.calls import called
from sugarwright.planning.report import PlanReport, Watch
from sugarwright.saying.plan_calendar import calendar_file
from told_cases import day_of, report_of, said, utc_s

SIX_S = utc_s("2026-03-19 10:00")  # 06:00 in New York
RUN = Action(
    "membrane on",
    SIX_S,
    Trigger("sap", 150 * GALLON_M3),
    flow_m3_s=1e-5,
    expected_s=SIX_S,
    caution="membrane",
)
AGAIN = replace(
    RUN,
    kind="again through the membrane",
    trigger=Trigger("stock", 60 * GALLON_M3),
    call_m3=255 * GALLON_M3,
    call_flow_m3_s=2e-5,
    again_brix=12.0,
)


def _report(*actions: Action) -> PlanReport:
    return report_of(day_of("2026-03-19 09:00", "2026-03-20 04:00", *actions))


def test_the_call_of_a_second_pass_is_of_the_sap_tank() -> None:
    text = said(_report(AGAIN))
    assert "with 255 gal in the sap tank at once, whatever the clock" in text
    assert "in the stock tank at once" not in text
    assert "if stock 60 gal; with sap 255 gal at once" in message(_report(AGAIN))


def test_a_second_pass_that_a_full_sap_tank_calls_for_waits_for_that_tank() -> None:
    told = called(AGAIN, SIX_S + 7200)
    assert told.trigger == Trigger("sap", 255 * GALLON_M3)
    assert told.own_hour == OwnHour(SIX_S + 7200, 60 * GALLON_M3, 1e-5)
    text = said(_report(told))
    assert "when the sap tank has 255 gal; else wait for it" in text
    assert "or from 08:00 on with 60 gal in the stock tank" in text


# --- what a run asks for after its start ---------------------------------------------------------

LEAVES_S = utc_s("2026-03-20 02:00")  # 22:00
ENDS_S = utc_s("2026-03-19 11:10")  # 07:10
STOPPED = replace(RUN, until_s=ENDS_S, ends="people leave", rinse_m3=20 * GALLON_M3)
OVERNIGHT = replace(RUN, night_flow_m3_s=0.5e-5, left_alone_s=(LEAVES_S,))


def _events(*actions: Action) -> list[tuple[str, str, timedelta]]:
    """Summary, UTC clock and alarm of each event."""
    read: Any = Calendar.from_ical(calendar_file(_report(*actions)) or b"")
    return [
        (str(each["summary"]), f"{each['dtstart'].dt:%H:%M}", each.walk("VALARM")[0]["trigger"].dt)
        for each in read.walk("VEVENT")
    ]


def test_who_leaves_is_told_and_rung_to_stop_the_membrane_and_rinse_it() -> None:
    assert "if sap 150 gal, till 07:10, stop+rinse before you leave." in message(_report(STOPPED))
    assert _events(STOPPED) == [
        ("Membrane on", "10:00", timedelta()),
        ("Stop the membrane, then rinse it", "11:10", timedelta(minutes=-10)),
    ]


def test_what_runs_alone_is_told_and_rung_to_be_turned_down() -> None:
    assert "if sap 150 gal, 22:00 set to 0.079 gal/min, leave on." in message(_report(OVERNIGHT))
    assert "may run on alone when you leave (22:00) and overnight" in said(_report(OVERNIGHT))
    assert _events(OVERNIGHT) == [
        ("Membrane on", "10:00", timedelta()),
        ("Set the membrane to 0.079 gal/min", "02:00", timedelta(minutes=-10)),
    ]


def test_a_run_that_ends_by_day_is_not_told_as_of_the_night() -> None:
    by_day = replace(OVERNIGHT, until_s=ENDS_S, ends="sap tank down", stops_itself=True)
    text = said(_report(by_day))
    assert "may run on alone when you leave (22:00), set to 0.079 gal/min" in text
    assert "overnight" not in text


def test_a_message_too_long_leaves_out_draining_last() -> None:
    """It was the last of the day, and "and 1 more" was all that was told of it."""
    wash = Action("wash the membrane", SIX_S, after_run_s=3 * 3600.0, permeate_needed_m3=0.2)
    many = [replace(wash, time_s=SIX_S + 60 * n) for n in range(12)]
    drain = Action("drain before the frost", LEAVES_S - 3600, drains=("pump", "line"))
    text = message(_report(*many, drain, replace(wash, time_s=LEAVES_S)))
    assert len(text) <= 480
    assert "drain pump and line: frost." in text
    told = text.count("wash the membrane")
    assert 0 < told < 12
    assert f" and {13 - told} more." in text


def test_a_place_whose_name_has_draining_in_it_is_none() -> None:
    trips = Action("gather sap", SIX_S, Trigger("gathering:drain road", 0.1), point="drain road",
                   loads=1, load_m3=0.2)  # fmt: skip
    drain = Action("drain before the frost", LEAVES_S - 3600, drains=("pump", "line"))
    text = message(_report(*[replace(trips, time_s=SIX_S + 60 * n) for n in range(12)], drain))
    assert "drain pump and line: frost." in text
    assert 0 < text.count("gather sap drain road") < 12


def test_frost_within_hours_with_nobody_there_is_told_before_the_day() -> None:
    watch = Watch("frost with nobody there", 0.9, LEAVES_S, LEAVES_S, drains=("pump", "line"))
    report = replace(_report(RUN), begin_s=LEAVES_S - 5400)
    frost = "Frost about 22:00, nobody there: drain pump and line first. "
    assert message(replace(report, watch=(watch,))).startswith(f"{frost}Thursday: ")
    for other in (replace(watch, probability=0.4), replace(watch, time_s=LEAVES_S + 12 * 3600)):
        assert "Frost" not in message(replace(report, watch=(other,)))


def test_what_runs_alone_at_the_same_setting_rings_nobody() -> None:
    same = replace(OVERNIGHT, night_flow_m3_s=RUN.flow_m3_s)
    assert "if sap 150 gal, leave on." in message(_report(same))
    assert len(_events(same)) == 1


@pytest.mark.parametrize("ends", ["sap tank down", "stock tank full"])
def test_what_stops_without_a_hand_of_its_own_rings_no_second_time(ends: str) -> None:
    assert len(_events(replace(STOPPED, ends=ends, stops_itself=True))) == 1


@pytest.mark.parametrize(
    ("ends", "at_gauge", "short"),
    [
        ("stock tank full", "when the stock tank is full", "stock full"),
        ("sap tank down", "when the sap tank is down to 10 gal", "sap down to 10 gal"),
    ],
)
def test_a_run_that_no_cutout_ends_is_stopped_by_hand(ends: str, at_gauge: str, short: str) -> None:
    run = replace(STOPPED, ends=ends, reserve_m3=10 * GALLON_M3)
    told = said(_report(run))
    assert f"till about 07:10; stop it {at_gauge}: it does not stop itself; rinse it then" in told
    assert f", till 07:10 or {short}, stop+rinse." in message(_report(run))
    assert _events(run)[1:] == [
        (f"Stop the membrane {at_gauge}", "11:10", timedelta(minutes=-10)),
    ]
    alone = replace(run, stops_itself=True)
    assert "; stops itself when the s" in said(_report(alone))
    assert "does not stop itself" not in said(_report(alone))
    stop = replace(run, kind="stop the membrane", runs_at_m3_s=1e-5, time_s=ENDS_S)
    assert f"and stop it {at_gauge}: it does not stop itself" in said(_report(stop))
    itself = replace(stop, stops_itself=True)
    assert "and stop it: it stops itself when the s" in said(_report(itself))


def test_what_stops_for_its_wash_rings_with_that() -> None:
    wash = Action("wash the membrane", ENDS_S, expected_s=ENDS_S, caution="cleaning")
    assert _events(replace(STOPPED, ends="time"), wash) == [
        ("Membrane on", "10:00", timedelta()),
        ("Stop the membrane and wash it", "11:10", timedelta()),
    ]


def test_nobody_who_is_gone_is_told_to_stop_it() -> None:
    """Without a rinse nobody is there at its end, and without an hour it is not expected."""
    for gone in (replace(STOPPED, rinse_m3=None), replace(STOPPED, expected_s=None)):
        assert len(_events(gone)) == 1
    assert "stop" not in message(_report(replace(STOPPED, rinse_m3=None)))


def test_too_little_permeate_is_no_rinse_in_the_message() -> None:
    dry = replace(STOPPED, rinse_has_m3=2 * GALLON_M3)
    assert "till 07:10, stop before you leave." in message(_report(dry))


def test_stock_that_is_to_pass_again_later_is_told_and_rung() -> None:
    later = replace(
        RUN,
        again_s=SIX_S + 1800,
        again_brix=6.0,
        again_when="sap tank down",
        until_s=ENDS_S,
        ends="stock passed again",
        rinse_m3=20 * GALLON_M3,
    )
    assert "06:30 stock again to 6.0 Brix, till 07:10, stop+rinse." in message(_report(later))
    assert _events(later) == [
        ("Membrane on", "10:00", timedelta()),
        ("Stock again through the membrane", "10:30", timedelta()),
        ("Stop the membrane, then rinse it", "11:10", timedelta()),
    ]
    at_once = replace(later, kind="again through the membrane", again_s=SIX_S)
    assert "stock again" not in message(_report(at_once))
    assert [each[0] for each in _events(at_once)][1:] == ["Stop the membrane, then rinse it"]


def test_a_long_message_shortens_its_words_before_it_leaves_out_an_action() -> None:
    drain = Action("drain before the frost", LEAVES_S, caution="frost")
    runs = [replace(STOPPED, kind="membrane on again")] * 4
    text = message(_report(STOPPED, *runs, drain))
    assert text.endswith("22:00 drain pump and lines: frost.")
    assert text.count("till 07:10, stop+rinse.") == 5


# --- each run's end in the message ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("ends", "told"),
    [
        ("time", "if sap 150 gal, till 07:10, stop for the wash."),
        ("hour", "if sap 150 gal, till 07:10, stop+rinse."),
        ("sap tank down", "if sap 150 gal, till 07:10, rinse."),
        ("stock tank full", "if sap 150 gal, till 07:10, rinse."),
    ],
)
def test_each_run_has_its_end_in_the_message(ends: str, told: str) -> None:
    assert told in message(_report(replace(STOPPED, ends=ends, stops_itself="tank" in ends)))


def test_the_end_of_a_run_that_nobody_is_there_for_asks_nobody() -> None:
    alone = replace(STOPPED, ends="sap tank down", rinse_m3=None)
    assert message(_report(alone)).endswith("if sap 150 gal, till 07:10.")
    dry = replace(STOPPED, ends="sap tank down", stops_itself=True, rinse_has_m3=2 * GALLON_M3)
    assert message(_report(dry)).endswith("if sap 150 gal, till 07:10.")


def test_what_runs_already_has_no_gauge_in_the_message() -> None:
    on = replace(STOPPED, kind="membrane runs on")
    text = message(_report(on))
    assert "membrane runs on 0.16 gal/min, till 07:10, stop+rinse before you leave." in text


def test_a_long_message_leaves_out_the_hour_at_which_a_tank_stops_a_run_before_an_action() -> None:
    by_tank = replace(STOPPED, ends="sap tank down", stops_itself=True)
    drain = Action("drain before the frost", LEAVES_S, caution="frost")
    text = message(_report(STOPPED, *[replace(by_tank, kind="membrane on again")] * 6, drain))
    assert text.endswith("22:00 drain pump and lines: frost.")
    assert text.count("till 07:10") == text.count("till 07:10, stop+rinse.") == 1


# --- what has stopped by then in other weathers --------------------------------------------------


def test_a_run_that_other_weathers_have_ended_by_then_says_so() -> None:
    on = replace(STOPPED, kind="membrane runs on", still_runs=0.4)
    text = said(_report(on))
    assert "if it still runs, let the membrane run on, concentrate at 0.16 gal/min" in text
    stopped = "it has stopped by then: start it again when the sap tank has 150 gal"
    assert f"in 6 of 10 weathers {stopped}" in text
    assert f"in nearly all weathers {stopped}" in said(_report(replace(on, still_runs=0.02)))
    assert "membrane runs on 0.16 gal/min if it still runs, till" in message(_report(on))
    for sure in (replace(on, still_runs=0.9), replace(on, still_runs=None)):
        assert "06:00 let the membrane run on" in said(_report(sure))
        assert "still runs" not in said(_report(sure)) + message(_report(sure))


def test_a_later_day_says_so_in_its_line() -> None:
    on = replace(STOPPED, kind="membrane runs on", still_runs=0.4)
    today = day_of("2026-03-18 09:00", "2026-03-19 04:00", replace(RUN, time_s=SIX_S - 86400))
    tomorrow = day_of("2026-03-19 04:00", "2026-03-20 04:00", on)
    text = said(report_of(today, tomorrow))
    assert "06:00 membrane runs on at 0.16 gal/min (if it still runs: 4 in 10)" in text
