"""Later runs of a day: which have a line of their own, and what comes after their rinse."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from membrane_cases import (
    LEVELS,
    MIDNIGHT_S,
    clock_h,
    membrane_plant,
    nothing,
    rows_of,
    scene_of,
)
from planning_cases import GALLON_M3, gallons
from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.actions import actions_of
from sugarwright.planning.membrane_hands import hands_of, rinsed_first
from sugarwright.planning.membrane_later import MOST_STARTS, Span, worth_a_line
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Drive
from sugarwright.plant.state import Levels
from told_cases import day_of, report_of, said

HOUR_S = 3600
FIVE = 1020.0  # minutes: people from then to 22:00


def _runs(
    levels: Levels, change: Callable[[Drive], None] = nothing, **changes: float
) -> list[Action]:
    rows = rows_of(MEMBRANE_START=FIVE, **changes)
    found = actions_of(scene_of(membrane_plant(), rows, levels, change, begin_min=int(FIVE)))
    return [each for each in found if each.kind.startswith("membrane")]


def test_a_run_after_the_wash_is_told_with_its_stop_as_people_leave() -> None:
    """Nobody goes away in between, and still somebody must start it, stop it and rinse it."""
    levels = replace(LEVELS, run_since_wash_s=36000.0)
    first, again = _runs(levels, WASH_AT=1080.0, MEMBRANE_FLOW_M3_S=1e-5)
    assert (first.ends, again.kind, again.ends) == ("time", "membrane on again", "people leave")
    assert 18.5 < clock_h(again) < 20.0
    (stop,) = hands_of(again)
    assert stop.what == "stop"
    assert 21.0 < (stop.time_s - MIDNIGHT_S) / HOUR_S < 22.0
    assert again.rinse_m3


def _down(minutes: float) -> Callable[[Drive], None]:
    """Out of order from 18:00 on, for so long."""

    def change(drive: Drive) -> None:
        minute = drive.calendar[:, at.MINUTE]
        drive.calendar[(minute >= 1080.0) & (minute < 1080.0 + minutes), at.MEMBRANE_OK_S] = 0.0

    return change


@pytest.mark.parametrize(("minutes", "told"), [(30.0, False), (60.0, True)])
def test_a_run_that_a_tank_ends_has_a_line_after_a_pause_of_an_hour(
    minutes: float, told: bool
) -> None:
    little = replace(LEVELS, sap=gallons(90, 2.0))
    first, *later = _runs(little, _down(minutes))
    assert first.ends == "out of order"
    assert [each.ends for each in later] == ["sap tank down"] * told


def test_a_stop_by_hand_is_told_however_often_the_tank_has_refilled() -> None:
    scene = scene_of(membrane_plant(), rows_of(), begin_min=int(FIVE))
    hour = int(HOUR_S / scene.trace.step_s)
    spans = [Span(k * hour + 1, (k + 1) * hour + 1, (k + 1) * hour + 2) for k in range(4)]
    alone = Action("membrane on again", 0, expected_s=0, until_s=600, ends="sap tank down")
    runs = [replace(alone, time_s=scene.time_s(each.begin)) for each in spans]
    assert worth_a_line(scene, spans, runs) == runs[: MOST_STARTS - 1]
    runs[-1] = replace(runs[-1], ends="people leave", rinse_m3=0.076)
    assert hour > 1
    assert worth_a_line(scene, spans, runs) == [runs[0], runs[-1]]
    runs[-2] = replace(runs[-2], ends="circuit", rinse_m3=0.076)
    runs[-3] = replace(runs[-3], ends="hour", rinse_m3=0.076)
    assert worth_a_line(scene, spans, runs) == runs[-3:]


@pytest.mark.parametrize(
    ("ends", "has_m3", "wanted"),
    [
        (
            "sap tank down",
            None,
            "till it stops itself about 20:00, the sap tank down; rinse it then 2",
        ),
        ("people leave", None, "till about 20:00; stop it before you leave; rinse it then 2"),
        (
            "people leave",
            0.01,
            "its rinse takes 20 gal of permeate, and there will be only about 3",
        ),
    ],
)
def test_a_later_run_says_no_more_than_the_first_one_left_open(
    ends: str, has_m3: float | None, wanted: str
) -> None:
    """A sheet has 66 lines; setting, gauge, end and rinse are what is to be done."""
    begin_s = MIDNIGHT_S + 18 * HOUR_S
    run = Action(
        "membrane on again", begin_s, Trigger("sap", 65 * GALLON_M3), flow_m3_s=1e-5,
        expected_s=begin_s,
        until_s=begin_s + 2 * HOUR_S, ends=ends, rinse_m3=0.0757, rinse_has_m3=has_m3,
        stops_itself=ends == "sap tank down",
        concentrate_brix=5.0, permeate_m3_s=1e-5, caution="membrane",
    )  # fmt: skip
    end = Action("let the fire go", begin_s + 3 * HOUR_S, reserve_m3=0.06, caution="burn-down")
    text = said(report_of(day_of("2015-03-16 04:00", "2015-03-17 04:00", run, end)))
    assert "1 18:00 membrane on again at 0.16 gal/min, when the sap tank has 65 gal till" in text
    assert wanted in text


def _later_start_h(runs_h: int | None) -> tuple[float, bool] | None:
    """Hour of a day's second run, sap coming from an hour on, and whether it is on arrival."""

    def change(drive: Drive) -> None:
        if runs_h is not None:
            drive.sap_kg_s[:, runs_h : runs_h + 4, 0, 0] = 60 * GALLON_M3 * 1000.0 / HOUR_S

    gauge_m3 = 150 * GALLON_M3
    rows = rows_of(MEMBRANE_START=330.0, MEMBRANE_SAP_M3=gauge_m3)
    scene = scene_of(membrane_plant(), rows, replace(LEVELS, sap=gallons(200, 2.0)), change)
    again = [each for each in actions_of(scene) if each.kind == "membrane on again"]
    return (clock_h(again[0]), again[0].on_arrival) if again else None


