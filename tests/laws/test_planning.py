"""Laws of plans: whatever the readings and the forecast, what the house forbids is not planned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planning_cases import (
    CORD_M3,
    Planner,
    demo_house,
    forecast_from,
    gallons,
    local_s,
    quick,
    recording,
    usual_levels,
    without_membrane,
)
from plant_safety import assert_safe
from sugarwright.cli.plan_text import plan_lines
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import run_many, simulate
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.weather.hours import HOUR_S, HourlyWeather

HOURS = 24
BEFORE_H = 10 * 24
CARRIES_ONE_A = 9.0  # the demo's membrane draws 8
KINDS = ("runs alone", "attended", "no membrane")
MORE_KINDS = ("weak circuit", "outdoors", "trips")
TRACED = 6  # of the fresh weathers, step by step


@cache
def _plant(kind: str) -> Plant:
    house = demo_house()
    assert house.membrane is not None
    if kind == "no membrane":
        return assemble(without_membrane(house))
    if kind == "attended":
        return assemble(replace(house, membrane=replace(house.membrane, unattended=False)))
    if kind == "outdoors":
        return assemble(replace(house, membrane=replace(house.membrane, place="outdoors")))
    if kind == "weak circuit":
        electricity = replace(house.electricity, circuit_a=CARRIES_ONE_A)
        fire = replace(house.fire, blower_current_a=CARRIES_ONE_A - 1.0)
        return assemble(replace(house, electricity=electricity, fire=fire))
    if kind == "trips":
        return assemble(_with_trips())
    return assemble(house)


def _with_trips() -> House:
    """Return the demo's house, its low corner emptied by who carries: no pump."""
    text = (files("sugarwright") / "demo" / "sugarhouse.toml").read_text(encoding="utf-8")
    before, _, pumped = text.partition('way = "pump"')
    tank, _, after = pumped.partition("[gathering.pump]")
    _, _, rest = after.partition("[tank.sap]")
    text = f'{before}way = "trips"{tank}[gathering.trips]\n\n[tank.sap]{rest}'
    return replace(parse_house(text), site=demo_house().site, trees=demo_house().trees)


@pytest.fixture(scope="module")
def planner() -> Iterator[Planner]:
    """Return a planner of tiny searches."""
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        patch.setattr("sugarwright.planning.search.MOST_PASSES", 0)
        yield recording(patch)


@st.composite
def forecasts(draw: st.DrawFn) -> tuple[HourlyWeather, int]:
    """Any fortnight of days and nights, seen from any minute of any day of a spring."""
    day = draw(st.integers(8, 30))
    now_s = local_s(f"2015-03-{day:02d} 00:00") + 60 * draw(st.integers(0, 1439))
    first_s = now_s // HOUR_S * HOUR_S - BEFORE_H * HOUR_S
    time_s = first_s + HOUR_S * np.arange(BEFORE_H + HOURS)
    mean_c, swing_k = draw(st.floats(-8.0, 12.0)), draw(st.floats(0.0, 14.0))
    drift_k = draw(st.floats(-8.0, 8.0))
    phase = 2.0 * np.pi * (time_s / 86400.0 - 20.0 / 24.0)  # warmest at 20 UTC
    air_c = mean_c + swing_k * np.cos(phase) + drift_k * np.linspace(-1.0, 1.0, len(time_s))
    return HourlyWeather(time_s, air_c, source="invented"), now_s


@st.composite
def readings(draw: st.DrawFn, plant: Plant) -> Levels:
    """Any readings that the house's tanks can show."""
    p = plant.p

    def tank(capacity: int, most_brix: float) -> Contents:
        return Contents(
            draw(st.floats(0.0, 1.0)) * float(p[capacity]),
            draw(st.floats(0.5, most_brix)),
            3600.0 * draw(st.floats(0.0, 120.0)),
            draw(st.floats(0.0, 12.0)),
        )

    levels = Levels(
        sap=tank(at.SAP_CAPACITY_M3, 4.0),
        pan_brix=draw(st.sampled_from([0.0, 12.0, 30.0])),
        wood_m3=draw(st.sampled_from([0.0, 0.05, 2.0])) * CORD_M3,
    )
    if p[at.HAS_MEMBRANE] <= 0.0:
        return levels
    return replace(
        levels,
        stock=tank(at.STOCK_CAPACITY_M3, 14.0),
        permeate=replace(tank(at.PERMEATE_CAPACITY_M3, 4.0), brix=0.0),
        condition=draw(st.floats(0.3, 1.0)),
        run_since_wash_s=3600.0 * draw(st.floats(0.0, 40.0)),
    )


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data(), weather=forecasts())
@settings(max_examples=15, deadline=None)
def test_a_plan_never_asks_for_what_the_house_forbids(
    planner: Planner, kind: str, data: st.DataObject, weather: tuple[HourlyWeather, int]
) -> None:
    _asks_for_nothing_forbidden(planner, kind, data, weather)


