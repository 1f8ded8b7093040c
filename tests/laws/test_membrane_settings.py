"""Laws of the membrane asked backwards, of a tank going round, and of condition."""

import math
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.errors import RangeError
from sugarwright.physics.membrane_built import Built, point_of
from sugarwright.physics.membrane_condition import (
    condition_from_permeate,
    fouled_condition,
    recovered_condition,
)
from sugarwright.physics.membrane_limits import stress_of
from sugarwright.physics.membrane_pump import pump_flow_m3_s
from sugarwright.physics.membrane_settings import (
    flow_for_brix,
    flow_on_pump,
    pressure_for_brix,
    pressure_for_permeate,
    pressure_on_pump,
)
from sugarwright.physics.membrane_tank import batch, single_pass
from sugarwright.physics.solution import density_kg_m3

GAL_H = 3.785411784e-3 / 3600.0
FEW = {"max_examples": 12, "deadline": None}


def machine(elements=2, loop_gal_h=0.0, condition=1.0):
    leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600)
    return Built(loop_gal_h * GAL_H, elements, 1, *leaf, condition, 1.0, 1.0, 2)


settings_ = st.fixed_dictionaries(
    {
        "brix": st.floats(0.8, 4.0),
        "temperature_c": st.floats(0.5, 20.0),
        "pressure_pa": st.floats(5e5, 20e5),
        "flow_m3_s": st.floats(12.0 * GAL_H, 80.0 * GAL_H),
        "built": st.builds(machine, st.integers(1, 2), st.floats(0.0, 120.0), st.floats(0.5, 1.1)),
    }
)


def point(case):
    return point_of(
        case["brix"], case["temperature_c"], case["pressure_pa"], case["flow_m3_s"], case["built"]
    )


def feed_m3_s(case):
    return point(case).feed_kg_s / density_kg_m3(case["brix"], case["temperature_c"])


@settings(**FEW)
@given(settings_)
def test_pressure_comes_back_from_what_it_made(case):
    made, sap = point(case), (case["brix"], case["temperature_c"])
    held = (*sap, case["flow_m3_s"], case["built"])
    pressure_pa = case["pressure_pa"]
    assert pressure_for_brix(made.concentrate_brix, *held) == pytest.approx(pressure_pa, rel=1e-5)
    assert pressure_for_permeate(made.permeate_kg_s, *held) == pytest.approx(pressure_pa, rel=1e-5)
    given_m3_s = feed_m3_s(case)
    fixed = pressure_on_pump(given_m3_s, math.inf, *held)
    assert fixed == pytest.approx(pressure_pa, rel=1e-5)


@settings(**FEW)
@given(settings_)
def test_flow_comes_back_from_what_it_made(case):
    made, sap = point(case), (case["brix"], case["temperature_c"])
    held = (*sap, case["pressure_pa"], 5.0 * GAL_H, 200.0 * GAL_H, case["built"])
    flow_m3_s = case["flow_m3_s"]
    assert flow_for_brix(made.concentrate_brix, *held) == pytest.approx(flow_m3_s, rel=1e-5)
    assert flow_on_pump(feed_m3_s(case), math.inf, *held) == pytest.approx(flow_m3_s, rel=1e-5)


@settings(**FEW)
@given(settings_, st.floats(1.1, 3.0), st.floats(0.2, 0.9))
def test_a_pump_gives_what_the_membrane_takes(case, free, share):
    """The pump's curve laid through a known setting meets the membrane just there."""
    made, sap = point(case), (case["brix"], case["temperature_c"])
    shutoff_pa = made.inlet_pressure_pa / share
    free_m3_s = feed_m3_s(case) / math.sqrt(1.0 - share)
    held = (*sap, case["flow_m3_s"], case["built"])
    found_pa = pressure_on_pump(free_m3_s, shutoff_pa, *held)
    assert found_pa == pytest.approx(case["pressure_pa"], rel=1e-5)
    with suppress(RangeError):  # a pump so large asks for a pressure beyond the model
        assert pressure_on_pump(free * free_m3_s, shutoff_pa, *held) > found_pa


def test_what_no_setting_gives_is_refused():
    held = (2.0, 5.0, 24.0 * GAL_H, machine())
    with pytest.raises(RangeError, match="pressure_for_brix"):
        pressure_for_brix(1.0, *held)  # weaker than the sap
    with pytest.raises(RangeError, match="pressure_for_permeate"):
        pressure_for_permeate(10.0, *held)
    with pytest.raises(RangeError, match="flow_for_brix"):
        flow_for_brix(9.0, 2.0, 5.0, 8e5, 20.0 * GAL_H, 40.0 * GAL_H, machine())


@settings(**FEW)
@given(st.floats(1e-6, 1e-3), st.floats(2e5, 20e5), st.floats(0.0, 1.0))
def test_a_pump_never_gives_more_than_free(free_m3_s, shutoff_pa, share):
    flow = pump_flow_m3_s(share * shutoff_pa, free_m3_s, shutoff_pa)
    assert 0.0 <= flow <= free_m3_s
    assert pump_flow_m3_s(1.1 * shutoff_pa, free_m3_s, shutoff_pa) == 0.0
    assert pump_flow_m3_s(share * shutoff_pa, free_m3_s, math.inf) == free_m3_s


