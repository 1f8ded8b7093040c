"""The calendar file of a plan, read back; RFC 5545 says what it must hold (3.6, 3.6.1, 3.6.6)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from command_line import refused
from sugarwright.cli.plan_print import _write_calendar
from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.beginning import Standing
from sugarwright.planning.report import Day, PlanReport, Range
from sugarwright.saying.plan_calendar import calendar_file

BEGIN_S = int(datetime(2026, 3, 19, 9, 10, tzinfo=UTC).timestamp())
NONE = Range(0.0, 0.0, 0.0)


def _day(begin_s: int, *actions: Action) -> Day:
    return Day(begin_s, begin_s + 3600, actions, NONE, NONE, NONE, NONE, NONE, NONE, NONE, 0.0, 5.0)


def _report(*actions: Action, later: tuple[Action, ...] = ()) -> PlanReport:
    days = (_day(BEGIN_S, *actions), _day(BEGIN_S + 86400, *later))
    report = PlanReport.__new__(PlanReport)
    for name, value in {
        "house": "Invented Hollow", "timezone": "America/New_York", "units": "us",
        "currency": "USD", "begin_s": BEGIN_S, "days": days, "morning": None,
        "standing": Standing(0.1, 2.0, 1.0, 0.0, 0.0, 0.0, 0.5, 0.0, 1.0, 5.0, True),
    }.items():  # fmt: skip
        object.__setattr__(report, name, value)
    return report


FIRE = Action(
    "light the fire", BEGIN_S + 600, Trigger("stock", 0.4), expected_s=BEGIN_S + 600, caution="fire"
)
WASH = Action("membrane on", BEGIN_S, Trigger("sap", 0.3), flow_m3_s=2e-5, caution="membrane")


def test_read_back_it_has_what_the_standard_requires() -> None:
    text = calendar_file(_report(WASH, FIRE)) or b""
    assert all(len(line) <= 75 for line in text.split(b"\r\n"))  # 3.1
    calendar: Any = Calendar.from_ical(text)
    assert calendar["version"] == "2.0"
    assert calendar["prodid"]
    on, fire = calendar.walk("VEVENT")
    assert fire["dtstart"].dt == datetime.fromtimestamp(FIRE.time_s, UTC)
    assert "Never leave a lit pan" in fire["description"]
    assert on["uid"] != fire["uid"]
    assert on["dtstamp"]
    assert on["dtend"].dt > on["dtstart"].dt
    before = [event.walk("VALARM")[0]["trigger"].dt for event in (on, fire)]
    assert before == [timedelta(), timedelta(minutes=-10)]
    assert {each["action"] for each in calendar.walk("VALARM")} == {"DISPLAY"}


def test_a_fire_at_need_rings_neither_at_its_begin_nor_at_its_end() -> None:
    need = replace(FIRE, kind="fire at need")
    go = Action("let the fire go", BEGIN_S + 1800, caution="burn-down")

    def rings(*actions: Action) -> list[str]:
        read: Any = Calendar.from_ical(calendar_file(_report(*actions)))
        return [str(event["summary"]) for event in read.walk("VEVENT")]

    assert rings(WASH, need, go) == ["Membrane on"]
    assert calendar_file(_report(need, go)) is None
    fire = "Light the fire once the stock tank has 106 gal"
    assert rings(WASH, FIRE, go) == ["Membrane on", fire, "Let the fire go"]


def _titles(*actions: Action) -> list[str]:
    read: Any = Calendar.from_ical(calendar_file(_report(*actions)))
    return [str(event["summary"]) for event in read.walk("VEVENT")]


def test_a_fire_that_its_gauge_may_keep_waiting_is_to_be_looked_for() -> None:
    """A title is all that a phone shows when it rings; it must not order a fire without feed."""
    gauge = "light the fire once the stock tank has 106 gal"
    later = replace(FIRE, expected_s=FIRE.time_s + 3600)
    unlikely = replace(FIRE, probability=0.3)
    for each in (later, unlikely, replace(FIRE, expected_s=None)):
        assert _titles(each) == [f"Look: {gauge}"]
    go = Action("let the fire go", BEGIN_S + 1800, probability=0.3)
    assert _titles(unlikely, go)[1] == "Let the fire go, if it was lit"
    there = replace(FIRE, time_s=BEGIN_S, trigger=Trigger("sap", 0.05))  # the tank has it by now
    assert _titles(there) == ["Light the fire"]


def test_a_last_wood_has_its_gauge() -> None:
    go = Action("let the fire go", BEGIN_S + 1800, reserve_m3=0.06, latest_s=BEGIN_S + 2100)
    gauge = "Let the fire go once 16 gal of feed is left"
    assert _titles(FIRE, go)[1] == gauge
    assert _titles(FIRE, replace(go, probability=0.3))[1] == f"{gauge}, if it was lit"
    assert _titles(FIRE, replace(go, ends="fuel"))[1] == "Let the fire go"  # by the wood's end


def test_days_that_are_planned_anew_do_not_ring() -> None:
    later = replace(FIRE, time_s=FIRE.time_s + 86400)
    read: Any = Calendar.from_ical(calendar_file(_report(FIRE, later=(later,))))
    now, then = read.walk("VEVENT")
    assert len(now.walk("VALARM")) == 1
    assert not then.walk("VALARM")
    assert "Planned anew each morning." in then["description"]
    assert "Planned anew" not in now["description"]
    idle: Any = Calendar.from_ical(calendar_file(_report(later=(later,))))
    (first,) = idle.walk("VEVENT")  # nothing today: the plan tells of tomorrow
    assert len(first.walk("VALARM")) == 1


def test_draining_rings_ahead_of_its_time_and_trips_name_their_place() -> None:
    drain = Action("drain before the frost", BEGIN_S + 600, expected_s=BEGIN_S, caution="frost")
    fetch = Action("gather sap", BEGIN_S, Trigger("gathering:east", 0.1), point="east", loads=2)
    calendar: Any = Calendar.from_ical(calendar_file(_report(fetch, drain)))
    first, second = calendar.walk("VEVENT")
    assert str(first["summary"]) == "Gather sap, east"
    before = [event.walk("VALARM")[0]["trigger"].dt for event in (first, second)]
    assert before == [timedelta(), timedelta(minutes=-10)]


def test_an_action_that_moved_replaces_the_old_one() -> None:
    moved = replace(FIRE, time_s=FIRE.time_s + 1800)
    read: list[Any] = [Calendar.from_ical(calendar_file(_report(each))) for each in (FIRE, moved)]
    old, new = (each.walk("VEVENT")[0] for each in read)
    assert old["uid"] == new["uid"]
    assert old["dtstart"].dt != new["dtstart"].dt


def test_where_nothing_rings_no_file_is_written_and_an_older_one_of_ours_goes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A calendar without a component is none (3.6); an old one would ring for what is not done."""
    file, theirs = tmp_path / "plan.ics", tmp_path / "family.ics"
    _write_calendar(str(file), _report())
    assert not file.exists()
    assert "is not written" in " ".join(capsys.readouterr().err.split())
    _write_calendar(str(file), _report(FIRE))
    assert file.read_bytes()
    theirs.write_bytes(b"BEGIN:VCALENDAR\r\nPRODID:-//Invented//family//EN\r\n")
    for each in (file, theirs):
        _write_calendar(str(each), _report())
    assert not file.exists()
    assert "is removed" in " ".join(capsys.readouterr().err.split())
    assert theirs.exists()


@pytest.mark.parametrize("name", ["plan.txt", "plan"])
def test_only_a_calendar_is_written(name: str, tmp_path: Path) -> None:
    assert ".ics" in refused("plan", str(tmp_path), "--calendar", name)
    assert not list(tmp_path.iterdir())
