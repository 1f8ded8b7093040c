"""What of a plan is due by now: what goes on ends, the membrane is stopped, and plans made anew."""

from __future__ import annotations

from dataclasses import replace

import pytest
from icalendar import Calendar

from planning_cases import GALLON_M3
from sugarwright.answering.ended import FIRE, MEMBRANE, ended_otherwise
from sugarwright.answering.today import Doing, doings, next_doing
from sugarwright.logbook.entry import Entry
from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.report import PlanReport
from sugarwright.planning.stops import next_times, with_stops
from sugarwright.saying.plan_actions import does_texts, headline_text
from sugarwright.saying.plan_calendar import calendar_file
from sugarwright.saying.plan_membrane import stops_later_text
from sugarwright.saying.plan_words import PlanWords
from sugarwright.twin.report import Band, MembraneNow, NowReport, PanNow
from told_cases import day_of, report_of, utc_s

MIN_S = 60
SIX_S = utc_s("2026-03-19 10:00")  # 06:00
LEAVE_S = SIX_S + 70 * MIN_S
EVENING_S = utc_s("2026-03-20 00:52")  # 20:52
LAST_WOOD_S = EVENING_S + 18 * MIN_S
RUN = Action(
    "membrane on", SIX_S, Trigger("sap", 0.5), flow_m3_s=1e-5, expected_s=SIX_S,
    until_s=LEAVE_S, ends="people leave", rinse_m3=20 * GALLON_M3, caution="membrane",
)  # fmt: skip
ON_AGAIN = replace(
    RUN, kind="membrane on again", time_s=SIX_S + 660 * MIN_S, expected_s=SIX_S + 660 * MIN_S,
    until_s=SIX_S + 900 * MIN_S, ends="time",
)  # fmt: skip
WASH = Action("wash the membrane", SIX_S + 900 * MIN_S, expected_s=SIX_S + 900 * MIN_S)
KEEP = Action(
    "keep the fire", EVENING_S, expected_s=EVENING_S, until_s=LAST_WOOD_S, caution="fire",
    only_if_stay_s=LAST_WOOD_S + 4140, else_stay_s=EVENING_S + 4140,
)  # fmt: skip
RUNS_ON = replace(
    RUN, kind="membrane runs on", time_s=EVENING_S, expected_s=EVENING_S,
    until_s=EVENING_S + 8 * MIN_S, ends="sap tank down", stops_itself=True,
)  # fmt: skip
LET_GO = Action(
    "let the fire go", LAST_WOOD_S, latest_s=LAST_WOOD_S + 300, expected_s=LAST_WOOD_S,
    leave_s=LAST_WOOD_S + 4140, caution="burn-down",
)  # fmt: skip
DRAIN = Action("drain before the frost", EVENING_S + 88 * MIN_S, expected_s=EVENING_S)


def planned(*actions: Action, begin_s: int = SIX_S) -> PlanReport:
    """A day's plan of such actions."""
    report = report_of(day_of("2026-03-19 09:00", "2026-03-20 04:00", *actions))
    return replace(report, begin_s=begin_s)


def logged(kind: str, at_s: float, made_s: float | None = None) -> Entry:
    return Entry(f"{kind}{at_s:.0f}", kind, at_s, at_s if made_s is None else made_s)


def states(report: PlanReport, now_s: float, *entries: Entry) -> dict[str, str]:
    return {each.action.kind: each.state for each in doings(report, entries, now_s)}


def due(report: PlanReport, now_s: float, *entries: Entry) -> Doing:
    found = next_doing(doings(report, entries, now_s))
    assert found is not None
    return found


# --- what goes on --------------------------------------------------------------------------------

EVENING = planned(KEEP, RUNS_ON, LET_GO, DRAIN, begin_s=EVENING_S)


def test_a_fire_is_kept_until_the_log_lets_it_go() -> None:
    """Not three hours long: it is out, and nobody is to put wood on a dead fire."""
    now_s = LAST_WOOD_S - 5 * MIN_S
    assert states(EVENING, now_s)["keep the fire"] == "due"
    out = logged("fire_out", now_s - 60)
    (keep, _, go, _) = doings(EVENING, [out], now_s)
    assert (keep.state, keep.done_s) == (go.state, go.done_s) == ("done", out.at_s)
    assert due(EVENING, now_s, out, logged("membrane_off", now_s)).action is DRAIN


