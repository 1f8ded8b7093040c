"""The first page, in all the states that a folder can be in."""

from __future__ import annotations

import dataclasses
import json
import re
from pathlib import Path

import pytest
from icalendar import Calendar
from starlette.testclient import TestClient

from sugarwright.answering.folder import house_in
from sugarwright.answering.plan import plan_and_keep
from sugarwright.answering.record import record_of
from sugarwright.answering.today import doings, next_doing, planned_at
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.words import understand
from sugarwright.planning.action import Action, Overload, Trigger
from sugarwright.planning.membrane_hands import hands_of
from sugarwright.planning.plan_store import keep_plan, kept_report
from sugarwright.planning.report import ChoreDue, Learnt, Morning, PlanReport, Range, Watch
from sugarwright.planning.search import Budget
from sugarwright.saying.plan_found import HURRIED
from sugarwright.saying.plan_outside import drain_title
from sugarwright.saying.plan_watches import watch_texts
from sugarwright.saying.plan_words import PlanWords
from sugarwright.saying.words import until
from sugarwright.units import VOLUME, show
from sugarwright.web.app import build
from sugarwright.web.rendering import words_of
from sugarwright.web.shed import Shed
from web_folder import NOW_S, write_house, write_log
from web_reading import text_of
from web_serving import standing_known


@pytest.fixture
def report(folder: Path) -> PlanReport:
    with record_of(str(folder)) as book:
        found = kept_report(book.plans, int(NOW_S))
    assert found is not None
    return found


