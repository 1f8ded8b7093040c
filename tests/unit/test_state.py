"""Readings become the state from which a run starts; what cannot be is refused by name."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planning_cases import demo_house, demo_plant, without_membrane
from plant_houses import GALLON_M3, habit, made_drive, plant
from sugarwright.errors import InputError, RangeError
from sugarwright.physics.keeping import doubling_time_s
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.balance import held
from sugarwright.plant.simulate import simulate
from sugarwright.plant.state import AGED_AT_C, Contents, Levels, start_state, start_totals
from sugarwright.plant.tank_kernel import volume_m3


@pytest.mark.parametrize("brix", [0.0, 2.0, 8.0, 20.0])
def test_a_tank_holds_what_was_read(brix: float) -> None:
    used = plant()
    state = start_state(used, Levels(sap=Contents(0.5, brix=brix)))
    parcel = held(used, state)["sap tank"]
    assert volume_m3(used.p, state, at.SAP) == pytest.approx(0.5, rel=1e-12)
    assert parcel.sugar_kg / parcel.mass_kg == pytest.approx(brix / 100.0)
    # Volumes that add up are within 0.06 % of the density of sucrose solutions to 20 Brix.
    assert parcel.mass_kg / 0.5 == pytest.approx(density_kg_m3(brix, 4.0), rel=6e-4)


def test_age_is_told_in_cells() -> None:
    used = plant()
    p = used.p
    doubling_s = doubling_time_s(AGED_AT_C, p[at.GROWTH_SLOPE], p[at.GROWTH_LEAST_C])
    levels = Levels(
        sap=Contents(0.5, age_s=2.0 * doubling_s), stock=Contents(0.1, brix=6.0, age_s=doubling_s)
    )
    state = start_state(used, levels)
    assert state[at.SAP + at.CELLS] == pytest.approx(4.0)
    # Concentrate of three times the strength holds three times the cells, and has aged since.
    assert state[at.STOCK + at.CELLS] == pytest.approx(6.0)


def test_the_pan_is_empty_or_full() -> None:
    used = plant()
    assert start_state(used, Levels())[at.PAN_FILLED] == 0.0
    state = start_state(used, Levels(pan_brix=10.0))
    parcel = held(used, state)["pan"]
    assert parcel.sugar_kg / parcel.mass_kg == pytest.approx(0.10)
    # 26 gal, some of it dense
    assert parcel.mass_kg == pytest.approx(26.0 * GALLON_M3 * 985.0, rel=0.05)


def test_wood_is_what_the_house_says_unless_read() -> None:
    used = plant()
    assert start_state(used, Levels())[at.WOOD_M3] == used.house.fire.wood_on_hand_wood_m3
    assert start_state(used, Levels(wood_m3=0.0))[at.WOOD_M3] == 0.0


@pytest.mark.parametrize(
    ("levels", "field"),
    [
        (Levels(sap=Contents(2.0)), "sap tank volume"),
        (Levels(sap=Contents(-0.1)), "sap tank volume"),
        (Levels(stock=Contents(float("nan"))), "stock tank volume"),
        (Levels(permeate=Contents(1.0, brix=99.0)), "permeate tank brix"),
        (Levels(sap=Contents(0.1, temperature_c=80.0)), "sap tank temperature_c"),
        (Levels(sap=Contents(0.1, age_s=-1.0)), "sap tank age_s"),
        (Levels(pan_brix=90.0), "pan_brix"),
        (Levels(wood_m3=-1.0), "wood_m3"),
        (Levels(condition=0.0), "condition"),
        (Levels(run_since_wash_s=float("inf")), "run_since_wash_s"),
    ],
)
def test_what_cannot_be_is_refused(levels: Levels, field: str) -> None:
    with pytest.raises(RangeError, match=field):
        start_state(plant(), levels)


def test_nothing_has_happened_at_the_start() -> None:
    totals = start_totals()
    never = (at.SAP_FULL_AT_S, at.STOCK_FULL_AT_S, at.SPOILED_AT_S, at.FIRST_DRAW_AT_S)
    assert all(totals[each] == -1.0 for each in never)
    assert totals.sum() == -4.0


def test_a_run_leaves_its_start_alone() -> None:
    used = plant()
    start = start_state(used, replace(Levels(), sap=Contents(0.8)))
    before = start.copy()
    simulate(used, made_drive(used, 1, 1), habit(used, 1), start)
    assert (start == before).all()


def test_what_runs_goes_on() -> None:
    plant = demo_plant()
    x = start_state(plant, Levels(membrane_on=True, fire_on=True, pan_brix=20.0))
    assert x[at.MEMBRANE_ON] == x[at.FIRE_ON] == 1.0
    assert x[at.HEAT_W] == plant.p[at.FULL_HEAT_W]
    assert x[at.PAN_TEMPERATURE] == plant.p[at.BOILING_C]


def test_a_fire_that_was_let_go_gives_what_heat_it_has_and_is_not_stoked() -> None:
    plant = demo_plant()
    x = start_state(plant, Levels(heat_fraction=0.4, pan_brix=20.0))
    assert x[at.FIRE_ON] == 0.0
    assert x[at.HEAT_W] == 0.4 * plant.p[at.FULL_HEAT_W]
    assert x[at.PAN_TEMPERATURE] == plant.p[at.BOILING_C]
    stoked = start_state(plant, Levels(heat_fraction=0.4, fire_on=True, pan_brix=20.0))
    assert stoked[at.HEAT_W] == plant.p[at.FULL_HEAT_W]


@pytest.mark.parametrize("heat_fraction", [-0.1, 1.1])
def test_no_dying_fire_gives_more_than_a_full_one(heat_fraction: float) -> None:
    with pytest.raises(RangeError, match="heat_fraction"):
        start_state(demo_plant(), Levels(heat_fraction=heat_fraction, pan_brix=20.0))


@pytest.mark.parametrize("levels", [Levels(fire_on=True), Levels(heat_fraction=0.4)])
def test_a_fire_under_an_empty_pan_is_refused(levels: Levels) -> None:
    with pytest.raises(InputError, match="pan-brix"):
        start_state(demo_plant(), levels)


def test_a_house_without_a_membrane_runs_none() -> None:
    plant = assemble(without_membrane(demo_house()))
    with pytest.raises(InputError, match="no membrane"):
        start_state(plant, Levels(membrane_on=True))