def test_a_fire_is_kept_no_longer_than_the_plan_keeps_it() -> None:
    for now_s, state in ((LAST_WOOD_S - 1, "due"), (LAST_WOOD_S, "over")):
        assert states(EVENING, now_s)["keep the fire"] == state
    assert due(EVENING, LAST_WOOD_S).action is LET_GO
    open_end = planned(replace(KEEP, until_s=None), LET_GO, begin_s=EVENING_S)
    assert states(open_end, LAST_WOOD_S)["keep the fire"] == "over"


def test_a_fire_that_was_out_before_the_plan_is_not_kept_once_that_is_logged() -> None:
    """And one that was lit again is; what a plan knew of when it was made is no news."""
    now_s = EVENING_S + 10 * MIN_S
    late = logged("fire_out", EVENING_S - 300, made_s=now_s - 60)
    assert states(EVENING, now_s, late)["keep the fire"] == "done"
    again = logged("fire_lit", EVENING_S + 120)
    assert states(EVENING, now_s, late, again)["keep the fire"] == "due"
    assert states(EVENING, now_s, logged("fire_out", EVENING_S - 300))["keep the fire"] == "due"


@pytest.mark.parametrize("kind", ["membrane_off", "rinse", "wash"])
def test_a_membrane_runs_on_until_the_log_stops_it(kind: str) -> None:
    now_s = EVENING_S + 4 * MIN_S
    assert states(EVENING, now_s)["membrane runs on"] == "due"
    assert states(EVENING, now_s, logged(kind, now_s - 60))["membrane runs on"] == "done"
    assert states(EVENING, EVENING_S + 8 * MIN_S)["membrane runs on"] == "over"


def test_what_only_goes_on_does_not_hide_what_is_to_be_done() -> None:
    """Whether somebody can stay for a fire must be decided; a membrane that runs asks nothing."""
    assert due(EVENING, EVENING_S + 60).action is KEEP
    stays = planned(replace(KEEP, only_if_stay_s=None), LET_GO, begin_s=EVENING_S)
    assert due(stays, EVENING_S + 60).action is LET_GO
    wash = replace(WASH, time_s=EVENING_S + 30)
    busy = planned(KEEP, wash, LET_GO, begin_s=EVENING_S)
    assert due(busy, EVENING_S + 60).action == wash
    assert due(busy, LAST_WOOD_S + 60).action is LET_GO  # before all else


def test_nothing_is_begun_after_its_latest_hour() -> None:
    light = Action("light the fire", SIX_S, latest_s=SIX_S + 140 * MIN_S, caution="fire")
    for action, last_s in ((light, SIX_S + 140 * MIN_S), (RUN, LEAVE_S)):
        report = planned(action)
        assert states(report, last_s)[action.kind] == "due"
        assert states(report, last_s + 1)[action.kind] == "passed"


# --- the membrane is stopped ---------------------------------------------------------------------

MORNING = planned(RUN, ON_AGAIN, WASH)
ON = logged("membrane_on", SIX_S + 120)


def test_the_stop_before_people_leave_is_next_and_stays_due_while_it_runs() -> None:
    words = PlanWords(MORNING)
    for minutes, state in ((30, "to come"), (75, "due"), (140, "due")):
        stop = due(MORNING, SIX_S + minutes * MIN_S, ON)
        assert (stop.state, stop.number, stop.action.time_s) == (state, 1, LEAVE_S)
        assert headline_text(words, stop.action) == "Stop the membrane, then rinse it"
        assert stops_later_text(words, stop.action) == "before you leave"
        assert "rinse it then with 20 gal of permeate" in "; ".join(does_texts(words, stop.action))


@pytest.mark.parametrize("kind", ["membrane_off", "rinse", "wash"])
def test_a_stop_that_is_logged_is_done(kind: str) -> None:
    now_s = LEAVE_S + 5 * MIN_S
    off = logged(kind, now_s - 60)
    before = logged(kind, SIX_S + 60)  # of an earlier run
    stop = doings(MORNING, [before, ON, off], now_s)[1]
    assert (stop.action.kind, stop.state, stop.done_s) == ("stop the membrane", "done", off.at_s)
    assert doings(MORNING, [before, ON], now_s)[1].state == "due"
    assert due(MORNING, now_s, ON, off).action.kind == "membrane on again"


