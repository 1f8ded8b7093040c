"""Laws that a membrane obeys whatever its coefficients."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from sugarwright.errors import RangeError
from sugarwright.physics.activity import osmotic_pressure_pa
from sugarwright.physics.membrane import operating_point
from sugarwright.physics.membrane_channel import permeability_at
from sugarwright.physics.solution import density_kg_m3

GAL_H = 3.785411784e-3 / 3600.0
LITRE_M2_H = 1e-3 / 3600.0
SPEED = {"max_examples": 25, "deadline": None}

USUAL = {
    "feed_brix": 2.0,
    "temperature_c": 5.0,
    "exit_pressure_pa": 8.3e5,
    "concentrate_flow_m3_s": 24.0 * GAL_H,
    "recirculation_flow_m3_s": 0.0,
    "elements_in_series": 1,
    "trains_in_parallel": 1,
    "element_area_m2": 2.6,
    "element_length_m": 0.9,
    "spacer_height_m": 0.71e-3,
    "spacer_porosity": 0.89,
    "permeability_25_m_s_pa": 5.0 * LITRE_M2_H / 1e5,
    "sugar_permeability_m_s": 0.02 * LITRE_M2_H,
    "condition_fraction": 1.0,
    "film_factor": 1.0,
    "friction_factor_multiplier": 1.0,
    "cells_per_element": 2,
}

machines = st.fixed_dictionaries(
    {
        "feed_brix": st.floats(0.2, 10.0),
        "temperature_c": st.floats(0.0, 30.0),
        "exit_pressure_pa": st.floats(2e5, 41e5),
        "concentrate_flow_m3_s": st.floats(5.0 * GAL_H, 200.0 * GAL_H),
        "recirculation_flow_m3_s": st.floats(0.0, 300.0 * GAL_H),
        "elements_in_series": st.integers(1, 3),
        "element_area_m2": st.floats(1.0, 9.0),
        "condition_fraction": st.floats(0.2, 1.2),
        "film_factor": st.floats(0.5, 2.0),
        "sugar_permeability_m_s": st.sampled_from([0.0, 0.02 * LITRE_M2_H, 2.0 * LITRE_M2_H]),
    }
)


def run(**changes):
    return operating_point(**{**USUAL, **changes})


@settings(**SPEED)
@given(machines)
def test_water_and_sugar_balance(machine):
    point = run(**machine)
    assert all(math.isfinite(value) for value in point)
    assert point.feed_kg_s == pytest.approx(point.concentrate_kg_s + point.permeate_kg_s, rel=1e-12)
    fed = 0.01 * machine["feed_brix"] * point.feed_kg_s
    kept = 0.01 * point.concentrate_brix * point.concentrate_kg_s
    assert fed == pytest.approx(kept + point.permeate_sugar_kg_s, rel=1e-9)


@settings(**SPEED)
@given(machines)
def test_the_valve_sets_the_concentrate_and_friction_only_adds_pressure(machine):
    point = run(**machine)
    density = density_kg_m3(point.concentrate_brix, machine["temperature_c"])
    flow = point.concentrate_kg_s / density
    assert flow == pytest.approx(machine["concentrate_flow_m3_s"], rel=1e-12)
    assert point.inlet_pressure_pa > machine["exit_pressure_pa"]
    assert 0.0 <= point.permeate_sugar_kg_s <= point.permeate_kg_s
    assert point.concentrate_brix >= machine["feed_brix"]


@settings(**SPEED)
@given(machines, st.floats(1.02, 1.5))
def test_more_pressure_more_permeate(machine, times):
    # Over the osmotic pressure of the sap: below, what passes is a trickle of sap.
    assume(machine["exit_pressure_pa"] > 1.1 * osmotic_pressure_pa(machine["feed_brix"], 30.0))
    higher = dict(machine, exit_pressure_pa=min(45e5, times * machine["exit_pressure_pa"]))
    assume(higher["exit_pressure_pa"] > 1.01 * machine["exit_pressure_pa"])
    less, more = run(**machine), run(**higher)
    assert more.permeate_kg_s > less.permeate_kg_s
    if machine["sugar_permeability_m_s"] < 1e-7:  # a loose membrane may let the sugar go as well
        assert more.concentrate_brix > less.concentrate_brix


@settings(**SPEED)
@given(machines, st.floats(1.05, 3.0))
def test_a_wider_valve_gives_weaker_concentrate(machine, times):
    assume(machine["exit_pressure_pa"] > 1.1 * osmotic_pressure_pa(machine["feed_brix"], 30.0))
    # Friction left out: it raises the pressure upstream, and so may win back what the flow loses.
    smooth = dict(machine, friction_factor_multiplier=0.0)
    wider = dict(smooth, concentrate_flow_m3_s=times * machine["concentrate_flow_m3_s"])
    # With membrane to spare both end at the osmotic pressure: equal, to the balance's tolerance.
    assert run(**wider).concentrate_brix < run(**smooth).concentrate_brix * (1.0 + 1e-9)


@settings(**SPEED)
@given(
    st.floats(0.2, 4.0),
    st.floats(10.0, 30.0),
    st.floats(1.0, 10.0),
    st.floats(5e5, 15e5),
    st.floats(20.0, 60.0),
    st.floats(0.5, 2.0),
)
def test_colder_sap_gives_less_permeate(brix, warm_c, colder_k, pressure_pa, gal_h, film_factor):
    """One small element, well over the osmotic pressure.

    A machine with membrane to spare works up to the osmotic pressure itself, and that is a little
    lower in the cold: there the law need not hold.
    """
    assume(pressure_pa > 1.5 * osmotic_pressure_pa(brix, 30.0))
    setting = {
        "feed_brix": brix,
        "exit_pressure_pa": pressure_pa,
        "concentrate_flow_m3_s": gal_h * GAL_H,
        "film_factor": film_factor,
    }
    cold = run(**setting, temperature_c=warm_c - colder_k)
    assert cold.permeate_kg_s < run(**setting, temperature_c=warm_c).permeate_kg_s


@settings(**SPEED)
@given(machines, st.floats(0.5, 0.95))
def test_a_worn_membrane_gives_less(machine, left):
    assume(machine["exit_pressure_pa"] > 1.1 * osmotic_pressure_pa(machine["feed_brix"], 30.0))
    worn = dict(machine, condition_fraction=left * machine["condition_fraction"])
    assert run(**worn).permeate_kg_s < run(**machine).permeate_kg_s


@settings(max_examples=10, deadline=None)
@given(machines, st.integers(2, 6))
def test_parallel_trains_split_the_flow(machine, trains):
    """Any number of trains makes so many times what one makes of its share."""
    share = dict(
        machine,
        concentrate_flow_m3_s=machine["concentrate_flow_m3_s"] / trains,
        recirculation_flow_m3_s=machine["recirculation_flow_m3_s"] / trains,
    )
    all_of_them, one = run(**machine, trains_in_parallel=trains), run(**share)
    assert all_of_them.concentrate_brix == pytest.approx(one.concentrate_brix, rel=1e-9)
    assert all_of_them.permeate_kg_s == pytest.approx(trains * one.permeate_kg_s, rel=1e-9)
    assert all_of_them.inlet_pressure_pa == pytest.approx(one.inlet_pressure_pa, rel=1e-9)


@settings(**SPEED)
@given(st.floats(0.5, 12.0), st.floats(0.0, 30.0), st.floats(0.0, 0.8))
def test_below_the_osmotic_pressure_nothing_comes(brix, temperature_c, share):
    """A perfect membrane gives nothing; a real one a trickle of the order of what leaks."""
    pressure_pa = share * osmotic_pressure_pa(brix, temperature_c)
    # Without friction, or the inlet would have more pressure than the gauge at the other end shows.
    still = {
        "feed_brix": brix,
        "temperature_c": temperature_c,
        "exit_pressure_pa": pressure_pa,
        "friction_factor_multiplier": 0.0,
    }
    perfect = run(**still, sugar_permeability_m_s=0.0)
    assert perfect.permeate_kg_s == 0.0
    assert perfect.concentrate_brix == pytest.approx(brix, rel=1e-12)
    assert perfect.feed_kg_s == perfect.concentrate_kg_s
    leaking_m3_s = USUAL["element_area_m2"] * USUAL["sugar_permeability_m_s"]
    # Flux x (osmotic - pressure) < leak x osmotic, from the law of the flux; and some slack for the
    # curve of osmotic pressure.
    assert run(**still).permeate_kg_s < 1.2 * 1000.0 * leaking_m3_s / (1.0 - share)


@settings(**SPEED)
@given(st.floats(1e5, 40e5), st.floats(0.0, 40.0))
def test_water_alone_meets_the_membrane_alone(pressure_pa, temperature_c):
    """No sugar, no friction: area x permeability x pressure, to rounding."""
    point = run(
        feed_brix=0.0,
        temperature_c=temperature_c,
        exit_pressure_pa=pressure_pa,
        friction_factor_multiplier=0.0,
    )
    permeability = permeability_at(USUAL["permeability_25_m_s_pa"], temperature_c)
    flow_m3_s = USUAL["element_area_m2"] * permeability * pressure_pa
    expected = flow_m3_s * density_kg_m3(0.0, temperature_c)
    assert point.permeate_kg_s == pytest.approx(expected, rel=1e-8)
    assert point.concentrate_brix == 0.0


def test_recirculation_sweeps_the_wall_and_sweetens_the_loop():
    """Faster flow thins the film; the loop is stronger than the sap. Without film, only the second.

    With a film factor of 10 hardly any polarisation is left to be swept away.
    """
    loop = {"recirculation_flow_m3_s": 240.0 * GAL_H, "exit_pressure_pa": 20e5}
    still = {"exit_pressure_pa": 20e5}
    assert run(**loop).permeate_kg_s > run(**still).permeate_kg_s
    thin = {"film_factor": 10.0, "friction_factor_multiplier": 0.0}
    assert run(**loop, **thin).permeate_kg_s < run(**still, **thin).permeate_kg_s


def test_what_cannot_be_is_said():
    """Far more flow than the channel takes: no strength of concentrate fits, nothing is made."""
    choked = run(
        recirculation_flow_m3_s=0.1, elements_in_series=6, concentrate_flow_m3_s=2.0 * GAL_H
    )
    assert not choked.solved
    assert choked.permeate_kg_s == 0.0
    assert choked.feed_kg_s == choked.concentrate_kg_s
    assert choked.concentrate_brix == USUAL["feed_brix"]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("feed_brix", -0.1),
        ("temperature_c", -2.0),
        ("exit_pressure_pa", math.nan),
        ("concentrate_flow_m3_s", 0.0),
        ("elements_in_series", 0),
        ("spacer_porosity", 1.2),
    ],
)
def test_a_value_out_of_range_is_named(name, value):
    with pytest.raises(RangeError, match=name):
        run(**{name: value})