@settings(max_examples=8, deadline=None)
@given(st.floats(1.0, 3.0), st.floats(1.2, 2.5), st.floats(0.0, 120.0))
def test_a_tank_going_round_balances_sugar(brix, times, loop_gal_h):
    built = machine(2, loop_gal_h)
    done = batch(0.5, brix, times * brix, 5.0, 15e5, 60.0 * GAL_H, 0.5, built)
    start_kg = 0.5 * density_kg_m3(brix, 5.0)
    assert done.concentrate_brix == pytest.approx(times * brix, rel=1e-12)
    assert done.concentrate_kg + done.permeate_kg == pytest.approx(start_kg, rel=1e-12)
    sugar = 0.01 * done.concentrate_brix * done.concentrate_kg + done.permeate_sugar_kg
    assert sugar == pytest.approx(0.01 * brix * start_kg, rel=1e-12)
    # What passed is what the permeate carries: between its strength with the sap and at the end.
    first, last = (point_of(b, 5.0, 15e5, 60.0 * GAL_H, built) for b in (brix, times * brix))
    weakest, strongest = (p.permeate_sugar_kg_s / p.permeate_kg_s for p in (first, last))
    assert weakest <= done.permeate_sugar_kg / done.permeate_kg <= strongest
    longer = batch(0.5, brix, 1.05 * times * brix, 5.0, 15e5, 60.0 * GAL_H, 0.5, built)
    assert longer.duration_s > done.duration_s > 0.0
    assert longer.energy_j > done.energy_j > 0.0


def test_a_tank_that_never_gets_there_says_so():
    """8 Brix has an osmotic pressure of 6 bar: no 5 bar make it; nor does it get weaker."""
    for wanted in (8.0, 1.5):
        done = batch(0.5, 2.0, wanted, 5.0, 5e5, 60.0 * GAL_H, 0.5, machine())
        assert math.isinf(done.duration_s)
        assert done.permeate_kg == 0.0


@settings(**FEW)
@given(settings_)
def test_once_through_is_the_point_for_as_long_as_the_tank_lasts(case):
    done = single_pass(
        0.4, case["brix"], case["temperature_c"], case["pressure_pa"], case["flow_m3_s"], 0.5,
        case["built"],
    )  # fmt: skip
    start_kg = 0.4 * density_kg_m3(case["brix"], case["temperature_c"])
    assert done.concentrate_kg + done.permeate_kg == pytest.approx(start_kg, rel=1e-9)
    assert done.duration_s == pytest.approx(start_kg / point(case).feed_kg_s, rel=1e-9)
    kept = 0.01 * done.concentrate_brix * done.concentrate_kg + done.permeate_sugar_kg
    assert kept == pytest.approx(0.01 * case["brix"] * start_kg, rel=1e-8)


@settings(**FEW)
@given(settings_)
def test_stress_is_that_of_the_elements_own_flow(case):
    stress = stress_of(
        point(case), case["temperature_c"], case["pressure_pa"], case["flow_m3_s"], case["built"]
    )
    through = case["flow_m3_s"] + case["built"].recirculation_flow_m3_s
    assert stress.least_flow_m3_s == pytest.approx(through, rel=1e-12)
    # What enters the first element is what left the last and the permeate.
    permeate = point(case).permeate_kg_s / density_kg_m3(0.0, case["temperature_c"])
    assert stress.greatest_flow_m3_s == pytest.approx(through + permeate, rel=2e-3)
    whole_pa = point(case).inlet_pressure_pa - case["pressure_pa"]
    elements = case["built"].elements_in_series
    assert whole_pa / elements * (1.0 - 1e-9) <= stress.pressure_drop_pa <= whole_pa * (1.0 + 1e-9)


@settings(**FEW)
@given(st.floats(0.2, 1.2), st.floats(2e5, 10e5), st.floats(1.0, 40.0))
def test_a_clean_water_test_finds_the_condition_again(condition, pressure_pa, temperature_c):
    built = machine(2, 0.0, condition)._replace(friction_factor_multiplier=0.0)
    made = point_of(0.0, temperature_c, pressure_pa, 24.0 * GAL_H, built)
    permeate_m3_s = made.permeate_kg_s / density_kg_m3(0.0, temperature_c)
    found = condition_from_permeate(
        permeate_m3_s, pressure_pa, temperature_c, 5.2, built.permeability_25_m_s_pa
    )
    assert found == pytest.approx(condition, rel=1e-7)


@given(st.floats(0.1, 1.0), st.floats(0.0, 0.3), st.floats(0.0, 1e5), st.floats(0.0, 1e5))
def test_fouling_only_takes_and_washing_only_gives(condition, loss, first_s, second_s):
    once = fouled_condition(condition, loss, first_s + second_s)
    assert once == pytest.approx(
        fouled_condition(fouled_condition(condition, loss, first_s), loss, second_s), rel=1e-9
    )
    assert 0.0 <= once <= condition
    assert once <= recovered_condition(once, 0.4) <= recovered_condition(once, 0.9) <= 1.0
    assert recovered_condition(once, 0.0) == once
    assert recovered_condition(once, 1.0) == pytest.approx(1.0)
