"""No price buys a lit pan without a person, and none leaves a hot one.

Where a fire would pay hugely (syrup at a hundred thousand dollars a gallon), where each hour of a
person costs ten thousand, and where a fire burns already when the plan is made: in every fresh
weather, step by step, there is somebody while the pan is hot.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from planning_cases import (
    GALLON_M3,
    Planner,
    demo_house,
    forecast_from,
    gallons,
    local_s,
    quick,
    recording,
    usual_levels,
)
from plant_safety import assert_safe
from sugarwright.planning.choices import habit_rows
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import House
from sugarwright.plant.simulate import simulate
from sugarwright.plant.state import start_state
from sugarwright.weather.hours import HourlyWeather

HOURS = 36
DEAR_S = 10_000.0 / 3600.0
HUGE_M3 = 100_000.0 / GALLON_M3
MORNINGS = ("2015-03-16 05:10", "2015-03-21 05:10", "2015-03-25 05:10")  # two of work, a Saturday
BURNING = ("2015-03-16 05:40", "2015-03-16 18:10", "2015-03-21 11:00", "2015-03-24 17:30")


@pytest.fixture(scope="module")
def planner() -> Iterator[Planner]:
    """Return a planner of tiny searches."""
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        patch.setattr("sugarwright.planning.search.MOST_PASSES", 0)
        yield recording(patch)


def _priced(hour_money_s: float | None, syrup_money_m3: float | None) -> House:
    """The demo's house with other prices; None: its own."""
    house = demo_house()
    if hour_money_s is not None:
        people = tuple(replace(each, hour_money_s=hour_money_s) for each in house.people)
        house = replace(house, people=people)
    if syrup_money_m3 is not None:
        prices = replace(house.prices, syrup_money_m3=syrup_money_m3)
        house = replace(house, prices=prices)
    return house


def _hot_steps(
    planner: Planner, truth: HourlyWeather, house: House, now: str, *, burns: bool
) -> int:
    """Plan; assert that nothing is forbidden in any weather; return in how many steps it is hot."""
    plant, now_s = assemble(house), local_s(now)
    known = forecast_from(truth, now_s, HOURS)
    levels = usual_levels(stock=gallons(110, 6.5, 10), fire_on=burns)
    worked = planner(plant, known, levels, now_s, HOURS)
    assert "fire alone" not in worked.report.broken
    checked = make_weathers(plant, known, now_s, HOURS, worked.report.seed).checked
    state, hot = start_state(plant, levels), 0
    for weather in range(checked.scenarios):
        run = simulate(plant, checked, worked.rows, state, scenario=weather)
        assert_safe(plant, checked, run, weather, burns=burns)
        assert run.totals[at.SHORT_S] == 0.0
        hot += int((run.column(at.T_HEAT) > 0.1).sum())
    return hot


@pytest.mark.parametrize(
    ("now", "hour_money_s"), [(MORNINGS[0], None), *((each, DEAR_S) for each in MORNINGS)]
)
def test_syrup_worth_a_fortune_buys_no_hour_alone(
    planner: Planner, whately_2015: HourlyWeather, now: str, hour_money_s: float | None
) -> None:
    house = _priced(hour_money_s, HUGE_M3)
    hot = _hot_steps(planner, whately_2015, house, now, burns=False)
    assert hot > 40 * 12  # it does pay: more than an hour in each of forty weathers


@pytest.mark.parametrize(
    ("now", "syrup_money_m3"),
    [*((each, None) for each in BURNING), *((each, HUGE_M3) for each in BURNING[:2])],
)
def test_a_fire_that_burns_is_left_by_nobody_however_dear_the_hour(
    planner: Planner, whately_2015: HourlyWeather, now: str, syrup_money_m3: float | None
) -> None:
    house = _priced(DEAR_S, syrup_money_m3)
    assert _hot_steps(planner, whately_2015, house, now, burns=True) >= 40


@pytest.mark.parametrize("left", ["the pan", "the membrane", "nothing"])
def test_the_law_sees_what_is_left_alone(whately_2015: HourlyWeather, left: str) -> None:
    """The same run, told to have had nobody there while something ran."""
    house = demo_house()
    assert house.membrane is not None
    plant = assemble(replace(house, membrane=replace(house.membrane, unattended=False)))
    now_s = local_s("2015-03-21 05:10")
    drive = make_weathers(
        plant, forecast_from(whately_2015, now_s, HOURS), now_s, HOURS, 1
    ).forecast
    run = simulate(plant, drive, habit_rows(plant, 2), start_state(plant, usual_levels()))
    columns = {"the pan": at.T_HEAT, "the membrane": at.T_MEMBRANE_ON}
    calendar = drive.calendar.copy()
    if left in columns:
        calendar[run.column(columns[left]) > 0.1, at.PEOPLE] = 0.0
        with pytest.raises(AssertionError):
            assert_safe(plant, replace(drive, calendar=calendar), run)
    else:
        assert_safe(plant, drive, run)
