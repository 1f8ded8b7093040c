"""What a plan may choose from: only what the house and its people can do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planning_cases import (
    GALLON_M3,
    demo_house,
    demo_plant,
    forecast_from,
    local_s,
    without_membrane,
)
from sugarwright.planning import choices as of
from sugarwright.planning.choices import Menu, habit_rows, make_menu, rows
from sugarwright.planning.presets import nearest, presets
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.simulate import Drive
from sugarwright.plant.state import Levels, start_state
from sugarwright.weather.hours import HourlyWeather

NOW = "2015-03-13 05:10"  # a Friday
HOURS = 72


@pytest.fixture(scope="module")
def drive(whately_2015: HourlyWeather) -> Drive:
    """Return the hours of the plan."""
    return _drive(demo_plant(), whately_2015)


@pytest.fixture(scope="module")
def menu(drive: Drive) -> Menu:
    """Return what the demo's house can do in them."""
    return make_menu(demo_plant(), drive, start_state(demo_plant(), Levels()))


def _drive(plant: Plant, truth: HourlyWeather, now: str = NOW, hours: int = HOURS) -> Drive:
    known = forecast_from(truth, local_s(now), hours)
    return make_weathers(plant, known, local_s(now), hours, 1).searched


def _offered(menu: Menu, drive: Drive, which: str) -> list[tuple[int, int]]:
    """Day and first step of each time on offer."""
    found = []
    for d, day in enumerate(np.unique(drive.calendar[:, at.DAY])):
        for minute in getattr(menu, which)[d][1:]:
            here = (drive.calendar[:, at.DAY] == day) & (drive.calendar[:, at.MINUTE] == minute)
            found.append((d, int(np.flatnonzero(here)[0])))
    return found


@pytest.mark.parametrize(("which", "stay_h"), [("starts", 1.0), ("lights", 1.5), ("washes", 1.0)])
def test_times_are_offered_only_while_somebody_stays_long_enough(
    menu: Menu, drive: Drive, which: str, stay_h: float
) -> None:
    offered = _offered(menu, drive, which)
    assert offered
    for _, step in offered:
        assert drive.calendar[step, at.PEOPLE] > 0.0
        assert drive.calendar[step, at.STAY_S] >= stay_h * 3600.0


def test_a_fire_is_offered_only_where_it_can_also_die_down(menu: Menu, drive: Drive) -> None:
    # Ines has two hours on a Friday morning: by hand, an hour of fire at the least and
    # ln(10) x 30 min = 69 min until a fire that halves in 21 min is down to a tenth: too long.
    friday = menu.lights[0]
    assert friday[0] == of.NOT
    assert friday[1:].min() >= 17 * 60.0
    assert friday[1:].max() <= 22 * 60.0 - 60.0 - 69.0
    saturday = menu.lights[1]
    assert saturday[1] == 6.5 * 60.0


def test_no_time_lies_before_now(whately_2015: HourlyWeather) -> None:
    drive = _drive(demo_plant(), whately_2015, "2015-03-14 12:42", 24)
    menu = make_menu(demo_plant(), drive, start_state(demo_plant(), Levels()))
    for which in ("starts", "lights", "washes"):
        # on a Saturday somebody is there: now, with the step of 12:40, and then the half hours
        assert getattr(menu, which)[0][1:3].tolist() == [12 * 60.0 + 40.0, 13 * 60.0]


def test_what_runs_may_go_on_though_nobody_is_there(drive: Drive) -> None:
    # 05:10 on a Friday: Ines is not up, but what runs alone need not stop until she is
    running = replace(Levels(), membrane_on=True, fire_on=True, pan_brix=20.0)
    menu = make_menu(demo_plant(), drive, start_state(demo_plant(), running))
    assert menu.starts[0][1] == menu.lights[0][1] == 5 * 60.0 + 10.0


def test_the_times_and_settings_of_the_habit_are_on_the_menu(whately_2015: HourlyWeather) -> None:
    odd = replace(
        demo_house().habit, membrane_start=6 * 60 + 40, membrane_sap_m3=0.123,
        fire_start=17 * 60 + 20, fire_stop=20 * 60 + 5, concentrate_flow_m3_s=2.1e-5,
        membrane_stop=18 * 60, wash_at=19 * 60,
    )  # fmt: skip
    plant = assemble(replace(demo_house(), habit=odd))
    drive = _drive(plant, whately_2015, "2015-03-14 05:10", 24)  # a Saturday: somebody is there
    menu = make_menu(plant, drive, start_state(plant, Levels()))
    habit = habit_rows(plant, menu.days)
    met = rows(menu, nearest(menu, habit)[np.newaxis])[0]
    assert np.allclose(met[0], habit[0])


def test_times_are_half_hours_and_the_first_is_not_today(menu: Menu) -> None:
    for day in (*menu.starts, *menu.lights, *menu.washes):
        assert day[0] == of.NOT
        assert (day[1:] % 30.0 == 0.0).all()
        assert (np.diff(day) > 0.0).all()


def test_flows_are_within_the_valve_and_as_a_meter_shows_them(menu: Menu) -> None:
    gallons_min = menu.flows_m3_s / GALLON_M3 * 60.0
    assert gallons_min[0] == pytest.approx(0.15)  # ends as the demo's file states them
    assert gallons_min[-1] == pytest.approx(0.8)
    assert np.allclose(gallons_min, np.round(gallons_min, 2))
    assert menu.nights_m3_s[0] == 0.0
    assert np.array_equal(menu.nights_m3_s[1:], menu.flows_m3_s)


