"""Runs that no hour of a plan asks for, but a full tank that the forecast brings."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from icalendar import Calendar

from membrane_cases import LEVELS, MIDNIGHT_S, clock_h, membrane_plant, rows_of, scene_of
from planning_cases import GALLON_M3
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action, Reason
from sugarwright.planning.actions import actions_of
from sugarwright.planning.membrane_hands import Hand, hands_of
from sugarwright.planning.planned import asked_by
from sugarwright.planning.today import _is_worth_saying
from sugarwright.plant import layout as at
from sugarwright.saying.plan_calendar import calendar_file
from told_cases import day_of, report_of, said

CALL_M3 = 250 * GALLON_M3  # the tank of these days holds 300


def _runs(unattended: bool = False, **changes: float) -> list[Action]:
    rows = rows_of(MEMBRANE_CALL_M3=CALL_M3, MEMBRANE_FLOW_M3_S=1e-5, **changes)
    plant = membrane_plant(unattended=unattended, frost_cutout=unattended)
    return [each for each in actions_of(scene_of(plant, rows)) if "membrane" in each.kind]


def test_a_run_that_the_forecast_brings_is_told_with_each_hour_that_needs_a_hand() -> None:
    morning, evening = _runs()
    assert [each.kind for each in (morning, evening)] == ["membrane on", "membrane on again"]
    assert (morning.by_call, clock_h(morning), clock_h(evening)) == (True, 5.5, 17.0)
    assert morning.trigger is not None
    assert (morning.trigger.tank, morning.trigger.at_least_m3) == ("sap", CALL_M3)
    for run, leaves_h in ((morning, 7.5), (evening, 22.0)):
        assert run.ends == "people leave"
        assert run.rinse_m3
        (stop,) = hands_of(run)
        assert stop == Hand("stop", run.until_s or 0)
        assert leaves_h - 0.5 < (stop.time_s - MIDNIGHT_S) / 3600.0 < leaves_h


def test_a_run_that_a_full_tank_calls_for_says_how_it_is_left_alone() -> None:
    run = _runs(unattended=True, NIGHT_FLOW_M3_S=1.2e-5)[0]
    assert (run.by_call, run.night_flow_m3_s) == (True, 1.2e-5)
    assert (run.left_alone_s[0] - MIDNIGHT_S) / 3600.0 == 7.5
    assert Hand("set", run.left_alone_s[0]) in hands_of(run)


def test_what_the_forecast_does_not_bring_stays_at_need() -> None:
    scene = scene_of(membrane_plant(), rows_of(MEMBRANE_CALL_M3=420 * GALLON_M3))
    assert not (scene.trace.column(at.T_MEMBRANE_ON)[: scene.last] > 0.0).any()
    (need,) = actions_of(scene)
    assert (need.kind, need.expected_s, need.until_s) == ("membrane at need", None, None)


def test_its_reason_is_that_of_the_call() -> None:
    run = _runs()[0]
    assert asked_by(run) == at.MEMBRANE_CALL_M3
    assert asked_by(replace(run, by_call=False)) == at.MEMBRANE_START
    assert asked_by(replace(run, kind="light the fire")) == at.FIRE_CALL_M3
    assert asked_by(replace(run, kind="membrane on again")) is None
    assert _is_worth_saying(replace(run, reason=Reason(0.0, 0.0, 0.0, 0.0)))


def _report(*actions: Action) -> Any:
    return report_of(day_of("2015-03-16 04:00", "2015-03-17 04:00", *actions))


@pytest.mark.parametrize("on_arrival", [True, False])
def test_it_is_told_and_rung_as_a_run_is(on_arrival: bool) -> None:
    report = _report(*(replace(each, on_arrival=on_arrival) for each in _runs()))
    text = said(report)
    gauge = "at once when the sap tank has 250 gal, at whatever hour"
    if on_arrival:
        gauge = (
            "first thing when you come in, if the sap tank has 250 gal; else at once when it has, "
            "at whatever hour"
        )
    assert f"1 05:30 membrane on, concentrate at 0.16 gal/min, {gauge}" in text
    assert "stop it before you leave; rinse it then with 20 gal of permeate" in text
    assert "17:00 membrane on again at 0.16 gal/min, " in text
    assert "till about 21:40; stop it before you leave; rinse it then " in text
    assert "not planned" not in text
    short = message(report)
    assert "05:30 membrane on 0.16 gal/min if sap 250 gal, till 07:" in short
    assert "Only" not in short
    read: Any = Calendar.from_ical(calendar_file(report) or b"")
    assert [str(event["summary"]) for event in read.walk("VEVENT")] == [
        "Membrane on once the sap tank has 250 gal", "Stop the membrane, then rinse it",
        "Membrane on again", "Stop the membrane, then rinse it",
    ]  # fmt: skip


def test_the_hour_told_is_that_at_which_the_tank_calls_and_nothing_holds_it_up() -> None:
    scene = scene_of(membrane_plant(), rows_of(MEMBRANE_CALL_M3=CALL_M3), begin_min=1020)
    (run,) = actions_of(scene)
    on = int(np.flatnonzero(scene.trace.column(at.T_MEMBRANE_ON) > 0.0)[0])
    assert run.time_s == run.expected_s == scene.time_s(on)
    assert run.waits == ()
    assert LEVELS.sap.volume_m3 > CALL_M3
