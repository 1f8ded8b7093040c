"""What a plan says of the membrane: when it can begin, how it stops, its rinse and its second pass.

Days of steady air and sap in the demo's invented house; rows are made up, the simulator runs them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from membrane_cases import (
    LEVELS,
    MIDNIGHT_S,
    clock_h,
    membrane_plant,
    nothing,
    rows_of,
    scene_of,
    told_of,
)
from planning_cases import GALLON_M3, forecast_from, gallons, local_s, quick
from sugarwright.planning.action import Action, Trigger, Wait
from sugarwright.planning.actions import actions_of
from sugarwright.planning.membrane_waits import can_begin
from sugarwright.planning.today import plan_today
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Drive
from sugarwright.plant.state import Levels
from sugarwright.weather.hours import HourlyWeather


def test_what_holds_up_a_tank_that_calls_already_is_told() -> None:
    """Sap calls at 17:00, and the stock tank has no room until the fire has made some."""
    call_m3, fire_m3 = 205 * GALLON_M3, 50 * GALLON_M3
    rows = rows_of(MEMBRANE_CALL_M3=call_m3, FIRE_START=1020.0, FIRE_STOP=1440.0)
    rows[:, at.FIRE_STOCK_M3] = fire_m3
    full = replace(LEVELS, sap=gallons(220, 2.0), stock=gallons(133, 5.0), pan_brix=8.0)
    scene = scene_of(membrane_plant(unattended=True), rows, full, begin_min=1020)
    told = told_of(scene, "membrane on")
    assert [each.why for each in told.waits] == ["stock tank full"]
    assert told.waits[0].until_s == told.expected_s == told.time_s
    assert clock_h(told) > 17.0
    less = replace(full, sap=gallons(200, 2.0))  # it does not call, and nothing is held up
    assert not told_of(
        scene_of(membrane_plant(), rows, less, begin_min=1020), "membrane at need"
    ).waits


# --- the hour at which it can begin --------------------------------------------------------------


def _frost_till_ten(drive: Drive) -> None:
    drive.air_c[0, :10] = -3.0


def _frost_all_day(drive: Drive) -> None:
    drive.air_c[:] = -3.0


def _down_till_noon(drive: Drive) -> None:
    drive.calendar[drive.calendar[:, at.MINUTE] < 720.0, at.MEMBRANE_OK_S] = 0.0


@pytest.mark.parametrize(
    ("change", "why", "until_h"),
    [(_frost_till_ten, "frost", 10.0), (_down_till_noon, "out of order", 12.0)],
)
def test_a_start_stands_at_the_hour_at_which_it_can_be(
    change: Callable[[Drive], None], why: str, until_h: float
) -> None:
    plant = membrane_plant(place="outdoors")
    scene = scene_of(plant, rows_of(MEMBRANE_START=330.0), change=change)
    told = told_of(scene, "membrane on")
    assert clock_h(told) == 17.0  # nobody is there from 07:30 on
    assert told.on_arrival
    assert told.waits == (Wait(why, MIDNIGHT_S + int(until_h * 3600)),)
    assert told.expected_s == told.time_s
    free = told_of(scene_of(plant, rows_of(MEMBRANE_START=330.0)), "membrane on")
    assert clock_h(free) == 5.5
    assert free.waits == ()


def test_a_start_waits_for_room_in_the_stock_tank() -> None:
    full = replace(LEVELS, stock=gallons(130, 6.0), pan_brix=20.0)
    rows = rows_of(
        MEMBRANE_START=1020.0, FIRE_START=1020.0, FIRE_STOP=1260.0, FIRE_STOCK_M3=30 * GALLON_M3
    )
    scene = scene_of(membrane_plant(), rows, full)
    told = told_of(scene, "membrane on")
    assert told.time_s == told.expected_s
    assert 17.25 < clock_h(told) < 19.0
    assert told.waits == (Wait("stock tank full", told.time_s),)


def test_a_day_of_frost_is_told_as_one() -> None:
    plant = membrane_plant(place="outdoors")
    scene = scene_of(plant, rows_of(MEMBRANE_START=330.0), change=_frost_all_day)
    told = told_of(scene, "membrane on")
    assert clock_h(told) == 5.5
    assert told.expected_s is None
    assert told.waits == (Wait("frost", None),)


def test_what_a_full_tank_may_call_for_waits_for_the_thaw_as_well() -> None:
    rows = rows_of(MEMBRANE_CALL_M3=380 * GALLON_M3)
    scene = scene_of(membrane_plant(place="outdoors"), rows, change=_frost_till_ten)
    told = told_of(scene, "membrane at need")
    assert told.waits == (Wait("frost", MIDNIGHT_S + 10 * 3600),)
    assert told_of(scene_of(membrane_plant(), rows, change=_frost_till_ten), told.kind).waits == ()


def test_a_start_at_the_hour_of_the_wash_comes_after_it() -> None:
    rows = rows_of(MEMBRANE_START=1020.0, WASH_AT=1020.0)
    levels = replace(LEVELS, run_since_wash_s=36000.0)
    scene = scene_of(membrane_plant(), rows, levels)
    wash, on = (
        each for each in actions_of(scene) if each.kind in ("wash the membrane", "membrane on")
    )
    assert (wash.kind, clock_h(wash)) == ("wash the membrane", 17.0)
    assert on.time_s == on.expected_s
    assert clock_h(on) == pytest.approx(17.0 + scene.plant.p[at.WASH_DURATION_S] / 3600.0)
    assert on.waits == (Wait("wash", on.time_s),)


@pytest.mark.parametrize("unattended", [False, True])
@pytest.mark.parametrize("begin_h", [0.0, 6.0, 7.25, 12.0, 18.0, 21.9])
@pytest.mark.parametrize("change", [nothing, _frost_till_ten, _down_till_noon, _frost_all_day])
def test_it_can_begin_where_the_simulator_begins(
    change: Callable[[Drive], None], begin_h: float, unattended: bool
) -> None:
    plant = membrane_plant(place="outdoors", unattended=unattended, frost_cutout=True)
    rows = rows_of(MEMBRANE_START=60.0 * begin_h, WASH_AT=1080.0, NIGHT_FLOW_M3_S=2e-5 * unattended)
    scene = scene_of(plant, rows, replace(LEVELS, run_since_wash_s=36000.0), change)
    starts = np.flatnonzero(scene.trace.column(at.T_MEMBRANE_ON)[: scene.last] > 0.0)
    begin, _ = can_begin(scene, scene.at_hand(60.0 * begin_h))
    if len(starts):
        assert begin == starts[0]
    else:
        assert begin == scene.at_hand(60.0 * begin_h)


@pytest.mark.parametrize("begin_min", [960, 1020])  # an hour before the wash, and with it
def test_a_wash_has_the_permeate_that_stands_there_before_it_takes_of_it(begin_min: int) -> None:
    levels = replace(LEVELS, run_since_wash_s=36000.0)
    scene = scene_of(membrane_plant(), rows_of(WASH_AT=1020.0), levels, begin_min=begin_min)
    wash = told_of(scene, "wash the membrane")
    assert clock_h(wash) == 17.0
    assert wash.permeate_expected_m3 == pytest.approx(LEVELS.permeate.volume_m3)


def test_a_rinse_at_the_hour_of_the_wash_is_no_wash() -> None:
    rows = rows_of(MEMBRANE_START=1020.0, WASH_AT=1290.0)
    levels = replace(LEVELS, run_since_wash_s=36000.0)
    scene = scene_of(membrane_plant(), rows, levels)
    rinsed = scene.trace.column(at.T_CLEANING)[scene.at_minute(1290.0) : scene.last] > 0.0
    assert rinsed.any()  # somebody is there for a rinse at 21:40, too short for a wash
    assert told_of(scene, "wash the membrane").expected_s is None
    early = told_of(
        scene_of(membrane_plant(), rows_of(WASH_AT=1020.0), levels), "wash the membrane"
    )
    assert early.expected_s == early.time_s


# --- a full tank that calls ----------------------------------------------------------------------


def test_a_call_that_is_met_leaves_one_setting() -> None:
    rows = rows_of(MEMBRANE_START=1200.0, MEMBRANE_CALL_M3=255 * GALLON_M3, CALL_FLOW_M3_S=3e-5)
    rows[:, at.MEMBRANE_SAP_M3] = 150 * GALLON_M3
    full = replace(LEVELS, sap=gallons(337, 2.0))
    told = told_of(scene_of(membrane_plant(), rows, full, begin_min=1140), "membrane on")
    assert clock_h(told) == 19.0
    assert told.flow_m3_s == 3e-5
    assert (told.call_m3, told.call_flow_m3_s, told.own_hour) == (None, None, None)
    assert told.trigger == Trigger("sap", pytest.approx(150 * GALLON_M3))
    lower = replace(LEVELS, sap=gallons(200, 2.0))
    told = told_of(scene_of(membrane_plant(), rows, lower, begin_min=1140), "membrane on")
    assert clock_h(told) == 20.0
    assert (told.flow_m3_s, told.call_flow_m3_s) == (2e-5, 3e-5)


# --- what runs, and is to stop -------------------------------------------------------------------


def test_what_runs_and_nothing_goes_on_from_is_stopped_first() -> None:
    runs = replace(LEVELS, membrane_on=True)
    scene = scene_of(membrane_plant(), rows_of(), runs, begin_min=1080)
    first = actions_of(scene)[0]
    assert (first.kind, first.ends, first.caution) == (
        "stop the membrane", "not planned", "membrane",
    )  # fmt: skip
    assert clock_h(first) == 18.0
    assert first.rinse_m3 == pytest.approx(scene.plant.p[at.RINSE_M3])
    assert first.rinse_has_m3 is None
    planned = scene_of(membrane_plant(), rows_of(MEMBRANE_START=1080.0), runs, begin_min=1080)
    kinds = [each.kind for each in actions_of(planned)]
    assert "membrane runs on" in kinds
    assert "stop the membrane" not in kinds


def test_what_runs_on_without_a_row_has_its_stop_told() -> None:
    rows = rows_of(NIGHT_FLOW_M3_S=1.5e-5)
    rows[1, at.NIGHT_FLOW_M3_S] = 0.0
    little = Levels(gallons(60, 2.0), gallons(20, 6.0), gallons(150, 0.0), membrane_on=True)
    scene = scene_of(membrane_plant(unattended=True), rows, little, begin_min=1080)
    told = told_of(scene, "stop the membrane")
    ends = int(np.flatnonzero(scene.trace.column(at.T_MEMBRANE_ON) == 0.0)[0])
    assert 0 < ends < scene.last
    assert told.time_s == scene.time_s(ends)
    assert (told.ends, told.runs_at_m3_s, told.flow_m3_s) == ("sap tank down", 1.5e-5, None)


def test_what_is_left_running_alone_is_told_though_no_row_asks_for_it() -> None:
    """Nothing was told of it: neither that it may stay on, nor what its valve is set to."""
    rows = rows_of(NIGHT_FLOW_M3_S=1.2e-5, MEMBRANE_CALL_M3=420 * GALLON_M3)
    plant = membrane_plant(unattended=True, frost_cutout=True)
    runs = replace(LEVELS, membrane_on=True)
    scene = scene_of(plant, rows, runs, begin_min=1260)
    on = scene.trace.column(at.T_MEMBRANE_ON) > 0.0
    assert on[: scene.last].all()
    told = told_of(scene, "membrane runs on")
    assert clock_h(told) == 21.0
    assert (told.flow_m3_s, told.night_flow_m3_s) == (1.2e-5, 1.2e-5)
    assert [(each - MIDNIGHT_S) / 3600.0 for each in told.left_alone_s] == [22.0]
    assert told.until_s == scene.time_s(int(np.flatnonzero(~on)[0]))
    assert not {"stop the membrane", "membrane at need"} & {e.kind for e in actions_of(scene)}
    nobody = scene_of(plant, rows, runs, begin_min=1380)
    assert all(each.kind != "membrane runs on" for each in actions_of(nobody))


@pytest.mark.parametrize("cutout", [False, True])
def test_a_run_that_a_tank_ends_knows_whether_it_stops_itself(cutout: bool) -> None:
    plant = membrane_plant(low_flow_cutout=cutout, full_tank_cutout=not cutout)
    little = Levels(gallons(60, 2.0), gallons(20, 6.0), gallons(150, 0.0))
    told = told_of(scene_of(plant, rows_of(MEMBRANE_START=1020.0), little), "membrane on")
    assert (told.ends, told.stops_itself) == ("sap tank down", cutout)
    assert told.reserve_m3 == plant.p[at.LEAST_SAP_M3]
    full = Levels(gallons(400, 2.0), gallons(80, 6.0), gallons(50, 0.0))
    told = told_of(scene_of(plant, rows_of(MEMBRANE_START=1020.0), full), "membrane on")
    assert (told.ends, told.stops_itself, told.reserve_m3) == ("stock tank full", not cutout, None)


def test_what_stops_alone_is_rinsed_on_return() -> None:
    little = Levels(gallons(100, 2.0), gallons(20, 6.0), gallons(150, 0.0), membrane_on=True)
    scene = scene_of(
        membrane_plant(unattended=True), rows_of(NIGHT_FLOW_M3_S=1.5e-5), little, begin_min=480
    )
    told = told_of(scene, "rinse the membrane")
    stopped = int(np.flatnonzero(scene.trace.column(at.T_MEMBRANE_ON) == 0.0)[0])
    assert clock_h(told) == 17.0
    assert told.stopped_s == scene.time_s(stopped) < told.time_s
    assert all(each.kind != "stop the membrane" for each in actions_of(scene))


def test_a_rinse_without_permeate_is_told_as_lacking() -> None:
    dry = Levels(gallons(300, 2.0), gallons(20, 6.0), gallons(0, 0.0), membrane_on=True)
    scene = scene_of(membrane_plant(), rows_of(MEMBRANE_START=1260.0), dry, begin_min=1260)
    told = told_of(scene, "membrane runs on")
    made_m3 = scene.trace.column(at.T_PERMEATE_M3)[scene.last - 1]
    made_m3 -= scene.plant.p[at.PERMEATE_DEAD_M3]
    assert 0.0 < made_m3 < scene.plant.p[at.RINSE_M3]
    assert told.rinse_has_m3 == pytest.approx(made_m3)
    wet = replace(dry, permeate=gallons(60, 0.0))
    enough = told_of(
        scene_of(membrane_plant(), rows_of(MEMBRANE_START=1260.0), wet, begin_min=1260), told.kind
    )
    assert (enough.rinse_m3, enough.rinse_has_m3) == (told.rinse_m3, None)


def test_who_leaves_before_the_day_s_own_hour_goes_by_the_setting_of_the_day_before() -> None:
    rows = rows_of(MEMBRANE_START=360.0)
    rows[0, at.MEMBRANE_START], rows[1, at.NIGHT_FLOW_M3_S] = -1.0, 2e-5
    rows[1, at.MEMBRANE_START] = 480.0  # the call starts it sooner
    rows[:, at.MEMBRANE_CALL_M3] = 250 * GALLON_M3
    scene = scene_of(membrane_plant(unattended=True), rows, begin_min=1380, day=1)
    told = told_of(scene, "membrane on")
    assert told.until_s is not None
    end = (told.until_s - scene.drive.begin_s) // int(scene.plant.step_s)
    assert scene.trace.column(at.T_SAP_M3)[end] > 150 * GALLON_M3  # by far not down
    assert told.ends == "people leave"


def test_what_falls_on_one_time_is_next_in_the_day_s_order(whately_2015: HourlyWeather) -> None:
    now_s = local_s("2015-03-16 18:00")  # nothing to run the membrane for, and a pan to light
    levels = Levels(
        gallons(5, 2.0), gallons(120, 8.0), gallons(150, 0.0), pan_brix=20.0, membrane_on=True
    )
    known = forecast_from(whately_2015, now_s, 24)
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        report = plan_today(membrane_plant(), known, levels, now_s, 24)
    day = report.days[0].actions
    assert [kind for _, kind in report.next_s][: len(day)] == [each.kind for each in day][:3]
    assert [each.kind for each in day[:2]] == ["stop the membrane", "light the fire"]
    assert day[0].time_s == day[1].time_s


@pytest.mark.parametrize(("start_min", "left_h"), [(360.0, 7.5), (1020.0, 22.0)])
def test_a_run_that_goes_on_alone_has_the_hour_at_which_it_is_left(
    start_min: float, left_h: float
) -> None:
    rows = rows_of(MEMBRANE_START=start_min, NIGHT_FLOW_M3_S=1.2e-5)
    full = replace(LEVELS, sap=gallons(420, 2.0))
    scene = scene_of(membrane_plant(unattended=True, frost_cutout=True), rows, full)
    told = told_of(scene, "membrane on")
    assert [(each - MIDNIGHT_S) / 3600.0 for each in told.left_alone_s] == [left_h]
    stops = told_of(
        scene_of(membrane_plant(), rows_of(MEMBRANE_START=start_min), full), "membrane on"
    )
    assert stops.ends == "people leave"
    assert stops.left_alone_s == ()


# --- stock that passes again ---------------------------------------------------------------------


def _again(levels: Levels, **changes: float) -> Action:
    plant = membrane_plant(passes_again=True)
    rows = rows_of(MEMBRANE_START=1020.0, PASS_AGAIN_BRIX=12.0, **changes)
    return told_of(scene_of(plant, rows, levels, begin_min=1020), "membrane on")


def test_a_second_pass_says_which_tank_it_waits_for() -> None:
    full = Levels(gallons(350, 2.0), gallons(120, 6.0), gallons(20, 0.0))
    assert _again(full).again_when == "stock tank full"
    down = Levels(gallons(50, 2.0), gallons(90, 6.0), gallons(20, 0.0))
    assert _again(down).again_when == "sap tank down"


def test_stock_that_passes_again_waits_for_the_wash_and_for_no_room_in_its_tank() -> None:
    """The wash at that hour comes first; a tank that is drawn from and returned to may be full."""
    plant = membrane_plant(passes_again=True)
    rows = rows_of(MEMBRANE_START=1020.0, PASS_AGAIN_BRIX=9.0, WASH_AT=1020.0)
    full = Levels(gallons(12, 2.0), gallons(135, 4.7), gallons(150, 0.0), run_since_wash_s=36000.0)
    scene = scene_of(plant, rows, full, begin_min=1020)
    wash, again = (each for each in actions_of(scene) if "membrane" in each.kind)
    assert (wash.kind, again.kind) == ("wash the membrane", "again through the membrane")
    assert wash.time_s == wash.expected_s < again.time_s == again.expected_s
    assert again.waits == (Wait("wash", again.time_s),)


def test_what_waits_for_the_wash_till_all_have_left_stands_after_it() -> None:
    """The wash takes an hour from 21:00, and who could start the membrane leaves at 22:00."""
    rows = rows_of(MEMBRANE_START=1260.0, WASH_AT=1260.0)
    levels = replace(LEVELS, run_since_wash_s=36000.0)
    found = actions_of(scene_of(membrane_plant(), rows, levels, begin_min=1260))
    wash, on = (each for each in found if "membrane" in each.kind)
    assert (wash.kind, on.kind) == ("wash the membrane", "membrane on")
    assert (on.time_s, on.expected_s) == (wash.time_s, None)
    assert [each.why for each in on.waits] == ["wash"]


def test_sap_still_waits_for_room_in_a_full_stock_tank() -> None:
    full = Levels(gallons(300, 2.0), gallons(135, 4.7), gallons(150, 0.0))
    told = told_of(scene_of(membrane_plant(), rows_of(MEMBRANE_START=1020.0), full), "membrane on")
    assert told.expected_s is None
    assert told.waits == (Wait("stock tank full", None),)


def test_a_second_pass_ends_as_the_last_one_leaves() -> None:
    told = _again(Levels(gallons(350, 2.0), gallons(120, 6.0), gallons(100, 0.0)))
    assert told.again_s is not None
    assert told.until_s is not None
    assert 20.0 < (told.until_s - MIDNIGHT_S) / 3600.0 < 22.0
    assert told.ends == "people leave"
    assert told.night_flow_m3_s is None
    assert told.rinse_m3 is not None
