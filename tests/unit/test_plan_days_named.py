"""After midnight a day's list names the day; few words of a fire keep what it hangs on."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from planning_cases import GALLON_M3
from sugarwright.cli.plan_message import message
from sugarwright.cli.plan_missed_text import missed_lines
from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.missed import Missed
from sugarwright.planning.report import PlanReport
from sugarwright.saying.plan_folding import MOST_SHOWN
from told_cases import day_of, report_of, said, utc_s

LIT_S = utc_s("2026-03-19 21:00")  # 17:00 in New York, a Thursday
OUT_S = utc_s("2026-03-20 04:30")  # 00:30 on Friday
FIRE = Action("light the fire", LIT_S, Trigger("stock", 50 * GALLON_M3), expected_s=LIT_S)
OUT = Action("let the fire go", OUT_S, reserve_m3=15 * GALLON_M3, leave_s=OUT_S + 3600)
RINSE = Action("rinse the membrane", OUT_S + 600, rinse_m3=0.08, stopped_s=LIT_S)
KEEP = Action(
    "keep the fire",
    utc_s("2026-03-20 03:00"),  # 23:00
    expected_s=utc_s("2026-03-20 03:00"),
    only_if_stay_s=OUT_S,
    else_stay_s=utc_s("2026-03-20 04:00"),
)


def _report(*actions: Action) -> PlanReport:
    return report_of(day_of("2026-03-19 12:00", "2026-03-20 04:00", *actions))


def test_an_action_after_midnight_names_its_day() -> None:
    text = said(_report(FIRE, OUT, RINSE))
    assert " 1 17:00 light the fire" in text
    assert " 2 Fri 00:30 last wood" in text
    assert " 3 Fri 00:40 rinse the membrane" in text
    assert "Fri 00:40 rinse the membrane" in message(_report(FIRE, OUT, RINSE))
    assert "Thu" not in message(_report(FIRE, OUT, RINSE)).replace("Thursday", "")


def test_so_does_a_last_wood_that_stands_in_its_fire_s_entry() -> None:
    many = [replace(RINSE, time_s=LIT_S + 60 * n) for n in range(MOST_SHOWN)]
    assert "Fri 00:30 (2) last wood" in said(_report(FIRE, OUT, *many))


@pytest.mark.parametrize("stays", [True, False])
def test_the_next_thing_says_whom_a_fire_hangs_on(stays: bool) -> None:
    keep = KEEP if stays else replace(KEEP, only_if_stay_s=None, else_stay_s=None)
    plan = replace(_report(keep), next_s=((keep.time_s, keep.kind),))
    missed = Missed("wash the membrane", LIT_S, LIT_S - 7200, OUT_S, 9.0, 1.0, plan)
    text = " ".join(" ".join(missed_lines(missed)).split())
    assert ("next thing is 23:00 keep the fire, only if you can stay" in text) == stays


def test_a_later_day_s_line_says_it_too() -> None:
    today = day_of("2026-03-18 12:00", "2026-03-19 04:00", replace(FIRE, time_s=LIT_S - 86400))
    tomorrow = day_of("2026-03-19 04:00", "2026-03-20 04:00", KEEP)
    assert "23:00 keep the fire, only if you can stay" in said(report_of(today, tomorrow))


def test_the_last_of_the_later_days_says_that_they_are_planned_anew() -> None:
    begins = ("2026-03-18", "2026-03-19", "2026-03-20", "2026-03-21")
    first, *later = (
        day_of(f"{begin} 04:00", f"{end} 04:00", replace(FIRE, time_s=utc_s(f"{begin} 21:00")))
        for begin, end in pairwise(begins)
    )
    assert "thu 17:00 light the fire (planned anew)" in said(report_of(first, later[0]))
    both = said(report_of(first, *later))
    assert "thu 17:00 light the fire fri 17:00 light the fire (all planned anew)" in both
    assert "planned anew" not in said(report_of(first))
