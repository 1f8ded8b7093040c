"""Why a run of the membrane ends, as a plan says it: each cause made to happen in the simulator."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planning_cases import (
    GALLON_M3,
    demo_house,
    forecast_from,
    gallons,
    local_s,
    usual_levels,
)
from sugarwright.planning.choices import habit_rows
from sugarwright.planning.membrane_ends import CERTAIN_M3, membrane_ends
from sugarwright.planning.scene import Scene
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import House
from sugarwright.plant.simulate import Drive, simulate
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HourlyWeather

SATURDAY = "2015-03-21 05:10"  # people from 06:30 to 22:00
MONDAY = "2015-03-16 05:10"  # people from 05:30 to 07:30 and from 17:00
HOURS = 24
MUCH = usual_levels(sap=gallons(400), stock=gallons(5, brix=6.0))


def attended() -> House:
    """Return the demo's house with a membrane that never runs alone."""
    house = demo_house()
    assert house.membrane is not None
    return replace(house, membrane=replace(house.membrane, unattended=False))


def outdoors() -> House:
    """Return that house with its membrane in the open."""
    house = attended()
    assert house.membrane is not None
    return replace(house, membrane=replace(house.membrane, place="outdoors"))


def weak_circuit() -> House:
    """Return that house with a circuit that carries membrane or blower."""
    house = attended()
    fire = replace(house.fire, blower_current_a=3.0)
    return replace(house, fire=fire, electricity=replace(house.electricity, circuit_a=9.0))


def usual(drive: Drive, row: Floats) -> None:
    """Change nothing."""


def till_ten(drive: Drive, row: Floats) -> None:
    """Stop at ten."""
    row[at.MEMBRANE_STOP] = 10 * 60.0


def wash_at_nine(drive: Drive, row: Floats) -> None:
    """Wash at nine, however short the run."""
    row[at.WASH_AT], row[at.WASH_AFTER_S] = 9 * 60.0, 0.0


def frost_from_ten(drive: Drive, row: Floats) -> None:
    """Let the air fall below freezing after five hours."""
    drive.air_c[:, :5], drive.air_c[:, 5:] = 4.0, -3.0


def down_from_ten(drive: Drive, row: Floats) -> None:
    """Let the membrane be out of order from ten on."""
    left_s = (10 * 60.0 - drive.calendar[:, at.MINUTE]) * 60.0
    drive.calendar[:, at.MEMBRANE_OK_S] = np.maximum(0.0, left_s)


@pytest.mark.parametrize(
    ("house", "morning", "levels", "change", "ends"),
    [
        (attended(), SATURDAY, usual_levels(sap=gallons(40)), usual, "sap tank down"),
        (attended(), SATURDAY, usual_levels(sap=gallons(400)), usual, "stock tank full"),
        (attended(), MONDAY, MUCH, usual, "people leave"),
        (attended(), SATURDAY, MUCH, till_ten, "hour"),
        (weak_circuit(), SATURDAY, MUCH, till_ten, "circuit"),
        (attended(), SATURDAY, MUCH, wash_at_nine, "time"),
        (outdoors(), SATURDAY, MUCH, frost_from_ten, "frost"),
        (attended(), SATURDAY, MUCH, down_from_ten, "out of order"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_run_ends_for_the_cause_that_ended_it(
    house: House,
    morning: str,
    levels: Levels,
    change: object,
    ends: str,
    whately_2015: HourlyWeather,
) -> None:
    plant, now_s = assemble(house), local_s(morning)
    known = forecast_from(whately_2015, now_s, HOURS)
    drive = make_weathers(plant, known, now_s, HOURS, 1).forecast
    rows = habit_rows(plant, 2)
    rows[:, [at.MEMBRANE_START, at.MEMBRANE_STOP]] = 5 * 60.0, 21 * 60.0
    rows[:, at.MEMBRANE_SAP_M3], rows[:, at.MEMBRANE_FLOW_M3_S] = 0.0, 2e-5
    rows[:, [at.FIRE_START, at.WASH_AT, at.NIGHT_FLOW_M3_S]] = -1.0, -1.0, 0.0
    rows[:, [at.MEMBRANE_CALL_M3, at.FIRE_CALL_M3, at.PASS_AGAIN_BRIX]] = 0.0
    change(drive, rows[0])  # type: ignore[operator]
    trace = simulate(plant, drive, rows, start_state(plant, levels))
    running = trace.column(at.T_MEMBRANE_ON) > 0.0
    on = int(np.flatnonzero(running)[0])
    end = on + int(np.flatnonzero(~running[on:])[0])
    midnight = int(np.flatnonzero(drive.calendar[:, at.MINUTE] == 0.0)[0])
    scene = Scene(plant, drive, trace, rows[0], 0, midnight)
    assert membrane_ends(scene, end) == ends


def test_a_tank_that_refills_within_the_step_was_down_all_the_same(
    whately_2015: HourlyWeather,
) -> None:
    # Its level at the end of that step stands above what the membrane leaves in it.
    plant, now_s = assemble(attended()), local_s(SATURDAY)
    known = forecast_from(whately_2015, now_s, HOURS)
    drive = make_weathers(plant, known, now_s, HOURS, 1).forecast
    drive.sap_kg_s[..., 0], drive.sap_kg_s[..., 1] = 0.045, 0.0009  # some 14 L in each step
    rows = habit_rows(plant, 2)
    rows[:, [at.MEMBRANE_START, at.MEMBRANE_STOP]] = 5 * 60.0, 24 * 60.0
    rows[:, [at.MEMBRANE_SAP_M3, at.MEMBRANE_FLOW_M3_S]] = 50 * GALLON_M3, 5e-5
    rows[:, [at.FIRE_START, at.WASH_AT, at.NIGHT_FLOW_M3_S]] = -1.0, -1.0, 0.0
    levels = usual_levels(sap=gallons(10), stock=gallons(5, brix=6.0))
    trace = simulate(plant, drive, rows, start_state(plant, levels))
    running = trace.column(at.T_MEMBRANE_ON) > 0.0
    stops = np.flatnonzero(running[:-1] & ~running[1:]) + 1
    there = drive.calendar[stops, at.STAY_S] > 2 * 3600.0
    midnight = int(np.flatnonzero(drive.calendar[:, at.MINUTE] == 0.0)[0])
    scene = Scene(plant, drive, trace, rows[0], 0, midnight)
    refilled = trace.column(at.T_SAP_M3)[stops] > plant.p[at.LEAST_SAP_M3] + CERTAIN_M3
    ended = stops[there & refilled & (stops < midnight)]
    assert len(ended)
    assert membrane_ends(scene, int(ended[0])) == "sap tank down"
