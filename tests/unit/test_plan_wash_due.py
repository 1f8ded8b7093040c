"""A wash that is due and lacks its permeate: when it is told, and what is said of it."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from planning_cases import GALLON_M3, demo_plant, gallons, local_s, usual_levels
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action
from sugarwright.planning.beginning import WashDue
from sugarwright.planning.wash_due import wash_due
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.simulate import Drive, simulate
from sugarwright.plant.state import start_state
from told_cases import day_of, report_of, said, utc_s

BEGIN_S = local_s("2015-03-16 17:00")  # a Monday: people till 22:00, and on Tuesday from 05:30
RUN_S = 14 * 3600.0
DAY = day_of("2015-03-16 21:00", "2015-03-17 04:00")


def _planned(**levels: Any) -> Any:
    """A membrane that runs from 17:00 on, in steady air."""
    plant = demo_plant()
    steps, hours = 31 * 3600 // int(plant.step_s), 31
    calendar = make_calendar(plant.house, BEGIN_S, steps, plant.step_s)
    sap = np.zeros((1, hours, len(plant.points), 2))
    drive = Drive(BEGIN_S, calendar, np.full((1, hours), 3.0), sap)
    row = np.zeros(at.PLAN_WIDTH)
    row[[at.MEMBRANE_START, at.WASH_AT, at.FIRE_START]] = -1.0
    row[[at.MEMBRANE_START, at.MEMBRANE_FLOW_M3_S, at.MEMBRANE_STOP]] = 1020.0, 2e-5, 1440.0
    told = {"sap": gallons(400.0), "permeate": gallons(0.0, 0.0), "run_since_wash_s": RUN_S}
    state = start_state(plant, usual_levels(**{**told, **levels}))
    rows = np.tile(row, (2, 1))
    trace = simulate(plant, drive, rows, state)
    return SimpleNamespace(
        plant=plant, state=state, trace=trace, weathers=SimpleNamespace(forecast=drive)
    )


def test_a_wash_that_lacks_permeate_is_told_with_when_it_can_be() -> None:
    planned = _planned()
    p = planned.plant.p
    due = wash_due(planned, [DAY])
    assert due is not None
    assert (due.run_s, due.has_m3, due.planned_s) == (RUN_S, 0.0, None)
    assert due.takes_m3 == pytest.approx(p[at.WASH_M3])
    assert due.possible_s is not None
    step = (due.possible_s - BEGIN_S) // int(planned.plant.step_s)
    held_m3 = planned.trace.column(at.T_PERMEATE_M3) - p[at.PERMEATE_DEAD_M3]
    assert held_m3[step - 1] >= p[at.WASH_M3] > held_m3[0]
    row = planned.weathers.forecast.calendar[step]
    assert row[at.PEOPLE] > 0.0
    assert row[at.STAY_S] >= p[at.WASH_DURATION_S]


@pytest.mark.parametrize(
    "levels", [{"permeate": gallons(100.0, 0.0)}, {"run_since_wash_s": 3600.0}]
)
def test_nothing_is_told_with_permeate_or_before_it_is_due(levels: dict[str, Any]) -> None:
    assert wash_due(_planned(**levels), [DAY]) is None


def test_a_wash_of_the_first_day_says_it_itself_and_a_later_one_is_named() -> None:
    wash = Action("wash the membrane", BEGIN_S + 4 * 3600, expected_s=BEGIN_S + 4 * 3600)
    today, idle = replace(DAY, actions=(wash,)), replace(DAY, actions=())
    assert wash_due(_planned(), [today]) is None
    later = wash_due(_planned(), [idle, today])
    assert later is not None
    assert later.planned_s == wash.expected_s
    waits = replace(wash, expected_s=None)  # told, but not expected
    assert wash_due(_planned(), [replace(DAY, actions=(waits,))]) is not None


@pytest.mark.parametrize(
    ("possible", "planned", "told"),
    [
        ("2026-03-20 09:30", "2026-03-20 21:00", "this plan washes it Friday 17:00"),
        ("2026-03-20 09:30", None, "by the forecast it can be washed from Friday 05:30 on"),
        (None, None, "by the forecast there won't be enough in these hours"),
    ],
)
def test_it_is_said_in_text_and_message(
    possible: str | None, planned: str | None, told: str
) -> None:
    due = WashDue(
        RUN_S, 60 * GALLON_M3, 0.0,
        None if possible is None else utc_s(possible), None if planned is None else utc_s(planned),
    )  # fmt: skip
    report = report_of(day_of("2026-03-19 21:00", "2026-03-20 04:00"), wash_due=due)
    text = said(report)
    assert "the membrane has run 14 h since its last wash and needs one now" in text
    assert "That takes 60 gal of permeate, and there is none" in text
    assert told in text
    assert "Wash due, permeate short." in message(report)
    some = replace(report, wash_due=replace(due, has_m3=20 * GALLON_M3))
    assert "and there is only 20 gal" in said(some)
