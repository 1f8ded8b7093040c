"""Days with one thing that matters in each: what must happen, and when."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest

from plant_houses import GALLON_M3, INVENTED, habit, house, plant
from sugarwright.errors import RangeError
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.house import Person, Tank
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import Drive, Trace, simulate
from sugarwright.plant.special_hours import Outage, Presence, SpecialHours
from sugarwright.plant.state import Contents, Levels, start_state

MONDAY = date(2015, 3, 23)
ALWAYS = (Person(weekdays=((0, 1440),), weekends=((0, 1440),)),)


def steady(
    plant: Plant, sap_kg_s: float = 0.0, air_c: float = 3.0, days: int = 1, day: date = MONDAY
) -> Drive:
    """Return days of steady air and sap of 2 Brix at every gathering point, from midnight."""
    begin_s = int(datetime(day.year, day.month, day.day, 4, tzinfo=UTC).timestamp())
    steps = round(86400 * days / plant.step_s)
    sap = np.zeros((1, 24 * days, len(plant.points), 2))
    sap[..., 0], sap[..., 1] = 0.98 * sap_kg_s, 0.02 * sap_kg_s
    calendar = make_calendar(plant.house, begin_s, steps, plant.step_s, plant.special)
    return Drive(begin_s, calendar, np.full((1, 24 * days), air_c), sap)


def idle(days: int = 1, **changes: float) -> np.ndarray:
    """Rows of days on which nothing is planned but what is named."""
    row = np.zeros(at.PLAN_WIDTH)
    row[[at.MEMBRANE_START, at.WASH_AT, at.FIRE_START]] = -1.0
    for name, value in changes.items():
        row[getattr(at, name)] = value
    return np.tile(row, (days, 1))


def variant(*, membrane: bool = True, step_s: float = 300.0, **changes: Any) -> Plant:
    return assemble(replace(house(membrane=membrane), **changes), step_s)


def gallons(**tanks: float) -> Levels:
    strengths = {"sap": 2.0, "stock": 6.0, "permeate": 0.0}
    return Levels(
        **{
            name: Contents(volume * GALLON_M3, brix=strengths[name])
            for name, volume in tanks.items()
        }
    )


def run_of(
    plant: Plant, plan: np.ndarray, levels: Levels, *, sap_kg_s: float = 0.0, days: int = 1
) -> Trace:
    return simulate(plant, steady(plant, sap_kg_s, days=days), plan, start_state(plant, levels))


def hours_of(plant: Plant, column: np.ndarray) -> tuple[float, float]:
    """First and last hour since the beginning at which something is on."""
    steps = np.flatnonzero(column > 0.0)
    return steps[0] * plant.step_s / 3600.0, (steps[-1] + 1) * plant.step_s / 3600.0


@pytest.mark.parametrize("step_s", [60.0, 900.0])
def test_a_tank_is_full_at_the_second(step_s: float) -> None:
    """20 gal short of its rim, 0.02 kg/s of sap: the time is volume by flow, whatever the step."""
    used = plant(step_s=step_s)
    run = run_of(used, idle(), gallons(sap=400.0), sap_kg_s=0.02)
    kilogram_m3 = 0.98 * used.p[at.WATER_M3_KG] + 0.02 * used.p[at.SUGAR_M3_KG]
    full_s = 20.0 * GALLON_M3 / kilogram_m3 / 0.02
    assert run.totals[at.SAP_FULL_AT_S] == pytest.approx(full_s, abs=1e-3)
    spilled_kg = run.totals[at.SPILLED_WATER_KG] + run.totals[at.SPILLED_SUGAR_KG]
    assert spilled_kg == pytest.approx(0.02 * (86400.0 - full_s), rel=1e-9)
    assert run.totals[at.SAP_PEAK_M3] == pytest.approx(420.0 * GALLON_M3)


def test_the_stock_tank_stops_the_membrane_and_the_time_is_told() -> None:
    used = variant(people=ALWAYS)
    plan = idle(MEMBRANE_START=120.0, MEMBRANE_STOP=1440.0, MEMBRANE_FLOW_M3_S=5e-5)
    run = run_of(used, plan, gallons(sap=420.0, stock=140.0))
    full_s = 2 * 3600.0 + 20.0 * GALLON_M3 / 5e-5
    assert run.totals[at.STOCK_FULL_AT_S] == pytest.approx(full_s, abs=1.0)
    assert run.totals[at.SPILLED_SUGAR_KG] == pytest.approx(0.0, abs=1e-6)
    assert run.column(at.T_STOCK_M3).max() == pytest.approx(160.0 * GALLON_M3)


def test_an_empty_sap_tank_stops_the_membrane() -> None:
    used = variant(people=ALWAYS)
    plan = idle(MEMBRANE_START=120.0, MEMBRANE_STOP=1440.0, MEMBRANE_FLOW_M3_S=2e-5)
    run = run_of(used, plan, gallons(sap=100.0))
    assert run.totals[at.MEMBRANE_STARTS] == run.totals[at.RINSES] == 1.0
    assert run.column(at.T_SAP_M3)[-1] == pytest.approx(used.p[at.LEAST_SAP_M3], abs=1e-6)
    used_kg = run.totals[at.CLEANING_WATER_KG] + run.totals[at.CLEANING_SUGAR_KG]
    held_kg = run.state[at.PERMEATE + at.WATER] + run.state[at.PERMEATE + at.SUGAR]
    assert held_kg == pytest.approx(run.totals[at.PERMEATE_KG] - used_kg, rel=1e-9)


def test_permeate_without_room_runs_off() -> None:
    used = variant(people=ALWAYS)
    plan = idle(MEMBRANE_START=0.0, MEMBRANE_STOP=1440.0, MEMBRANE_FLOW_M3_S=1e-5)
    run = run_of(used, plan, gallons(sap=400.0, permeate=295.0))
    assert run.column(at.T_PERMEATE_M3).max() == pytest.approx(300.0 * GALLON_M3)
    let_go_kg = run.totals[at.LET_GO_WATER_KG] + run.totals[at.LET_GO_SUGAR_KG]
    room_kg = 5.0 * GALLON_M3 / used.p[at.WATER_M3_KG]
    # A little sugar passes: what fills the room is heavier than water by some tens of grams.
    assert let_go_kg == pytest.approx(run.totals[at.PERMEATE_KG] - room_kg, abs=0.1)


def test_a_fire_past_midnight_belongs_to_the_evening_that_it_began() -> None:
    used = variant(people=ALWAYS)
    tonight = idle(FIRE_START=21.0 * 60.0, FIRE_STOP=2.0 * 60.0)
    run = run_of(used, np.concatenate([tonight, idle()]), gallons(stock=160.0, sap=100.0), days=2)
    on, off = hours_of(used, run.column(at.T_FIRE_ON))
    assert on == pytest.approx(21.0, abs=0.01)
    assert off == pytest.approx(26.0, abs=0.01)
    assert run.totals[at.LIGHT_UPS] == 1.0


def test_a_membrane_past_midnight_keeps_the_evenings_setting() -> None:
    used = variant(people=ALWAYS)
    tonight = idle(MEMBRANE_START=22.0 * 60.0, MEMBRANE_STOP=60.0, MEMBRANE_FLOW_M3_S=3e-5)
    tomorrow = idle(MEMBRANE_FLOW_M3_S=1e-5)
    plan = np.concatenate([tonight, tomorrow])
    run = run_of(used, plan, gallons(sap=400.0), days=2)
    on, off = hours_of(used, run.column(at.T_MEMBRANE_ON))
    assert (on, off) == pytest.approx((22.0, 25.0), abs=0.01)
    stock_m3 = run.column(at.T_STOCK_M3)[-1]
    assert stock_m3 == pytest.approx(3e-5 * 3 * 3600.0, rel=1e-3)


def test_people_past_midnight_may_stay_with_a_fire() -> None:
    """From 20:00 to 03:00: the fire is let go in time to have died before they leave."""
    late = (Person(weekdays=((1200, 180),), weekends=((1200, 180),)),)
    used = variant(people=late, stock_tank=Tank(volume_m3=2.0))
    tonight = idle(FIRE_START=20.0 * 60.0, FIRE_STOP=4.0 * 60.0)
    plan = np.concatenate([tonight, idle()])
    run = run_of(used, plan, gallons(stock=400.0), days=2)
    on, off = hours_of(used, run.column(at.T_FIRE_ON))
    assert on == pytest.approx(20.0, abs=0.01)
    clear_h = used.p[at.CLEAR_S] / 3600.0
    assert 27.0 - clear_h - 0.1 < off <= 27.0 - clear_h
    assert run.totals[at.LIT_ALONE_S] == 0.0
    assert run.totals[at.FIRE_S] / 3600.0 == pytest.approx(off + clear_h - on, abs=0.01)


def test_clocks_go_forward_in_the_night() -> None:
    """8 March 2015, New York: 02:00 to 03:00 is left out; a fire until 04:00 is an hour shorter."""
    used = variant(people=ALWAYS)
    begin_s = int(datetime(2015, 3, 8, 5, tzinfo=UTC).timestamp())
    calendar = make_calendar(used.house, begin_s, 288, 300.0)
    drive = replace(steady(used), begin_s=begin_s, calendar=calendar)
    plan = idle(FIRE_START=60.0, FIRE_STOP=240.0)
    run = simulate(used, drive, plan, start_state(used, gallons(stock=160.0)))
    on, off = hours_of(used, run.column(at.T_FIRE_ON))
    assert (on, off) == pytest.approx((1.0, 3.0), abs=0.01)


def test_a_fire_ends_when_the_wood_does() -> None:
    used = variant(people=ALWAYS)
    burnt_h = 2.5
    wood_m3 = used.p[at.LIGHT_UP_WOOD_M3] + used.p[at.FUEL_M3_S] * burnt_h * 3600.0
    levels = replace(gallons(stock=160.0, sap=100.0), wood_m3=wood_m3, pan_brix=6.0)
    run = run_of(used, idle(FIRE_START=60.0, FIRE_STOP=1440.0), levels)
    assert run.totals[at.WOOD_BURNT_M3] == pytest.approx(wood_m3)
    assert run.state[at.WOOD_M3] == pytest.approx(0.0, abs=1e-9)
    lit_s = burnt_h * 3600.0 + used.p[at.CLEAR_S]
    # The fire does not quite reach its full heat, and so dies a little sooner.
    assert run.totals[at.FIRE_S] == pytest.approx(lit_s, abs=60.0)
    assert run.totals[at.LIGHT_UPS] == 1.0


@pytest.mark.parametrize("wood_m3", [0.0, 0.05])
def test_no_wood_no_fire(wood_m3: float) -> None:
    used = variant(people=ALWAYS)
    levels = replace(gallons(stock=160.0), wood_m3=wood_m3)
    run = run_of(used, idle(FIRE_START=60.0, FIRE_STOP=1440.0), levels)
    assert run.totals[at.LIGHT_UPS] == run.totals[at.STEAM_KG] == 0.0


def test_no_feed_no_fire() -> None:
    used = variant(people=ALWAYS)
    run = run_of(used, idle(FIRE_START=60.0, FIRE_STOP=1440.0), gallons(stock=10.0, sap=300.0))
    assert run.totals[at.LIGHT_UPS] == 0.0


def test_a_fire_is_let_go_at_its_reserve_and_the_tail_is_fed() -> None:
    used = variant(people=ALWAYS)
    levels = replace(gallons(stock=100.0), pan_brix=6.0)
    run = run_of(used, idle(FIRE_START=60.0, FIRE_STOP=1440.0), levels)
    out = np.flatnonzero(np.diff(run.column(at.T_FIRE_ON)) < 0.0)[0]
    # Let go inside the step before; a few minutes of burn-down are in this figure.
    assert run.column(at.T_STOCK_M3)[out] > used.p[at.RESERVE_M3]
    assert run.column(at.T_STOCK_M3)[out + 1] == pytest.approx(used.p[at.RESERVE_M3], rel=0.15)
    assert run.totals[at.SHORT_S] == 0.0
    dead_m3 = used.p[at.STOCK_DEAD_M3]
    assert dead_m3 <= run.column(at.T_STOCK_M3)[-1] < used.p[at.RESERVE_M3]


def test_a_tank_smaller_than_the_pan_fills_it_by_and_by() -> None:
    """26 gal of pan, 30 gal of tank with 15 gal of reserve: three tankfuls, then it is lit."""
    small = variant(
        membrane=False,
        people=ALWAYS,
        sap_tank=Tank(volume_m3=30.0 * GALLON_M3),
        pan=replace(house().pan, boil_rate_m3_s=8.0 * GALLON_M3 / 3600.0),
    )
    plan = idle(2, FIRE_START=0.0, FIRE_STOP=1440.0)
    run = run_of(small, plan, gallons(sap=0.0), sap_kg_s=0.02, days=2)
    assert run.totals[at.LIGHT_UPS] >= 1.0
    assert run.totals[at.SHORT_S] == 0.0
    before = np.flatnonzero(run.column(at.T_FIRE_ON) > 0.0)[0]
    filled_kg = run.column(at.T_PAN_SUGAR_KG)[before] / 0.02
    assert filled_kg == pytest.approx(small.p[at.COMPARTMENT_KG :][: at.MAX_COMPARTMENTS].sum())


def test_spoiled_sap_is_dumped_by_somebody_but_not_from_under_a_fire() -> None:
    used = variant(membrane=False, people=ALWAYS)
    old = Levels(sap=Contents(300.0 * GALLON_M3, age_s=1e6), pan_brix=2.0)
    idle_run = run_of(used, idle(), old)
    assert idle_run.totals[at.SPOILED_AT_S] == 0.0
    assert idle_run.totals[at.DUMPED_WATER_KG] > 1000.0
    away = variant(membrane=False, people=(Person(weekdays=(), weekends=()),))
    assert run_of(away, idle(), old).totals[at.DUMPED_WATER_KG] == 0.0
    nearly = Levels(sap=Contents(300.0 * GALLON_M3, age_s=3.9 * 86400.0), pan_brix=2.0)
    boiled = run_of(used, idle(FIRE_START=0.0, FIRE_STOP=600.0), nearly)
    spoiled, dumped = boiled.totals[at.SPOILED_AT_S], boiled.totals[at.DUMPED_WATER_KG]
    cold = np.flatnonzero((boiled.column(at.T_HEAT) == 0.0) & (np.arange(288) > 12))[0]
    assert 0.0 < spoiled < cold * 300.0
    assert dumped > 0.0
    assert boiled.column(at.T_SAP_M3)[cold - 1] > 0.0
    assert boiled.totals[at.SHORT_S] == 0.0


def test_one_person_cannot_carry_sap_and_tend_a_fire() -> None:
    fetched = INVENTED.replace(
        "taps = 300",
        'taps = 300\nway = "trips"\n[gathering.tank]\nvolume = "200 gal"\n[gathering.trips]',
    )
    described = replace(parse_house(fetched), people=ALWAYS)
    plan = idle(FIRE_START=0.0, FIRE_STOP=1440.0)
    levels = replace(
        gallons(stock=160.0, sap=100.0), gathered=(Contents(150.0 * GALLON_M3),), pan_brix=5.0
    )
    for helpers, together in ((1, False), (2, True)):
        people = tuple(replace(ALWAYS[0], name=f"person {k}") for k in range(helpers))
        used = assemble(replace(described, people=people))
        run = simulate(used, steady(used), plan, start_state(used, levels))
        carried = np.diff(run.column(at.T_GATHERED_M3), prepend=150.0 * GALLON_M3) < 0.0
        lit = run.column(at.T_FIRE_ON) > 0.0
        assert carried.any()
        assert lit.any()
        assert (carried & lit).any() == together
        # 60 gal in 40 minutes: time on the way is volume by rate.
        assert carried.sum() * 300.0 == pytest.approx(150.0 / 60.0 * 2400.0, abs=300.0)


def test_nobody_carries_a_nearly_full_tank_its_trickle() -> None:
    """The only person was "on a trip" for hours, a gallon at a time, and lit no fire."""
    fetched = INVENTED.replace(
        "taps = 300",
        'taps = 300\nway = "trips"\n[gathering.tank]\nvolume = "200 gal"\n[gathering.trips]',
    )
    used = assemble(replace(parse_house(fetched), people=ALWAYS))
    rim_m3 = float(used.p[at.SAP_CAPACITY_M3])
    full = gallons(stock=100.0, sap=rim_m3 / GALLON_M3, permeate=100.0)
    levels = replace(full, gathered=(Contents(150.0 * GALLON_M3),), pan_brix=5.0)
    plan = idle(
        FIRE_START=60.0, FIRE_STOP=420.0, MEMBRANE_START=0.0, MEMBRANE_STOP=1440.0,
        MEMBRANE_FLOW_M3_S=1.5e-5,
    )  # fmt: skip
    run = simulate(used, steady(used), plan, start_state(used, levels))
    held_m3 = run.column(at.T_GATHERED_M3)
    carried = np.diff(held_m3, prepend=held_m3[0]) < 0.0
    lit = run.column(at.T_FIRE_ON) > 0.0
    assert lit[12]
    assert not (carried & lit).any()
    assert carried.any()  # once there is room for what is worth setting out for
    sap_m3 = np.append(rim_m3, run.column(at.T_SAP_M3))
    sets_out = np.flatnonzero(carried & ~np.append(False, carried[:-1]))
    assert (rim_m3 - sap_m3[sets_out] >= used.points[0, at.EMPTYING_START_M3] - 0.01).all()


def test_a_pump_does_not_pump_into_a_full_tank() -> None:
    pumped = INVENTED.replace(
        "taps = 300",
        'taps = 300\nway = "pump"\n[gathering.tank]\nvolume = "200 gal"\n[gathering.pump]',
    )
    used = assemble(parse_house(pumped))
    levels = replace(gallons(sap=400.0), gathered=(Contents(150.0 * GALLON_M3),))
    run = simulate(used, steady(used), idle(), start_state(used, levels))
    assert run.totals[at.SPILLED_WATER_KG] == pytest.approx(0.0, abs=1e-6)
    assert run.column(at.T_GATHERED_M3)[-1] == pytest.approx(130.0 * GALLON_M3, rel=1e-6)
    flow_m3_s = used.points[0, at.EMPTYING_M3_S]
    pumping_s = run.totals[at.ELECTRICITY_J] / used.points[0, at.PUMP_W]
    assert pumping_s == pytest.approx(20.0 * GALLON_M3 / flow_m3_s, abs=0.01)


def test_a_wash_needs_permeate_and_somebody_for_its_whole_time() -> None:
    dirty = {"run_since_wash_s": 50_000.0, "condition": 0.6}
    plan = idle(WASH_AT=1260.0)
    evening = (Person(weekdays=((1020, 1335),), weekends=((1020, 1335),)),)
    stays, leaves = (
        variant(people=evening),
        variant(people=(replace(evening[0], weekdays=((1020, 1310),)),)),
    )
    washed = run_of(stays, plan, replace(gallons(permeate=61.0), **dirty))
    assert washed.totals[at.WASHES] == 1.0
    assert washed.state[at.CONDITION] == pytest.approx(1.0 - 0.1 * 0.4)
    assert washed.totals[at.CLEANING_WATER_KG] == pytest.approx(60.0 * GALLON_M3 * 1000.0, rel=1e-3)
    for used, permeate in ((leaves, 61.0), (stays, 59.0)):
        run = run_of(used, plan, replace(gallons(permeate=permeate), **dirty))
        assert run.totals[at.WASHES] == 0.0


@pytest.mark.parametrize("air_c", [-5.0, 5.0])
@pytest.mark.parametrize("place", ["outdoors", "indoors"])
def test_no_water_is_let_into_a_membrane_that_stands_in_frost(place: str, air_c: float) -> None:
    described = house()
    assert described.membrane is not None
    membrane = replace(described.membrane, place=place)
    used = assemble(replace(described, people=ALWAYS, membrane=membrane))
    levels = replace(gallons(permeate=150.0), run_since_wash_s=50_000.0, condition=0.6)
    state = start_state(used, levels)
    state[at.NEEDS_RINSE] = 1.0
    run = simulate(used, steady(used, air_c=air_c), idle(WASH_AT=720.0), state)
    ices = place == "outdoors" and air_c < 0.0
    cleaned = run.totals[[at.RINSES, at.WASHES]]
    assert cleaned.tolist() == ([0.0, 0.0] if ices else [1.0, 1.0])
    assert run.state[at.WET] == (1.0 if place == "outdoors" and not ices else 0.0)


def test_membrane_and_blower_share_a_circuit() -> None:
    described = house()
    for blower_a, together in ((5.0, True), (15.0, False)):
        used = variant(people=ALWAYS, fire=replace(described.fire, blower_current_a=blower_a))
        plan = habit(used, 1, FIRE_START=600.0, FIRE_STOP=1000.0, MEMBRANE_START=720.0)
        levels = replace(gallons(sap=400.0, stock=100.0), pan_brix=6.0)
        run = run_of(used, plan, levels)
        runs, lit = run.column(at.T_MEMBRANE_ON) > 0.0, run.column(at.T_FIRE_ON) > 0.0
        assert runs.any()
        assert lit.any()
        assert (runs & lit).any() == together


@pytest.mark.parametrize("cutouts", [3, 2])
def test_a_membrane_runs_alone_only_with_every_cutout(cutouts: int) -> None:
    flags = dict.fromkeys(("low_flow_cutout", "full_tank_cutout", "frost_cutout")[:cutouts], True)
    machine = house().membrane
    assert machine is not None
    used = variant(membrane=True, step_s=300.0, **{"stock_tank": Tank(volume_m3=3.0)})
    used = assemble(replace(used.house, membrane=replace(machine, unattended=True, **flags)))
    plan = idle(
        2,
        MEMBRANE_START=1000.0,
        MEMBRANE_STOP=1320.0,
        MEMBRANE_FLOW_M3_S=3e-5,
        NIGHT_FLOW_M3_S=1e-5,
    )
    drive = steady(used, days=2)
    run = simulate(used, drive, plan, start_state(used, gallons(sap=420.0)))
    alone = drive.calendar[:, at.PEOPLE] == 0.0
    assert ((run.column(at.T_MEMBRANE_ON) > 0.0) & alone).any() == (cutouts == 3)


@pytest.mark.parametrize("unattended", [True, False])
def test_a_membrane_that_runs_as_nobody_is_there_is_not_stopped_by_a_plan(unattended: bool) -> None:
    flags = dict.fromkeys(("low_flow_cutout", "full_tank_cutout", "frost_cutout"), True)
    machine = house().membrane
    assert machine is not None
    evening = (Person(weekdays=((1020, 1320),), weekends=((1020, 1320),)),)
    machine = replace(machine, unattended=unattended, **flags)
    used = assemble(replace(variant(people=evening).house, membrane=machine))
    plan = idle(MEMBRANE_FLOW_M3_S=1e-5)  # it asks for nothing, by day or night
    state = start_state(used, gallons(sap=400.0, stock=100.0))
    state[at.MEMBRANE_ON] = 1.0
    run = simulate(used, steady(used), plan, state)
    on = run.column(at.T_MEMBRANE_ON) > 0.0
    if not unattended:  # a house in which that cannot be
        assert not on.any()
        return
    from_h, to_h = hours_of(used, on)
    assert from_h == 0.0
    full = run.column(at.T_STOCK_M3) >= used.p[at.STOCK_CAPACITY_M3] - 1e-6
    assert 1.0 < to_h < 17.0  # long before anybody comes
    assert full[int(np.argmin(on))]
    assert run.totals[at.RINSES] == 1.0  # once somebody is back


def test_a_valve_goes_no_further_than_its_ends() -> None:
    used = variant(people=ALWAYS)
    made = []
    for flow_m3_s in (1.0, used.p[at.MOST_FLOW_M3_S]):
        plan = idle(MEMBRANE_START=0.0, MEMBRANE_STOP=120.0, MEMBRANE_FLOW_M3_S=flow_m3_s)
        made.append(run_of(used, plan, gallons(sap=300.0)).totals)
    np.testing.assert_array_equal(*made)


def test_draws_of_a_spoon_or_of_a_whole_compartment() -> None:
    """However much is drawn at a time, the sugar that gets through is nearly the same."""
    pan = house().pan
    through = []
    for draw_gal in (0.02, 0.4, 1.3):
        used = variant(people=ALWAYS, pan=replace(pan, draw_volume_m3=draw_gal * GALLON_M3))
        levels = replace(gallons(stock=160.0), pan_brix=12.0)
        run = run_of(used, idle(FIRE_START=0.0, FIRE_STOP=1440.0), levels)
        pan_kg = run.state[at.PAN_SUGAR : at.PAN_SUGAR + 5].sum()
        through.append(run.totals[at.SYRUP_SUGAR_KG] + pan_kg)
        assert run.column(at.T_PAN_BRIX).max() < 70.0
        assert run.totals[at.SYRUP_SUGAR_KG] > 5.0
    assert through == pytest.approx([through[0]] * 3, rel=0.02)


def test_houses_in_which_nothing_would_work_are_refused_by_name() -> None:
    pan = house().pan
    with pytest.raises(RangeError, match="heat_share"):
        variant(pan=replace(pan, heat_share=(0.4, 0.3, 0.2, 0.1, 0.0)))
    tiny = (*pan.compartments_m3[:4], pan.compartments_m3[4] / 1000.0)
    with pytest.raises(RangeError, match="compartments"):
        variant(pan=replace(pan, compartments_m3=tiny, boil_rate_m3_s=1e-3))
    with pytest.raises(RangeError, match=r"tank\.stock"):
        variant(stock_tank=Tank(volume_m3=0.06))
    with pytest.raises(RangeError, match="step_s"):
        assemble(house(), 700.0)


# --- concentrate once more, calls, and rinses made up --------------------------------------------


def _passing(to_brix: float, *, hoses: bool = True) -> tuple[Plant, Trace]:
    """A day with 60 gal of sap and 70 gal of stock of 6 Brix, and somebody always there."""
    machine = house().membrane
    assert machine is not None
    used = variant(people=ALWAYS, membrane=True)
    used = assemble(replace(used.house, membrane=replace(machine, passes_again=hoses)))
    plan = idle(
        MEMBRANE_START=0.0, MEMBRANE_STOP=1440.0, MEMBRANE_FLOW_M3_S=3e-5, PASS_AGAIN_BRIX=to_brix
    )
    return used, simulate(
        used, steady(used), plan, start_state(used, gallons(sap=60.0, stock=70.0))
    )


def test_stock_passes_again_until_it_is_strong_enough_and_no_sugar_is_lost() -> None:
    used, run = _passing(8.0)
    mode, brix = run.column(at.T_MEMBRANE_ON), run.column(at.T_STOCK_BRIX)
    again = np.flatnonzero(mode == 2.0)
    assert (mode[: again[0]] == 1.0).all()  # sap first, and no rinse between
    assert run.totals[at.RINSES] == 1.0
    assert brix[again[0] - 1] < 7.5
    assert 8.0 <= brix[-1] < 8.3  # stopped within a step of what was wanted
    before = start_state(used, gallons(sap=60.0, stock=70.0))
    for part in (at.WATER, at.SUGAR):
        held = sum(run.state[tank + part] for tank in (at.SAP, at.STOCK, at.PERMEATE))
        begun = sum(before[tank + part] for tank in (at.SAP, at.STOCK, at.PERMEATE))
        used_kg = run.totals[at.CLEANING_WATER_KG if part == at.WATER else at.CLEANING_SUGAR_KG]
        assert held + used_kg == pytest.approx(begun, rel=1e-12)


@pytest.mark.parametrize(("to_brix", "hoses"), [(0.0, True), (8.0, False)])
def test_stock_passes_once_where_nobody_asks_or_no_hose_reaches(
    to_brix: float, hoses: bool
) -> None:
    _, run = _passing(to_brix, hoses=hoses)
    assert (run.column(at.T_MEMBRANE_ON) < 2.0).all()


def test_the_stock_tank_keeps_the_pans_reserve_when_it_passes_again() -> None:
    used, run = _passing(30.0)  # more than this membrane makes of it
    assert run.column(at.T_STOCK_M3).min() >= used.p[at.RESERVE_M3] - 1e-9


def _second_pass(begin_h: float, end_h: float, *, hoses: bool, to_brix: float) -> Trace:
    """A house that lets its membrane run alone, its stock tank full, somebody there for a while."""
    there = (Person(weekdays=((int(begin_h * 60), int(end_h * 60)),), weekends=()),)
    machine = house().membrane
    assert machine is not None
    machine = replace(
        machine,
        passes_again=hoses,
        unattended=True,
        low_flow_cutout=True,
        full_tank_cutout=True,
        frost_cutout=True,
    )
    used = assemble(replace(variant(people=there).house, membrane=machine))
    rim_gal = used.p[at.STOCK_CAPACITY_M3] / GALLON_M3
    plan = idle(
        MEMBRANE_START=0.0, MEMBRANE_STOP=1440.0, MEMBRANE_FLOW_M3_S=2e-5, NIGHT_FLOW_M3_S=2e-5,
        PASS_AGAIN_BRIX=to_brix,
    )  # fmt: skip
    return run_of(used, plan, gallons(sap=1, stock=0.95 * rim_gal, permeate=60))


def test_a_second_pass_ends_rinsed_before_the_last_one_leaves() -> None:
    run = _second_pass(8.0, 10.0, hoses=True, to_brix=30.0)
    again = np.flatnonzero(run.column(at.T_MEMBRANE_ON) == 2.0)
    assert again[0] == 8 * 12
    assert 9.5 * 12 < again[-1] < 10 * 12 - 1
    assert not run.column(at.T_MEMBRANE_ON)[again[-1] + 1 :].any()
    assert run.totals[at.RINSES] == 1.0
    assert run.state[at.NEEDS_RINSE] == 0.0


def test_a_second_pass_does_not_begin_for_somebody_about_to_leave() -> None:
    run = _second_pass(8.0, 8.25, hoses=True, to_brix=30.0)
    assert (run.column(at.T_MEMBRANE_ON) < 2.0).all()


def test_a_house_whose_stock_passes_once_runs_as_if_nobody_asked_for_more() -> None:
    asked = _second_pass(8.0, 10.0, hoses=False, to_brix=30.0)
    plain = _second_pass(8.0, 10.0, hoses=True, to_brix=0.0)
    assert (asked.rows == plain.rows).all()
    assert (asked.totals == plain.totals).all()
    assert (asked.state == plain.state).all()


@pytest.mark.parametrize("planned", [-1.0, 1200.0])
def test_a_full_tank_calls_before_the_hour_and_on_other_days(planned: float) -> None:
    used = variant(people=ALWAYS)
    plan = idle(
        MEMBRANE_START=planned, MEMBRANE_STOP=1440.0, MEMBRANE_FLOW_M3_S=3e-5,
        MEMBRANE_CALL_M3=150 * GALLON_M3,
    )  # fmt: skip
    drive = steady(used, sap_kg_s=0.02 / len(used.points))
    run = simulate(used, drive, plan, start_state(used, gallons(sap=140.0)))
    on = np.flatnonzero(run.column(at.T_MEMBRANE_ON) > 0.0)
    before_m3 = run.column(at.T_SAP_M3)[on[0] - 1]
    assert on[0] * 5.0 < 1200.0
    assert before_m3 == pytest.approx(150 * GALLON_M3, rel=0.05)


def test_the_call_of_a_tank_opens_the_valve() -> None:
    """More of the sap is taken each hour, though it comes out weaker."""
    used = variant(people=ALWAYS)
    plan = idle(
        2, MEMBRANE_START=0.0, MEMBRANE_STOP=1440.0, MEMBRANE_FLOW_M3_S=1.5e-5,
        MEMBRANE_CALL_M3=150 * GALLON_M3,
    )  # fmt: skip
    raised = plan.copy()
    raised[0, at.CALL_FLOW_M3_S] = 6e-5
    drive = steady(used, sap_kg_s=0.05 / len(used.points), days=2)
    runs = [
        simulate(used, drive, each, start_state(used, gallons(sap=130.0)))
        for each in (plan, raised)
    ]
    sap_m3, opened_m3 = (run.column(at.T_SAP_M3) for run in runs)
    called = int(np.argmax(sap_m3 >= 150 * GALLON_M3)) + 1
    assert 0 < called < 200
    assert np.array_equal(sap_m3[:called], opened_m3[:called])
    assert sap_m3[called + 6] > opened_m3[called + 6]


def test_nobody_is_called_who_is_not_there() -> None:
    away = (Person(weekdays=((1200, 1320),), weekends=((1200, 1320),)),)
    used = variant(people=away)
    plan = idle(MEMBRANE_FLOW_M3_S=3e-5, MEMBRANE_STOP=1440.0, MEMBRANE_CALL_M3=150 * GALLON_M3)
    run = simulate(used, steady(used), plan, start_state(used, gallons(sap=300.0)))
    on = np.flatnonzero(run.column(at.T_MEMBRANE_ON) > 0.0)
    assert on[0] * 5.0 == 1200.0


def test_a_rinse_missed_is_made_up_when_somebody_is_back() -> None:
    flags = dict.fromkeys(("low_flow_cutout", "full_tank_cutout", "frost_cutout"), True)
    machine = house().membrane
    assert machine is not None
    mornings = (Person(weekdays=((0, 120), (1200, 1320)), weekends=((0, 120),)),)
    used = variant(people=mornings)
    used = assemble(replace(used.house, membrane=replace(machine, unattended=True, **flags)))
    plan = idle(
        MEMBRANE_START=0.0, MEMBRANE_STOP=60.0, MEMBRANE_FLOW_M3_S=3e-5, NIGHT_FLOW_M3_S=3e-5
    )
    run = simulate(used, steady(used), plan, start_state(used, gallons(sap=120.0, permeate=40.0)))
    stopped = np.flatnonzero(run.column(at.T_MEMBRANE_ON) > 0.0)[-1] + 1
    assert 120.0 < stopped * 5.0 < 1200.0  # with nobody there
    cleaned = np.flatnonzero(run.column(at.T_CLEANING) > 0.0)
    assert cleaned[0] * 5.0 == 1200.0
    assert run.totals[at.RINSES] == 1.0


def out_of_order(used: Plant, machine: str, begin_h: float, end_h: float) -> Plant:
    """Return the house with a machine out of order between two hours of Monday."""
    midnight_s = steady(used).begin_s
    outage = Outage(machine, int(midnight_s + begin_h * 3600), int(midnight_s + end_h * 3600))
    return replace(used, special=SpecialHours(outages=(outage,)))


def test_a_membrane_out_of_order_neither_runs_nor_is_rinsed_or_washed() -> None:
    used = variant(people=ALWAYS)
    levels = replace(gallons(sap=400, permeate=200), run_since_wash_s=36000.0, condition=0.7)
    plan = idle(MEMBRANE_START=0, MEMBRANE_STOP=1440, MEMBRANE_FLOW_M3_S=1.5e-5, WASH_AT=300)
    whole = run_of(used, plan, levels)
    assert whole.column(at.T_MEMBRANE_ON)[:36].any()
    assert whole.totals[at.WASHES] == 1.0
    trace = run_of(out_of_order(used, "membrane", 0.0, 12.0), plan, levels)
    on, condition = trace.column(at.T_MEMBRANE_ON), trace.column(at.T_CONDITION)
    assert not on[: 12 * 12].any()
    assert on[12 * 12 :].any()
    assert (condition[: 12 * 12] == condition[0]).all()  # neither rinsed nor washed
    # one that is to be taken apart at noon is stopped and rinsed before
    later = run_of(out_of_order(used, "membrane", 12.0, 24.0), plan, levels)
    assert later.totals[at.WASHES] == 1.0
    assert not later.column(at.T_MEMBRANE_ON)[12 * 12 :].any()
    assert later.state[at.NEEDS_RINSE] == 0.0


def test_a_membrane_that_breaks_down_while_it_runs_stands_unrinsed() -> None:
    used = out_of_order(variant(people=ALWAYS), "membrane", 0.0, 24.0)
    levels = replace(gallons(sap=300, permeate=200), membrane_on=True)
    trace = run_of(used, idle(), levels)
    assert trace.totals[at.MEMBRANE_S] == 0.0
    assert trace.totals[at.RINSES] == 0.0
    assert trace.state[at.NEEDS_RINSE] == 1.0


@pytest.mark.parametrize("begin_h", [0.0, 5.0])
def test_a_pan_to_be_mended_is_cold_by_then(begin_h: float) -> None:
    used = out_of_order(variant(people=ALWAYS), "pan", begin_h, 12.0)
    plan = idle(FIRE_START=0, FIRE_STOP=1440, FIRE_STOCK_M3=0.0, FIRE_CALL_M3=0.01)
    trace = run_of(used, plan, gallons(stock=150))
    heat, out = trace.column(at.T_HEAT), slice(int(begin_h * 12), 12 * 12)
    assert not trace.column(at.T_FIRE_ON)[out].any()
    assert heat[out].max(initial=0.0) <= 0.1  # of its full heat: it may be left, as for people
    assert trace.column(at.T_FIRE_ON)[12 * 12 :].any()
    assert trace.column(at.T_FIRE_ON)[: out.start].any() == (begin_h > 0.0)


def test_with_its_pump_out_of_order_a_gathering_tank_fills() -> None:
    pumped = INVENTED.replace(
        "taps = 300",
        'taps = 300\nway = "pump"\n[gathering.tank]\nvolume = "100 gal"\n[gathering.pump]',
    )
    used = assemble(parse_house(pumped))
    runs = simulate(used, steady(used, 0.02), idle(), start_state(used, Levels()))
    stands = out_of_order(used, "pump", 0.0, 24.0)
    trace = simulate(stands, steady(stands, 0.02), idle(), start_state(stands, Levels()))
    assert runs.column(at.T_SAP_M3)[-1] > 0.0
    assert trace.column(at.T_SAP_M3)[-1] == 0.0
    assert trace.totals[at.SPILLED_WATER_KG] > 0.0


def test_somebody_who_is_away_lights_no_fire() -> None:
    used = variant(people=ALWAYS)
    plan = idle(FIRE_START=0, FIRE_STOP=1440, FIRE_STOCK_M3=0.0)
    begin_s = steady(used).begin_s
    name = used.house.people[0].name
    away = Presence(name, begin_s, begin_s + 12 * 3600, there=False)
    trace = run_of(replace(used, special=SpecialHours(presence=(away,))), plan, gallons(stock=150))
    fire = trace.column(at.T_FIRE_ON)
    assert not fire[: 12 * 12].any()
    assert fire[12 * 12 :].any()
    assert trace.totals[at.LIT_ALONE_S] == 0.0


@pytest.mark.parametrize("step_s", [300.0, 900.0])
def test_draws_that_come_close_together_are_seen_at_the_reserve(step_s: float) -> None:
    """A rich pan gives several draws within a step, and each takes feed of its own."""
    plant = variant(step_s=step_s, people=ALWAYS)
    levels = replace(gallons(stock=45.0), pan_brix=45.0)
    plan = idle(FIRE_START=0.0, FIRE_STOCK_M3=0.0, FIRE_STOP=1440.0)
    trace = run_of(plant, plan, levels)
    assert trace.totals[at.DRAWS] > 10.0
    assert trace.totals[at.SHORT_S] == 0.0


@pytest.mark.parametrize("pan_brix", [2.0, 20.0, 35.0, 45.0, 50.0, 55.0, 60.0])
def test_a_fire_is_let_go_with_feed_enough_for_what_a_rich_pan_still_draws(pan_brix: float) -> None:
    """A pan of some 50 Brix throughout draws several times as much as its fire boils off."""
    plan = idle(FIRE_START=0.0, FIRE_STOCK_M3=0.0, FIRE_STOP=1440.0)
    burnt = []
    for stock_gal in (20.0, 25.0, 28.0, 35.0, 50.0, 80.0, 120.0):
        for feed_brix in (3.0, 14.0):
            feed = Contents(stock_gal * GALLON_M3, brix=feed_brix)
            levels = Levels(stock=feed, pan_brix=pan_brix)
            trace = run_of(variant(people=ALWAYS), plan, levels)
            assert trace.totals[at.SHORT_S] == 0.0
            assert trace.totals[at.BUCKET_WATER_KG] == 0.0
            burnt.append(trace.totals[at.LIGHT_UPS] > 0.0)
    assert burnt[-1]