@pytest.mark.parametrize("kind", MORE_KINDS)
@given(data=st.data(), weather=forecasts())
@settings(max_examples=10, deadline=None)
def test_nor_does_one_of_a_house_with_a_weak_circuit_a_membrane_outdoors_or_trips(
    planner: Planner, kind: str, data: st.DataObject, weather: tuple[HourlyWeather, int]
) -> None:
    _asks_for_nothing_forbidden(planner, kind, data, weather)


@pytest.mark.parametrize("kind", [*KINDS, *MORE_KINDS])
def test_in_each_of_these_houses_membrane_and_fire_do_run(
    planner: Planner, whately_2015: HourlyWeather, kind: str
) -> None:
    """What never runs would forbid nothing."""
    plant, now_s = _plant(kind), local_s("2015-03-21 05:10")
    assert (plant.p[at.NOT_WITH_FIRE] > 0.0) == (kind == "weak circuit")
    assert (plant.p[at.MEMBRANE_OUTDOORS] > 0.0) == (kind == "outdoors")
    assert (plant.p[at.UNATTENDED] > 0.0) == (kind not in ("attended", "no membrane"))
    levels = usual_levels(gathered=(gallons(0), gallons(90, 1.9, 10)))
    known = forecast_from(whately_2015, now_s, HOURS)
    worked = planner(plant, known, levels, now_s, HOURS)
    drive = make_weathers(plant, known, now_s, HOURS, worked.report.seed).checked
    run = simulate(plant, drive, worked.rows, start_state(plant, levels))
    assert_safe(plant, drive, run)
    assert (run.column(at.T_FIRE_ON) > 0.0).sum() > 12
    assert (run.column(at.T_MEMBRANE_ON) > 0.0).any() == (kind != "no membrane")
    fetched = np.diff(run.column(at.T_GATHERED_M3)) < -1e-9
    assert fetched.any()
    if kind == "trips":
        assert not (fetched & (drive.calendar[1:, at.PEOPLE] == 0.0)).any()


def _asks_for_nothing_forbidden(
    planner: Planner, kind: str, data: st.DataObject, weather: tuple[HourlyWeather, int]
) -> None:
    plant, (known, now_s) = _plant(kind), weather
    levels = data.draw(readings(plant))
    if kind == "trips":
        corner = gallons(data.draw(st.floats(0.0, 110.0)), 1.9, 10)
        levels = replace(levels, gathered=(gallons(0), corner))
    worked = planner(plant, known, levels, now_s, HOURS)
    report = worked.report
    assert not {"pan short of feed", "fire alone"} & set(report.broken)
    lines = "\n".join(plan_lines(report)).splitlines()
    assert max(map(len, lines)) <= 80

    begin_s = now_s - now_s % int(plant.step_s)
    weathers = make_weathers(plant, known, now_s, HOURS, report.seed)
    state = start_state(plant, levels)
    for each in range(TRACED):
        run = simulate(plant, weathers.checked, worked.rows, state, scenario=each)
        assert_safe(plant, weathers.checked, run, each)
    y = run_many(plant, weathers.checked, worked.rows[np.newaxis], state).totals
    assert not y[..., at.SHORT_S].any()
    assert not y[..., at.LIT_ALONE_S].any()
    assert (y[..., at.WOOD_BURNT_M3] <= (levels.wood_m3 or 0.0) + 1e-9).all()
    assert np.isfinite(y).all()
    if kind == "no membrane":
        assert not y[..., at.MEMBRANE_S].any()

    calendar = weathers.forecast.calendar
    for day in report.days:
        for action in day.actions:
            at_end = action.kind == "let the fire go" and action.time_s == report.end_s
            assert report.begin_s <= action.time_s < report.end_s or at_end  # lit beyond the plan
            if at_end:
                continue
            step = int((action.time_s - begin_s) // plant.step_s)
            there = calendar[: step + 1, at.PEOPLE] > 0.0
            # draining may ask whoever has just seen a fire out to stay for it, and says how long
            stays_on = bool(action.overtime_s) and bool(there[-3:].any())
            if action.kind != "let the fire go" and action.ends != "nobody free" and not stays_on:
                assert there[-1]
            if kind == "attended":
                assert action.night_flow_m3_s is None
            if action.kind == "light the fire" and action.trigger is not None:
                assert action.trigger.at_least_m3 > plant.p[at.RESERVE_M3]