def test_the_next_action_comes_first_with_its_clock_and_gauge(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    standing_known(shed)
    first = next_doing(doings(report, (), NOW_S))
    assert first is not None
    said = text_of(pages.get("/").text)
    clock = words_of(shed).clock(first.action.time_s)
    countdown, kind = until(first.action.time_s - NOW_S), first.action.kind.capitalize()
    assert f"Thursday 19 March 2026 Next: {clock} {countdown} {kind}" in said[:200]


def test_a_burning_fire_short_of_feed_stands_above_any_action(
    pages: TestClient, shed: Shed, folder: Path
) -> None:
    house = house_in(str(folder))
    with record_of(str(folder)) as book:
        for minutes, text in ((120, "lit"), (9, "stock 3 gal"), (8, "stock 3 gal")):
            book.add(understand(text, house, NOW_S - 60.0 * minutes).entries)
    shed.changed()
    standing_known(shed)
    said = text_of(pages.get("/").text)
    order = (
        "No more wood: the feed is",
        "Never leave a lit pan.",
        "Next:",
        "Tanks now",
        "Pan: lit",
    )
    places = [said.index(each) for each in order]
    assert places == sorted(places)
    assert said.startswith("Thursday 19 March 2026 No more wood", said.index("Thursday"))
    assert "Pan: no fire" not in said


def test_a_fire_that_dies_is_told_on_top_until_the_plan_knows_of_it(
    pages: TestClient, shed: Shed, folder: Path
) -> None:
    house = house_in(str(folder))
    with record_of(str(folder)) as book:
        for minutes, text in ((120, "lit"), (5, "fire out")):
            book.add(understand(text, house, NOW_S - 60.0 * minutes).entries)
    shed.changed()
    standing_known(shed)
    said = text_of(pages.get("/").text)
    assert "Pan: no fire" not in said
    first = said.index("Pan: the fire dies down: stay until it has, about")
    assert first < said.index("Stay until it has stopped boiling") < said.index("Next:")


def test_tanks_stand_there_with_band_and_plan(pages: TestClient, shed: Shed) -> None:
    standing_known(shed)
    page = pages.get("/").text
    standing = shed.standing().value
    assert standing is not None
    assert page.count('<svg class="vessel"') == len(standing.tanks)
    assert page.count('class="planned"') == 3  # sap, stock, permeate; no plan of a gathering tank
    assert "of 425 gal" in page


def test_what_was_read_far_off_the_plan_stays_told_when_a_newer_plan_begins_with_it(
    pages: TestClient, shed: Shed, report: PlanReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    house, later_s = house_in(shed.folder), NOW_S + 3600.0
    monkeypatch.setattr(shed, "now_s", lambda: later_s)
    with record_of(shed.folder) as book:
        for before_s in (300.0, 240.0):  # the second is believed even where the first is questioned
            book.add(understand("sap 60 gal", house, later_s - before_s).entries)
        keep_plan(book.plans, house, dataclasses.replace(report, begin_s=int(later_s) - 60))
    shed.changed()
    standing_known(shed)
    led_m3 = planned_at(report, "sap", later_s - 240.0)
    assert led_m3 is not None
    page = pages.get("/").text
    (told,) = re.findall(r'<p class="note">(60 gal was read[^<]*)</p>', page)
    plan, led = words_of(shed).clock(report.begin_s), show(led_m3, VOLUME, "us")
    assert told.endswith(f"; the plan of {plan} led to expect about {led}")
    assert page.index("<h3>Sap tank</h3>") < page.index(told) < page.index("<h3>Stock tank</h3>")


def test_what_was_read_as_planned_is_not_told_as_a_surprise(
    pages: TestClient, shed: Shed, report: PlanReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    later_s = NOW_S + 3600.0
    monkeypatch.setattr(shed, "now_s", lambda: later_s)
    led_m3 = planned_at(report, "sap", later_s - 240.0)
    assert led_m3 is not None
    with record_of(shed.folder) as book:
        text = f"sap {show(led_m3, VOLUME, 'us', 0)}"
        book.add(understand(text, house_in(shed.folder), later_s - 240.0).entries)
    shed.changed()
    standing_known(shed)
    page = pages.get("/").text
    assert "4 min ago" in page  # it was read, and believed
    assert "was read at" not in page


def test_until_the_log_is_followed_the_plan_s_own_levels_stand_there(
    pages: TestClient, report: PlanReport
) -> None:
    said = text_of(pages.get("/").text)
    assert "Your log is being followed" in said
    held = show(report.standing.sap_m3, VOLUME, "us", 0).partition(" ")[0]
    assert f"When the plan was made, 05:10: sap {held} of 425 gal, " in said


def test_documents_are_those_of_the_commands(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    standing_known(shed)
    assert pages.get("/plan.json").json() == json.loads(json.dumps(dataclasses.asdict(report)))
    assert pages.get("/now.json").json()["house"] == report.house


def test_alarms_are_the_plan_s_actions(pages: TestClient, report: PlanReport) -> None:
    calendar = Calendar.from_ical(pages.get("/plan.ics").content)
    due = [each for day in report.days for each in day.actions if "need" not in each.kind]
    hands = [hand.what for action in due for hand in hands_of(action)]
    rings = [str(each["summary"]) for each in calendar.walk("VEVENT")]
    assert len(rings) == len(due) + len(hands)
    drains = [each for each in due if each.kind == "drain before the frost"]
    assert {drain_title(PlanWords(report), each) for each in drains} <= set(rings)
    others = [each.kind for each in due if each not in drains]
    assert all(any(kind in title.lower() for title in rings) for kind in others)
    assert sum(each.startswith("Set the membrane to") for each in rings) == hands.count("set")


def test_a_run_that_no_cutout_ends_shows_unfolded_how_it_is_stopped(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    run = dataclasses.replace(
        next(each for day in report.days for each in day.actions if each.kind == "membrane on"),
        time_s=report.begin_s + 60,
        expected_s=report.begin_s + 60,
        until_s=report.begin_s + 7200,
        ends="stock tank full",
        stops_itself=False,
        rinse_m3=0.08,
        again_s=None,
        again_brix=None,
    )
    days = (dataclasses.replace(report.days[0], actions=(run,)), *report.days[1:])
    with record_of(shed.folder) as book:
        keep_plan(book.plans, house_in(shed.folder), dataclasses.replace(report, days=days))
    shed.changed()
    html = pages.get("/").text
    unfolded = text_of(re.sub(r"(?s)<details>.*?</details>", "", html))
    assert "; stop it when the stock tank is full: it does not stop itself" in unfolded


def test_chores_and_more_work_than_hours_stand_with_the_day(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    chore = ChoreDue("grease the sled", "each sap day", 1200.0, 2, report.begin_s + 3600)
    work = Range(0.0, 15 * 3600.0, 16 * 3600.0)
    days = tuple(
        dataclasses.replace(each, chores=(chore,), work_s=work, given_s=7 * 3600.0)
        for each in report.days
    )
    with record_of(shed.folder) as book:
        keep_plan(book.plans, house_in(shed.folder), dataclasses.replace(report, days=days))
    shed.changed()
    said = text_of(pages.get("/").text)
    assert "Chores grease the sled 20 min, two people, the same day" in said
    assert "15 h of work, and you give 7 h" in said


def test_what_the_circuit_does_not_carry_is_a_caution(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    def crowded(action: Action) -> Action:
        too_much = Overload((action.caution, "pump"), 13.0, 10.0)
        return dataclasses.replace(action, overload=too_much if action.caution == "fire" else None)

    days = tuple(
        dataclasses.replace(each, actions=tuple(map(crowded, each.actions))) for each in report.days
    )
    with record_of(shed.folder) as book:
        keep_plan(book.plans, house_in(shed.folder), dataclasses.replace(report, days=days))
    shed.changed()
    cautions = re.findall(r'<p class="caution">(.*?)</p>', pages.get("/").text)
    (told,) = [each for each in cautions if "The circuit does not carry" in each]
    assert told.startswith("Never leave a lit pan.")
    assert "13 A of 10 A" in told


def test_what_rests_on_learnt_values_is_told(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    assert report.learnt == ()
    assert "It rests on" not in text_of(pages.get("/").text)
    learnt = (Learnt("pan", report.begin_s - 86400, 4), Learnt("wood", report.begin_s - 86400, 4))
    with record_of(shed.folder) as book:
        later = dataclasses.replace(report, learnt=learnt)
        keep_plan(book.plans, house_in(shed.folder), later)
    shed.changed()
    said = text_of(pages.get("/").text)
    assert "It rests on pan and wood as learnt on 18 March (version 4)." in said


def test_on_a_day_of_many_actions_the_last_wood_stands_with_its_fire(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    """And nothing is to ring for where nothing is to be done at an hour."""
    begin_s = report.begin_s
    hours = (
        "membrane on", "keep the fire", "wash the membrane", "let the fire go",
        "membrane on again", "again through the membrane", "drain before the frost",
    )  # fmt: skip
    busy = tuple(
        Action(kind, begin_s + 3600 * n, reserve_m3=0.06 if kind == "let the fire go" else None)
        for n, kind in enumerate(hours)
    )
    for actions, shown in ((busy, 6), (busy[1:], 6), ((), 0)):
        days = (
            dataclasses.replace(report.days[0], actions=actions),
            *(dataclasses.replace(day, actions=()) for day in report.days[1:]),
        )
        due = tuple((each.time_s, each.kind) for each in actions[:3])
        with record_of(shed.folder) as book:
            kept = dataclasses.replace(report, days=days, next_s=due)
            keep_plan(book.plans, house_in(shed.folder), kept)
        shed.changed()
        page = pages.get("/").text
        assert page.count('<li class="action') == shown
        assert page.count('<div class="end') == (len(actions) > 6)
        assert ("last wood when 16 gal of feed is left" in page) == bool(actions)
        assert ("/plan.ics" in page) == bool(actions)
    assert pages.get("/plan.ics").status_code != 200


def test_a_last_wood_has_its_gauge_and_until_when_to_stay_unfolded(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    """As what is next, and on the day's list: both are read without a touch."""
    at_s = int(NOW_S) + 1800
    go = Action(
        "let the fire go", at_s, reserve_m3=0.06, latest_s=at_s + 300, leave_s=at_s + 4140,
        caution="burn-down",
    )  # fmt: skip
    light = Action(
        "light the fire", at_s + 7200, Trigger("stock", 0.5), latest_s=at_s + 9000, caution="fire"
    )
    days = (dataclasses.replace(report.days[0], actions=(go, light)), *report.days[1:])
    with record_of(shed.folder) as book:
        keep_plan(book.plans, house_in(shed.folder), dataclasses.replace(report, days=days))
    shed.changed()
    page = re.sub(r"<details>.*?</details>", "", pages.get("/").text, flags=re.DOTALL)
    clock = words_of(shed).clock
    told = (
        f"last wood when 16 gal of feed is left, by {clock(go.latest_s or 0)} at the latest, "
        "to keep liquid over the whole floor of the pan; stay until it has died down, about "
        f"{clock(go.leave_s or 0)}</p>"
    )
    assert page.count(told) == 2
    assert page.count(f"132 gal; else wait for it, not after {clock(light.latest_s or 0)}</p>") == 1


def test_tomorrow_s_plan_shows_what_remains_of_tonight(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    drain = Action("drain before the frost", report.begin_s, caution="frost")
    none = Range(0.0, 0.0, 0.0)
    tomorrow = dataclasses.replace(
        report,
        days=(dataclasses.replace(report.days[0], actions=(drain,)), *report.days[1:]),
        morning=Morning(report.days[1].begin_s, "before", none, none, none, none, none),
    )
    with record_of(str(shed.folder)) as book:
        keep_plan(book.plans, house_in(shed.folder), tomorrow)
    standing_known(shed)
    said = text_of(pages.get("/").text)
    assert re.search(r"Still today \d\d:\d\d drain pump, line .* bursts it\. .*Tanks now", said)


def test_what_was_logged_is_done(report: PlanReport) -> None:
    action = next_doing(doings(report, (), NOW_S))
    assert action is not None
    assert action.state == "to come"
    due = doings(report, (), action.action.time_s + 60.0)
    assert next_doing(due) == dataclasses.replace(action, state="due")
    if action.action.kind != "membrane on":
        pytest.skip("the plan begins with something that is not logged by one word")
    entry = Entry("k1234567", "membrane_on", action.action.time_s + 120.0, 0.0)
    after = doings(report, [entry], action.action.time_s + 600.0)
    done = next(each for each in after if each.number == action.number)
    assert (done.state, done.done_s) == ("done", entry.at_s)
    following = next_doing(after)
    assert following is None or following.number != action.number


def test_the_end_of_a_fire_at_need_waits_until_the_log_knows_that_it_was_lit(
    report: PlanReport,
) -> None:
    light = Action("fire at need", report.begin_s, Trigger("stock", 0.3))
    end = Action("let the fire go", report.begin_s + 6 * 3600)
    day = dataclasses.replace(report.days[report.main_day], actions=(light, end))
    days = (*report.days[: report.main_day], day, *report.days[report.main_day + 1 :])
    report = dataclasses.replace(report, days=days)
    now_s = report.begin_s + 3600.0
    unlit = doings(report, (), now_s)
    assert [each.state for each in unlit] == ["at need", "at need"]
    assert next_doing(unlit) is None
    lit = doings(report, [Entry("k1234567", "fire_lit", now_s - 600.0, 0.0)], now_s)
    assert [each.state for each in lit] == ["done", "to come"]
    assert next_doing(lit) == lit[1]


def test_between_two_hours_of_a_fan_the_plan_is_drawn_straight(report: PlanReport) -> None:
    fan = next(each for each in report.fans if each.what == "sap")
    middle = planned_at(report, "sap", fan.begin_s + 1.5 * fan.every_s)
    assert middle == pytest.approx((fan.middle[1] + fan.middle[2]) / 2.0)
    begin = planned_at(report, "sap", report.begin_s)
    assert begin == pytest.approx(report.standing.sap_m3)
    assert planned_at(report, "sap", report.begin_s - 60.0) is None
    assert planned_at(report, "sap", report.end_s + 7200.0) is None


@pytest.mark.parametrize("logged", [False, True])
def test_without_a_plan_it_says_what_to_do(tmp_path: Path, logged: bool) -> None:
    write_house(tmp_path)
    if logged:
        write_log(tmp_path)
    shed = Shed(str(tmp_path), lambda: NOW_S, plans=False)
    with TestClient(build(shed), base_url="http://localhost") as client:
        standing_known(shed)
        said = text_of(client.get("/").text)
    assert ("The plan is being made" if logged else "Read your tanks") in said


def test_a_stop_without_a_rinse_in_the_log_is_told(tmp_path: Path) -> None:
    write_house(tmp_path)
    write_log(tmp_path)
    house = house_in(str(tmp_path))
    with Logbook.open(tmp_path) as book:
        for words in ("membrane on at 2026-03-19 05:01", "membrane off at 2026-03-19 05:05"):
            book.add(understand(words, house, NOW_S).entries)
    shed = Shed(str(tmp_path), lambda: NOW_S, plans=False)
    with TestClient(build(shed), base_url="http://localhost") as client:
        standing_known(shed)
        said = text_of(client.get("/").text)
    assert "by the log not rinsed since it stopped at 05:05: rinse it" in said


def test_a_first_reading_that_is_questioned_is_asked_for_again(tmp_path: Path) -> None:
    """Before the day of tapping all tanks are taken to be empty."""
    write_house(tmp_path)
    path = tmp_path / "sugarhouse.toml"
    text, count = re.subn(r"tapped = \S+", "tapped = 2026-03-25", path.read_text(encoding="utf-8"))
    assert count == 1
    path.write_text(text, encoding="utf-8")
    write_log(tmp_path)
    shed = Shed(str(tmp_path), lambda: NOW_S, plans=False)
    with TestClient(build(shed), base_url="http://localhost") as client:
        standing_known(shed)
        said = text_of(client.get("/").text)
    assert "Read the sap tank again" in said
    assert "is questioned" in said


def test_a_house_that_cannot_be_read_is_told_and_no_traceback(
    pages: TestClient, folder: Path
) -> None:
    (folder / "sugarhouse.toml").write_text("[site]\nname = 3\n", encoding="utf-8")
    pages.app.state.shed.changes.look()  # type: ignore[attr-defined]
    answer = pages.get("/", headers={"accept": "text/html"})
    assert answer.status_code == 400
    assert "sugarhouse.toml" in answer.text
    assert "Nothing that was written down is lost" in answer.text


def test_what_may_happen_is_told_the_likeliest_first(shed: Shed, report: PlanReport) -> None:
    rare, likely = (Watch("sap spoils", share, None, None) for share in (0.1, 0.8))
    found = PlanWords(dataclasses.replace(report, watch=(rare, likely)))
    told = list(watch_texts(found, report.days[0]))
    assert [text.endswith("8 in 10") for text in told] == [True, False]


def test_a_run_of_the_membrane_says_till_when(
    pages: TestClient, shed: Shed, report: PlanReport
) -> None:
    standing_known(shed)
    day = text_of(pages.get("/").text)
    runs = [
        each
        for each in report.days[report.main_day].actions
        if each.until_s is not None and each.caution == "membrane"
    ]
    assert day.count("till about") >= len(runs)
    words = words_of(shed)
    assert all(f"till about {words.when(each.until_s, each.time_s)}" in day for each in runs)


@pytest.mark.parametrize(("ends_s", "said"), [(1e-6, True), (3600.0, False)])
def test_a_plan_whose_search_the_clock_ended_says_so(
    pages: TestClient,
    shed: Shed,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    ends_s: float,
    said: bool,
) -> None:
    monkeypatch.setattr("sugarwright.planning.search.USUAL", Budget(population=16, rounds=2))
    monkeypatch.setattr("sugarwright.answering.plan.ENDS_S", ends_s)
    found = plan_and_keep(str(folder), int(NOW_S) + 60)
    assert found.stopped_early == said
    monkeypatch.setattr(shed, "now_s", lambda: NOW_S + 90.0)
    assert (HURRIED[1:] in text_of(pages.get("/").text)) == said