def test_no_night_is_offered_where_the_house_forbids_it(drive: Drive) -> None:
    house = demo_house()
    assert house.membrane is not None
    attended = replace(house, membrane=replace(house.membrane, unattended=False))
    plant = assemble(attended)
    menu = make_menu(plant, drive, start_state(plant, Levels()))
    assert menu.nights_m3_s.tolist() == [0.0]
    assert (menu.sizes()[:, of.NIGHT] == 1).all()


def test_gauges_lie_between_the_least_and_the_rim(menu: Menu) -> None:
    p = demo_plant().p
    assert (menu.sap_gauges_m3 > p[at.LEAST_SAP_M3]).all()
    assert (menu.sap_gauges_m3 <= p[at.SAP_CAPACITY_M3]).all()
    # a fire needs its reserve of 15 gal beside something to boil
    assert (menu.stock_gauges_m3 > 15 * GALLON_M3).all()
    assert (menu.stock_gauges_m3 <= p[at.STOCK_CAPACITY_M3]).all()


def test_rows_say_what_was_picked(menu: Menu) -> None:
    draws = np.random.default_rng(5)
    sizes = menu.sizes()
    picks = draws.integers(0, sizes, size=(20, *sizes.shape))
    plans = rows(menu, picks)
    assert plans.shape == (20, menu.days, at.PLAN_WIDTH)
    for n in range(20):
        for d in range(menu.days):
            pick, row = picks[n, d], plans[n, d]
            assert row[at.MEMBRANE_START] == menu.starts[d][pick[of.START]]
            assert row[at.MEMBRANE_SAP_M3] == menu.sap_gauges_m3[pick[of.SAP_GAUGE]]
            assert row[at.MEMBRANE_FLOW_M3_S] == menu.flows_m3_s[pick[of.FLOW_SET]]
            assert row[at.NIGHT_FLOW_M3_S] == menu.nights_m3_s[pick[of.NIGHT]]
            assert row[at.WASH_AT] == menu.washes[d][pick[of.WASH]]
            assert row[at.FIRE_START] == menu.lights[d][pick[of.LIGHT]]
            assert row[at.FIRE_STOCK_M3] == menu.stock_gauges_m3[pick[of.STOCK_GAUGE]]
            burnt_min = row[at.FIRE_STOP] - row[at.FIRE_START]
            assert row[at.FIRE_START] < 0.0 or burnt_min <= menu.burns_min[pick[of.BURN]]
            assert row[at.FIRE_CALL_M3] == menu.stock_calls_m3[pick[of.STOCK_CALL]]
            assert row[at.MEMBRANE_CALL_M3] == menu.sap_calls_m3[pick[of.SAP_CALL]]
            assert row[at.FIRE_STOP] <= 1440.0


def test_without_a_membrane_only_the_fire_is_chosen(whately_2015: HourlyWeather) -> None:
    plant = assemble(without_membrane(demo_house()))
    menu = make_menu(plant, _drive(plant, whately_2015), start_state(plant, Levels()))
    membrane = [of.START, of.SAP_GAUGE, of.FLOW_SET, of.NIGHT, of.WASH]
    assert (menu.sizes()[:, membrane] == 1).all()
    plans = rows(menu, presets(menu, habit_rows(plant, menu.days)))
    assert (plans[..., at.MEMBRANE_START] == of.NOT).all()
    assert (plans[..., at.WASH_AT] == of.NOT).all()
    assert (menu.stock_gauges_m3 <= plant.p[at.SAP_CAPACITY_M3]).all()


def test_the_habit_is_the_house_as_described() -> None:
    # the [habit] of the demo's file, by hand: 06:30, 150 gal, 0.25 gal/min, 21:30 ...
    for row in habit_rows(demo_plant(), 3):
        assert row[at.MEMBRANE_START] == 390.0
        assert row[at.MEMBRANE_SAP_M3] == pytest.approx(150 * GALLON_M3)
        assert row[at.MEMBRANE_FLOW_M3_S] == pytest.approx(0.25 * GALLON_M3 / 60.0)
        assert row[at.MEMBRANE_STOP] == 1290.0
        assert row[at.NIGHT_FLOW_M3_S] == 0.0
        assert row[at.WASH_AT] == 1260.0
        assert row[at.WASH_AFTER_S] == pytest.approx(36000.0)
        assert row[at.FIRE_START] == 1050.0
        assert row[at.FIRE_STOCK_M3] == pytest.approx(50 * GALLON_M3)
        assert row[at.FIRE_STOP] == 1290.0


def test_presets_are_on_the_menu_and_hold_the_habit(menu: Menu) -> None:
    habit = habit_rows(demo_plant(), menu.days)
    plans = presets(menu, habit)
    assert (plans >= 0).all()
    assert (plans < menu.sizes()).all()
    assert len(np.unique(plans, axis=0)) == len(plans)
    assert any(np.array_equal(plan, nearest(menu, habit)) for plan in plans)


def test_the_nearest_to_a_plan_on_the_menu_is_that_plan(menu: Menu) -> None:
    draws = np.random.default_rng(8)
    sizes = menu.sizes()
    for _ in range(20):
        picks = draws.integers(0, sizes)
        picks[:, of.LIGHT] = sizes[:, of.LIGHT] // 2  # a burn that midnight does not cut short
        picks[:, of.BURN] = 0
        picks[:, of.NIGHT] = 0
        assert np.array_equal(nearest(menu, rows(menu, picks[np.newaxis])[0]), picks)
