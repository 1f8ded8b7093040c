"""Plans kept as issued: the last is found again, for today; a damaged one is passed over."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from planning_cases import demo_house, local_s
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.store import open_store
from sugarwright.planning.beginning import Standing
from sugarwright.planning.plan_store import keep_plan, kept_report, plan_before, rows_in_force
from sugarwright.planning.report import (
    Learnt,
    Money,
    Morning,
    PlanReport,
    Range,
    Watch,
    Way,
)
from sugarwright.plant import layout as at

ROWS = tuple(tuple(float(10 * day + place) for place in range(at.PLAN_WIDTH)) for day in range(4))
EVENING = "2015-03-13 21:00"


def _report(begin_s: int) -> PlanReport:
    """A plan of an invented house that asks for nothing."""
    money = Money(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0)
    way = Way(money, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    standing = Standing(0.1, 2.0, 1.0, 0.0, 0.0, 0.0, 0.5, 0.0, 1.0, 5.0, True)
    return PlanReport(
        house="Invented", timezone="America/New_York", units="us", currency="$",
        begin_s=begin_s, end_s=begin_s + 72 * 3600, forecast_source="", forecast_issued_s=None,
        forecast_cautions=(), standing=standing, days=(),
        watch=(Watch("sap spoils", 0.2, 7, None),),
        next_s=((begin_s, "light the fire"),), plan=way, habit=way, weathers=40, candidates=1,
        stopped_early=False, whose="search", seed=1, rows=ROWS, broken=("nobody there",),
    )  # fmt: skip


def _kept(folder: Path, when: str = EVENING) -> None:
    report = _report(local_s(when))
    with open_store(folder) as book:
        keep_plan(book.plans, demo_house(), report)


def test_on_what_it_rests_is_kept_with_it(tmp_path: Path) -> None:
    report = replace(_report(local_s(EVENING)), learnt=(Learnt("pan", 5, 2),))
    with open_store(tmp_path) as book:
        keep_plan(book.plans, demo_house(), report)
        found = kept_report(book.plans, local_s("2015-03-13 23:00"))
    assert found is not None
    assert found.learnt == report.learnt


@pytest.mark.parametrize(
    ("now", "days_gone"),
    [
        ("2015-03-13 21:01", 0), ("2015-03-13 21:30", 0), ("2015-03-13 23:00", 0),
        ("2015-03-14 05:00", 1), ("2015-03-15 06:00", 2),
    ],
)  # fmt: skip
def test_a_plan_is_found_again_from_today_on(tmp_path: Path, now: str, days_gone: int) -> None:
    _kept(tmp_path)
    found = plan_before(open_store(tmp_path).plans, demo_house(), local_s(now))
    assert found is not None
    assert np.array_equal(found, np.array(ROWS[days_gone:]))


@pytest.mark.parametrize("now", ["2015-03-13 20:00", EVENING, "2015-03-15 22:00"])
def test_neither_a_later_plan_nor_this_one_nor_an_old_one_counts(tmp_path: Path, now: str) -> None:
    _kept(tmp_path)
    assert plan_before(open_store(tmp_path).plans, demo_house(), local_s(now)) is None


def test_the_rest_of_today_goes_by_a_plan_of_this_very_minute(tmp_path: Path) -> None:
    _kept(tmp_path)
    plans, house = open_store(tmp_path).plans, demo_house()
    found = rows_in_force(plans, house, local_s(EVENING))
    assert found is not None
    assert np.array_equal(found, np.array(ROWS))
    assert rows_in_force(plans, house, local_s("2015-03-13 20:00")) is None


def test_today_goes_on_by_no_plan_for_tomorrow_made_this_minute(tmp_path: Path) -> None:
    """Asked again, it lets today go by the same as before; an hour later it is the plan kept."""
    now_s, none = local_s(EVENING), Range(0.0, 0.0, 0.0)
    morning = Morning(now_s + 9 * 3600, "habit", none, none, none, none, none)
    other = tuple(tuple(value + 1.0 for value in row) for row in ROWS)
    tomorrow = replace(_report(now_s), morning=morning, rows=other)
    with open_store(tmp_path) as book:
        keep_plan(book.plans, demo_house(), tomorrow)
        assert rows_in_force(book.plans, demo_house(), now_s) is None
        later = rows_in_force(book.plans, demo_house(), now_s + 3600)
        assert later is not None
        assert np.array_equal(later, np.array(other))
    _kept(tmp_path)
    with open_store(tmp_path) as book:
        keep_plan(book.plans, demo_house(), tomorrow)
        found = rows_in_force(book.plans, demo_house(), now_s)
    assert found is not None
    assert np.array_equal(found, np.array(ROWS))


def test_a_plan_for_another_house_does_not_count(tmp_path: Path) -> None:
    _kept(tmp_path)
    other = replace(demo_house(), habit=replace(demo_house().habit, fire_start=1.0))
    assert plan_before(open_store(tmp_path).plans, other, local_s("2015-03-14 05:00")) is None


@pytest.mark.parametrize("content", ["", "[]", "{}", '{"begin_s": 1}', "\x00"])
def test_what_cannot_be_read_is_passed_over(tmp_path: Path, content: str) -> None:
    _kept(tmp_path)
    begin_s = local_s(EVENING) + 60
    raw = sqlite3.connect(tmp_path / LOGBOOK_FILE)
    with raw:
        raw.execute("INSERT INTO plans (begin_s, content) VALUES (?, ?)", (begin_s, content))
    raw.close()
    found = plan_before(open_store(tmp_path).plans, demo_house(), local_s("2015-03-14 05:00"))
    assert found is not None


def test_the_same_one_is_kept_once(tmp_path: Path) -> None:
    _kept(tmp_path)
    _kept(tmp_path)
    assert len(list(open_store(tmp_path).plans.newest_first(0, 4e9))) == 1


def test_a_kept_plan_is_read_back_whole(tmp_path: Path) -> None:
    _kept(tmp_path)
    with open_store(tmp_path) as book:
        assert kept_report(book.plans, local_s(EVENING) + 60) == _report(local_s(EVENING))
        assert kept_report(book.plans, local_s(EVENING) - 60) is None