def test_a_later_run_whose_tank_has_too_little_waits_for_it() -> None:
    """People come in at 17:00; what is said of that hour is what the plan's run does."""
    assert _later_start_h(14) == (17.0, True)
    later = _later_start_h(18)
    assert later is not None
    assert 18.0 < later[0] < 20.0
    assert not later[1]
    assert _later_start_h(None) is None
    run = Action(
        "membrane on again", MIDNIGHT_S + 17 * HOUR_S, Trigger("sap", 150 * GALLON_M3),
        flow_m3_s=1e-5, expected_s=MIDNIGHT_S + 17 * HOUR_S, on_arrival=True, caution="membrane",
    )  # fmt: skip
    day = day_of("2015-03-16 04:00", "2015-03-17 04:00", run)
    text = said(report_of(day))
    assert "first thing when you come in, if the sap tank has 150 gal; else wait for it" in text
    text = said(report_of(replace(day, actions=(replace(run, on_arrival=False),))))
    assert "when the sap tank has 150 gal" in text
    assert "else wait" not in text


# --- draining in the minutes of the rinse ---------------------------------------------------------


@pytest.mark.parametrize(
    ("ends", "stops_min", "has_m3", "after"),
    [
        ("people leave", 0, None, True),
        ("people leave", 10, None, True),
        ("people leave", -10, None, False),
        ("people leave", 40, None, False),
        ("people leave", 0, 0.01, False),  # no permeate for it
        ("sap tank down", 0, None, False),
        ("stock tank full", 0, None, True),  # no cut-out for it: somebody stops it
    ],
)
def test_draining_comes_after_the_rinse_that_falls_into_it(
    ends: str, stops_min: int, has_m3: float | None, after: bool
) -> None:
    drain_s = MIDNIGHT_S + 21 * HOUR_S
    drain = Action(
        "drain before the frost", drain_s, expected_s=drain_s + HOUR_S, duration_s=1200.0,
        drains=("pump", "membrane"), caution="frost",
    )  # fmt: skip
    run = Action(
        "membrane on again", drain_s - HOUR_S, expected_s=drain_s - HOUR_S, flow_m3_s=1e-5,
        until_s=drain_s + 60 * stops_min, ends=ends, rinse_m3=0.076, rinse_has_m3=has_m3,
        stops_itself=ends == "sap tank down", caution="membrane",
    )  # fmt: skip
    actions = rinsed_first([run, drain])
    assert actions[0] == run
    assert actions[1] == replace(drain, after_rinse=after)
    text = said(report_of(day_of("2015-03-16 04:00", "2015-03-17 04:00", *actions)))
    wanted = ", once the membrane is rinsed" if after else ""
    assert f"21:00 drain pump and membrane (20 min{wanted}): frost by 22:00" in text
    hasty = replace(drain, ends="short stay")
    assert rinsed_first([run, hasty]) == [run, hasty]  # it is done first of all
