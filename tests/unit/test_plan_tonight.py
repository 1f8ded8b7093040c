"""A plan for tomorrow, made tonight: what of today it still asks for, alike wherever it is told."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from icalendar import Calendar

from membrane_cases import LEVELS, membrane_plant, rows_of, scene_of
from planning_cases import GALLON_M3, demo_plant, forecast_from, local_s, quick, usual_levels
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action, Reason, Trigger
from sugarwright.planning.morning import today_by, tonight, worth_rigging
from sugarwright.planning.report import Morning, PlanReport
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.saying.plan_calendar import calendar_file
from sugarwright.weather.hours import HourlyWeather
from told_cases import NOTHING, day_of, report_of, said, utc_s

NINE_S = utc_s("2026-03-20 01:30")  # 21:30 of Thursday in New York
WORTH = Reason(9.0, 0.0, 0.0, 0.0)
RUN = Action(
    "membrane on",
    NINE_S,
    Trigger("sap", 150 * GALLON_M3),
    flow_m3_s=1e-5,
    expected_s=NINE_S,
    reason=WORTH,
    caution="membrane",
)
WASH = Action(
    "wash the membrane",
    NINE_S + 600,
    Trigger("permeate", 60 * GALLON_M3),
    expected_s=NINE_S + 600,
    after_run_s=10800.0,
    reason=WORTH,
    caution="wash",
)
DRAIN = Action("drain before the frost", NINE_S + 600, expected_s=NINE_S + 1800, caution="frost")
FIRE = Action("light the fire", utc_s("2026-03-20 21:00"), Trigger("stock", 0.1), caution="fire")


@pytest.mark.parametrize(
    "action",
    [
        replace(RUN, expected_s=None),
        replace(WASH, expected_s=None),
        replace(RUN, kind="membrane at need", expected_s=None),
        replace(RUN, reason=replace(WORTH, money=0.5)),
        replace(WASH, reason=replace(WORTH, money=-3.0)),
    ],
)
def test_what_tonight_does_not_bring_or_is_worth_nothing_is_not_asked_for(action: Action) -> None:
    assert tonight([RUN, action, DRAIN]) == (RUN, DRAIN)


def test_a_fire_is_never_left_out_of_tonight_for_its_worth() -> None:
    lit = replace(FIRE, expected_s=FIRE.time_s, reason=replace(WORTH, money=-5.0))
    assert tonight([lit]) == (lit,)


def _report(**changes: Any) -> PlanReport:
    tomorrow = Morning(utc_s("2026-03-20 09:30"), "before", *[NOTHING] * 5)
    return report_of(
        day_of("2026-03-20 01:30", "2026-03-20 04:00", DRAIN),
        day_of("2026-03-20 04:00", "2026-03-21 04:00", FIRE),
        **{"morning": tomorrow, **changes},
    )


def test_what_remains_of_tonight_has_rows_of_its_own() -> None:
    text = said(_report())
    assert "Tonight: 21:40 drain pump, line and whatever else holds water" in text
    assert "Friday: 1 17:00 light the fire" in text
    assert "What is left in a line or a pump bursts it" in text
    assert message(_report()).startswith(
        "Tonight: 21:40 drain pump and lines: frost. Friday: 17:00"
    )
    rings: Any = Calendar.from_ical(calendar_file(_report()) or b"")
    assert len(rings.walk("VEVENT")) == 2


def test_where_nothing_remains_of_tonight_nothing_is_said_of_it() -> None:
    whole = _report()
    report = replace(whole, days=(replace(whole.days[0], actions=()), whole.days[1]))
    assert "Tonight" not in said(report)
    assert message(report).startswith("Friday: 17:00 light the fire")


def test_next_goes_from_tonight_to_tomorrow_and_names_the_day() -> None:
    due = ((DRAIN.time_s, DRAIN.kind), (FIRE.time_s, FIRE.kind))
    text = said(_report(next_s=due))
    assert " next 21:40 drain before the frost; Friday 17:00 light the fire" in text
    assert " next " not in said(_report())


def test_a_plan_for_tomorrow_made_by_day_leaves_the_message_to_tomorrow() -> None:
    whole, noon = _report(), utc_s("2026-03-19 16:00")
    report = replace(whole, begin_s=noon)
    assert "Still today: 21:40 drain pump" in said(report)
    assert message(report).startswith("Friday: 17:00 light the fire")


# --- what is not worth rigging -------------------------------------------------------------------

EVENING_MIN = 1140  # 19:00; people are there until 22:00


@pytest.mark.parametrize(
    ("start_min", "changes", "left_out"),
    [
        (1290.0, {}, True),  # ten minutes until somebody stops and rinses it, and leaves
        (1200.0, {}, False),
        (-1.0, {"MEMBRANE_CALL_M3": 250 * GALLON_M3}, False),
    ],
)
def test_a_run_shorter_than_its_own_rigging_is_left_out_of_tonight(
    start_min: float, changes: dict[str, float], left_out: bool
) -> None:
    rows = rows_of(1, MEMBRANE_START=start_min, **changes)
    scene = scene_of(membrane_plant(), np.repeat(rows, 2, axis=0), begin_min=EVENING_MIN)
    on_s = (scene.trace.column(at.T_MEMBRANE_ON)[: scene.last] > 0.0).sum() * scene.trace.step_s
    assert 0.0 < on_s < 1800.0 if left_out else on_s > 1800.0
    assert scene.state is not None
    settled = today_by(rows[0])
    found = worth_rigging(scene.plant, scene.drive, scene.state, settled)
    assert (found is settled) is not left_out
    row = found.force(rows_of(2)[np.newaxis])[0, 0]
    expected = rows[0].copy()
    if left_out:
        expected[at.MEMBRANE_START], expected[at.MEMBRANE_CALL_M3] = -1.0, 0.0
    np.testing.assert_array_equal(row, expected)


def test_a_membrane_that_runs_goes_on_however_short_that_is() -> None:
    rows = rows_of(MEMBRANE_START=1290.0)
    runs = replace(LEVELS, membrane_on=True)
    scene = scene_of(membrane_plant(), rows, runs, begin_min=EVENING_MIN)
    assert scene.state is not None
    settled = today_by(rows[0])
    assert worth_rigging(scene.plant, scene.drive, scene.state, settled) is settled


def test_what_is_not_rigged_tonight_is_not_in_the_tanks_tomorrow(
    whately_2015: HourlyWeather,
) -> None:
    now_s = local_s("2015-03-16 21:00")
    known = forecast_from(whately_2015, now_s, 36)
    levels = usual_levels(sap=LEVELS.sap)
    rows = rows_of(1, MEMBRANE_START=1290.0), rows_of(1)
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        short, none = (
            plan_with_grounds(
                demo_plant(), known, levels, now_s, 36, 1,
                settled=today_by(row[0]), carried_out="before", brief=True,
            )[0]
            for row in rows
        )  # fmt: skip
    assert short.morning == none.morning
    assert "membrane on" not in [each.kind for each in short.tonight]
