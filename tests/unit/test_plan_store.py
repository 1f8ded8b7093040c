"""Plans kept as issued: yesterday's is found again, for today; a damaged one is passed over."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from planning_cases import demo_house, local_s
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.store import open_store
from sugarwright.planning.plan_store import keep_plan, plan_before
from sugarwright.planning.report import PlanReport
from sugarwright.plant import layout as at

ROWS = tuple(tuple(float(10 * day + place) for place in range(at.PLAN_WIDTH)) for day in range(4))
EVENING = "2015-03-13 21:00"


def _kept(folder: Path, when: str = EVENING) -> None:
    report = PlanReport.__new__(PlanReport)
    way = type("Way", (), {"money": type("Money", (), {"net": 1.0})})
    for name, value in (
        ("begin_s", local_s(when)),
        ("whose", "search"),
        ("rows", ROWS),
        ("end_s", local_s(when) + 72 * 3600),
        ("days", ()),
        ("plan", way),
    ):
        object.__setattr__(report, name, value)
    with open_store(folder) as book:
        keep_plan(book.plans, demo_house(), report)


@pytest.mark.parametrize(
    ("now", "days_gone"),
    [("2015-03-13 23:00", 0), ("2015-03-14 05:00", 1), ("2015-03-15 06:00", 2)],
)
def test_a_plan_is_found_again_from_today_on(tmp_path: Path, now: str, days_gone: int) -> None:
    _kept(tmp_path)
    found = plan_before(open_store(tmp_path).plans, demo_house(), local_s(now))
    assert found is not None
    assert np.array_equal(found, np.array(ROWS[days_gone:]))


@pytest.mark.parametrize("now", ["2015-03-13 20:00", EVENING, "2015-03-15 22:00"])
def test_neither_a_later_plan_nor_this_one_nor_an_old_one_counts(tmp_path: Path, now: str) -> None:
    _kept(tmp_path)
    assert plan_before(open_store(tmp_path).plans, demo_house(), local_s(now)) is None


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