def test_nobody_is_told_to_stop_what_the_log_never_started() -> None:
    assert states(MORNING, LEAVE_S + 60)["stop the membrane"] == "passed"
    assert due(MORNING, LEAVE_S + 60).action.kind == "membrane on again"


def test_a_run_that_went_on_when_the_plan_was_made_has_its_stop() -> None:
    report = planned(replace(RUN, kind="membrane runs on"))
    assert due(report, SIX_S + 60).action.kind == "stop the membrane"
    off = logged("membrane_off", SIX_S + 60)
    assert states(report, LEAVE_S + 60)["stop the membrane"] == "due"
    assert states(report, LEAVE_S + 60, off)["stop the membrane"] == "done"


def test_a_wash_says_that_the_membrane_is_stopped_for_it() -> None:
    words, (*_, (number, wash)) = PlanWords(MORNING), with_stops(MORNING.days[0].actions)
    assert (number, wash.kind) == (3, "wash the membrane")
    assert headline_text(words, wash) == "Stop the membrane and wash it"
    (_, alone) = with_stops([replace(ON_AGAIN, ends="sap tank down", stops_itself=True), WASH])
    assert headline_text(words, alone[1]) == "Wash the membrane"
    ((_, _), (_, unwashed)) = with_stops([ON_AGAIN])
    assert headline_text(words, unwashed) == "Stop the membrane for the wash"
    assert unwashed.time_s == ON_AGAIN.until_s


def test_a_run_past_midnight_is_stopped_for_its_wash_once() -> None:
    """Calendar and next times had the stop of the evening's list beside the wash of the morning."""
    evening = replace(ON_AGAIN, until_s=WASH.time_s + 86400)
    morning = replace(evening, kind="membrane runs on", time_s=evening.time_s + 43200)
    wash = replace(WASH, time_s=WASH.time_s + 86400)
    days = [
        day_of("2026-03-19 09:00", "2026-03-20 04:00", evening),
        day_of("2026-03-20 04:00", "2026-03-21 04:00", morning, wash),
    ]
    kinds = [kind for _, kind in next_times(days, SIX_S)]
    assert kinds == ["membrane on again", "membrane runs on", "wash the membrane"]
    read = Calendar.from_ical(calendar_file(replace(MORNING, days=tuple(days))) or b"")
    titles = [str(each["summary"]) for each in read.walk("VEVENT")]
    assert titles.count("Stop the membrane and wash it") == 1
    assert "Stop the membrane for the wash" not in titles
    alone = Calendar.from_ical(calendar_file(replace(MORNING, days=tuple(days[:1]))) or b"")
    assert "Stop the membrane for the wash" in [str(e["summary"]) for e in alone.walk("VEVENT")]


def test_a_wash_has_nothing_to_stop_once_that_is_logged() -> None:
    words, now_s = PlanWords(MORNING), WASH.time_s + 60
    on = logged("membrane_on", ON_AGAIN.time_s + 60)
    runs, stopped = (
        doings(MORNING, entries, now_s)[-1]
        for entries in ([on], [on, logged("membrane_off", now_s - 30)])
    )
    assert headline_text(words, runs.action) == "Stop the membrane and wash it"
    assert headline_text(words, stopped.action) == "Wash the membrane"
    assert runs.state == stopped.state == "due"


@pytest.mark.parametrize("ends", ["sap tank down", "stock tank full"])
def test_a_run_that_a_tank_ends_has_a_stop_where_it_has_no_cutout(ends: str) -> None:
    by_itself = replace(RUN, ends=ends, stops_itself=True)
    assert with_stops([by_itself]) == [(1, by_itself)]
    by_hand = replace(by_itself, stops_itself=False)
    assert with_stops([by_hand])[1][1].kind == "stop the membrane"


def test_the_next_times_have_the_stop() -> None:
    told = next_times(MORNING.days, SIX_S)
    assert [kind for _, kind in told] == ["membrane on", "stop the membrane", "membrane on again"]
    assert next_times(MORNING.days, SIX_S + 60)[0] == (LEAVE_S, "stop the membrane")


