"""When a served folder makes a new plan that nobody asked for."""

from __future__ import annotations

import shutil
from dataclasses import asdict, replace
from pathlib import Path

import pytest

from sugarwright.answering.folder import house_in
from sugarwright.answering.plan import plan_and_keep, why_plan_again
from sugarwright.answering.record import record_of
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.words import understand
from sugarwright.planning.plan_store import kept_report
from sugarwright.saying.standing import departure_text
from sugarwright.twin.planned import OFF_FRACTION
from sugarwright.twin.report import Band, Departure
from sugarwright.units.basic import GALLON_M3
from sugarwright.web.work import stand
from web_folder import NOW_S

LATER_S = NOW_S + 4 * 3600
RIM_GAL = 425.0  # of the sap tank of this house


def _read(
    folder: Path, sap_gal: float, later_s: float = LATER_S
) -> tuple[tuple[Departure, ...], str]:
    """Log what the sap tank shows some hours after the plan; what departs, and why to plan anew."""
    house = house_in(str(folder))
    stand(str(folder), NOW_S)  # how things stood when the plan was made is kept
    with Logbook.open(folder) as book:
        for before_s in (900.0, 60.0):  # the second is believed even where the first is questioned
            book.add(understand(f"sap {sap_gal:.1f} gal", house, later_s - before_s).entries)
    found = stand(str(folder), later_s)
    with record_of(str(folder)) as book:
        report = kept_report(book.plans, int(later_s))
    for each in found.departures:
        assert "led to expect about" in departure_text(each, found)
    return found.departures, why_plan_again(house, found, report, later_s)


@pytest.fixture
def expected(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Band:
    """Return what the plan led to expect in the sap tank, as any reading tells that is off."""
    with monkeypatch.context() as patch:
        patch.setattr("sugarwright.twin.planned.OFF_FRACTION", 0.0)
        apart, _ = _read(Path(shutil.copytree(folder, tmp_path / "aside")), 200.0)
    return next(each.planned_m3 for each in apart if each.place == "sap")


@pytest.mark.parametrize(("off", "is_told"), [(0.5, False), (1.3, True)])
def test_a_reading_a_tenth_of_the_rim_off_what_the_plan_expects_makes_a_new_one(
    folder: Path, expected: Band, off: float, is_told: bool
) -> None:
    sap_gal = expected.middle / GALLON_M3 + off * OFF_FRACTION * RIM_GAL
    apart, why = _read(folder, sap_gal)
    assert ["sap"][: int(is_told)] == [each.place for each in apart]
    assert bool(why) == is_told


@pytest.mark.parametrize(("was_told", "read", "made_s", "is_told"), [
    (False, 90.0, 90.0, True),  # opened, looked into the tank, logged
    (False, -60.0, 90.0, True),  # looked before, typed in after
    (False, -60.0, -60.0, False),  # the plan knew of it
    (True, 90.0, 90.0, False),  # the plan began with what was told, and that is what was read
])  # fmt: skip
def test_a_reading_minutes_after_the_plan_was_made_counts_unless_the_plan_began_with_it(
    folder: Path, was_told: bool, read: float, made_s: float, is_told: bool
) -> None:
    house = house_in(str(folder))
    stand(str(folder), NOW_S)
    with record_of(str(folder)) as book:
        report = kept_report(book.plans, int(NOW_S))
        assert report is not None
        level_m3 = report.standing.sap_m3 + 0.2 * RIM_GAL * GALLON_M3
        told = replace(report.standing, sap_m3=level_m3 if was_told else report.standing.sap_m3)
        (document,) = book.plans.newest_first(report.begin_s, report.begin_s + 1)
        document["report"]["standing"] = asdict(told)
        document["begin_s"] = document["report"]["begin_s"] = report.begin_s + 1  # made anew
        book.plans.keep(report.begin_s + 1, document)
        for before_s in (30.0, 0.0):  # the second bears the first out
            text, at_s = f"sap {level_m3 / GALLON_M3:.1f} gal", NOW_S + read - before_s
            book.add(understand(text, house, at_s, made_s=NOW_S + made_s).entries)
        report = kept_report(book.plans, int(NOW_S) + 120)
    found = stand(str(folder), NOW_S + 120.0)
    assert any(each.place == "sap" for each in found.departures) == is_told
    assert bool(why_plan_again(house, found, report, NOW_S + 120.0)) == is_told


@pytest.mark.parametrize(("age_h", "is_told"), [(4.9, False), (5.1, True)])
def test_one_five_hours_old_is_made_anew_once_a_tank_is_read(
    folder: Path, monkeypatch: pytest.MonkeyPatch, age_h: float, is_told: bool
) -> None:
    monkeypatch.setattr("sugarwright.twin.planned.OFF_FRACTION", 2.0)  # nothing is ever off
    _, why = _read(folder, 200.0, NOW_S + age_h * 3600)
    assert ("hours old" in why) == is_told
    assert bool(why) == is_told


def test_one_five_hours_old_stays_where_no_tank_was_read_since(folder: Path) -> None:
    later_s = NOW_S + 7 * 3600
    found = stand(str(folder), later_s)
    with record_of(str(folder)) as book:
        report = kept_report(book.plans, int(later_s))
    assert why_plan_again(house_in(str(folder)), found, report, later_s) == ""


@pytest.mark.parametrize("hours", [0.0, 1.5, 5.0, 16.0])
def test_one_made_just_now_is_not_made_anew(folder: Path, hours: float) -> None:
    """Whatever stands or goes on: the first page would make one after the other."""
    now_s = int(NOW_S + hours * 3600)
    plan_and_keep(str(folder), now_s)
    for later_s in (now_s + 20, now_s + 240):
        found = stand(str(folder), later_s)
        with record_of(str(folder)) as book:
            report = kept_report(book.plans, later_s)
        assert report is not None
        assert report.begin_s == now_s
        assert why_plan_again(house_in(str(folder)), found, report, later_s) == ""
