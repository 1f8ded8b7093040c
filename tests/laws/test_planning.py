"""Laws of plans: whatever the readings and the forecast, what the house forbids is not planned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planning_cases import (
    CORD_M3,
    Planner,
    demo_house,
    local_s,
    quick,
    recording,
    without_membrane,
)
from sugarwright.cli.plan_text import plan_lines
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.simulate import run_many
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.weather.hours import HOUR_S, HourlyWeather

HOURS = 24
BEFORE_H = 10 * 24


@cache
def _plant(kind: str) -> Plant:
    house = demo_house()
    assert house.membrane is not None
    if kind == "no membrane":
        return assemble(without_membrane(house))
    if kind == "attended":
        return assemble(replace(house, membrane=replace(house.membrane, unattended=False)))
    return assemble(house)


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


@pytest.mark.parametrize("kind", ["runs alone", "attended", "no membrane"])
@given(data=st.data(), weather=forecasts())
@settings(max_examples=15, deadline=None)
def test_a_plan_never_asks_for_what_the_house_forbids(
    planner: Planner, kind: str, data: st.DataObject, weather: tuple[HourlyWeather, int]
) -> None:
    plant, (known, now_s) = _plant(kind), weather
    levels = data.draw(readings(plant))
    worked = planner(plant, known, levels, now_s, HOURS)
    report = worked.report
    assert not {"pan short of feed", "fire alone"} & set(report.broken)
    lines = "\n".join(plan_lines(report)).splitlines()
    assert max(map(len, lines)) <= 80

    begin_s = now_s - now_s % int(plant.step_s)
    weathers = make_weathers(plant, known, now_s, HOURS, report.seed)
    results = run_many(plant, weathers.checked, worked.rows[np.newaxis], start_state(plant, levels))
    y = results.totals
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
            if action.kind != "let the fire go" and action.ends != "nobody free":
                assert calendar[step, at.PEOPLE] > 0.0
            if kind == "attended":
                assert action.night_flow_m3_s is None
            if action.kind == "light the fire" and action.trigger is not None:
                assert action.trigger.at_least_m3 > plant.p[at.RESERVE_M3]