def test_a_dying_fire_is_what_to_do_next_until_it_may_be_left() -> None:
    stay = replace(LET_GO, kind="stay with the pan", time_s=EVENING_S, latest_s=None)
    report = planned(stay, DRAIN, begin_s=EVENING_S)
    out = logged("fire_out", EVENING_S - 300.0)
    for minutes, state, after in ((0, "due", stay), (86, "due", stay), (88, "over", DRAIN)):
        found = doings(report, [out], EVENING_S + 60.0 * minutes)
        due = next_doing(found)
        assert (found[0].state, due and due.action) == (state, after)
    lit = [out, logged("fire_lit", EVENING_S + 60.0)]
    assert doings(report, lit, EVENING_S + 120.0)[0].state == "over"
    gone = stands(replace(PAN, out_s=EVENING_S - 300.0))
    assert ended_otherwise(gone, report) == ""  # no new plan each time


# --- the plan is made anew -----------------------------------------------------------------------

NONE = Band(0.0, 0.0, 0.0)
PAN = PanNow(0.0, 1.0, NONE, NONE, None, None, None, EVENING_S - 7200.0, None, ())
STANDS = MembraneNow(0.0, 1e-5, None, None, NONE, NONE, None, SIX_S + 120.0, None, None, ())


def stands(pan: PanNow = PAN, membrane: MembraneNow = STANDS) -> NowReport:
    """Where things stand, of which only the log's last words count here."""
    return NowReport(
        *("Invented house", "America/New_York", "us", EVENING_S, EVENING_S, 1, None, None),
        *((), membrane, pan, NONE, NONE, NONE, NONE, "", None, (), (), ()),
    )


@pytest.mark.parametrize(("minutes", "told"), [
    (-15, FIRE), (-14, ""), (0, ""), (14, ""), (15, FIRE), (60, FIRE),
])  # fmt: skip
def test_a_fire_let_go_at_another_hour_makes_a_new_plan(minutes: int, told: str) -> None:
    out = replace(PAN, out_s=LAST_WOOD_S + minutes * 60.0)
    assert ended_otherwise(stands(out), EVENING) == told
    assert ended_otherwise(stands(replace(out, lit_s=LAST_WOOD_S + 7200.0)), EVENING) == ""


@pytest.mark.parametrize(("minutes", "told"), [(-30, MEMBRANE), (-5, ""), (10, ""), (20, MEMBRANE)])
def test_a_membrane_stopped_at_another_hour_makes_a_new_plan(minutes: int, told: str) -> None:
    off = replace(STANDS, stopped_s=LEAVE_S + minutes * 60.0)
    assert ended_otherwise(stands(membrane=off), MORNING) == told
    assert ended_otherwise(stands(membrane=replace(off, on_probability=1.0)), MORNING) == ""


def test_an_end_before_the_plan_was_made_counts_where_the_plan_did_not_know_of_it() -> None:
    out = stands(replace(PAN, out_s=EVENING_S - 600.0))
    assert ended_otherwise(out, EVENING) == FIRE
    assert ended_otherwise(out, planned(DRAIN, begin_s=EVENING_S)) == ""
    off = stands(membrane=replace(STANDS, stopped_s=EVENING_S - 600.0))
    assert ended_otherwise(off, EVENING) == MEMBRANE
    assert ended_otherwise(off, planned(LET_GO, begin_s=EVENING_S)) == ""


def test_a_later_day_on_which_something_goes_on_is_no_reason_for_a_new_plan_each_time() -> None:
    """The first page made plan after plan: yesterday's stop beside a run of the day after next."""
    begun_s, ended_s, later_s = SIX_S - 7200.0, SIX_S - 3600.0, EVENING_S + 60 * 3600
    stopped = stands(membrane=replace(STANDS, started_s=begun_s, stopped_s=ended_s))
    out = stands(replace(PAN, lit_s=begun_s, out_s=ended_s))
    for standing, later in ((stopped, RUNS_ON), (out, KEEP)):
        assert ended_otherwise(standing, planned(RUN, replace(later, time_s=later_s))) == ""
        at_once = replace(later, time_s=SIX_S)
        assert ended_otherwise(standing, planned(at_once)) != ""


def test_what_the_plan_knows_nothing_of_has_no_hour_to_depart_from() -> None:
    late = stands(replace(PAN, out_s=LAST_WOOD_S), replace(STANDS, stopped_s=LAST_WOOD_S))
    assert ended_otherwise(late, planned(DRAIN, begin_s=EVENING_S)) == ""
