"""Laws of lines, pumps and keeping."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.physics.gravity import gravity_flow_m3_s, natural_vacuum_pa
from sugarwright.physics.hydraulics import (
    friction_factor,
    friction_head_m,
    pump_head_m,
    pumped_flow_m3_s,
)
from sugarwright.physics.keeping import doubling_time_s, growth_rate_per_s, life_used, log_growth

some = settings(max_examples=60, deadline=None)
bores = st.floats(4e-3, 0.05)
lengths = st.floats(1.0, 1000.0)
roughnesses = st.floats(0.0, 1e-5)
densities = st.floats(1000.0, 1330.0)
viscosities = st.floats(1e-3, 0.2)
JUMP = 2040.0


@some
@given(st.floats(2040.0, 1e7), st.floats(0.0, 0.04))
def test_turbulent_friction_falls_with_speed_and_rises_with_roughness(reynolds, roughness):
    factor = friction_factor(reynolds, roughness)
    assert friction_factor(reynolds * 1.1, roughness) < factor
    assert friction_factor(reynolds, roughness + 0.005) > factor


@some
@given(st.floats(1e-7, 5e-3), bores, lengths, roughnesses, densities, viscosities)
def test_more_flow_loses_more_head(flow, bore, length, roughness, density, viscosity):
    line = (bore, length, roughness, density, viscosity)
    head = friction_head_m(flow, *line)
    assert head > 0.0
    assert friction_head_m(flow * 1.01, *line) > head
    twice = (bore, 2.0 * length, roughness, density, viscosity)
    assert friction_head_m(flow, *twice) == pytest.approx(2.0 * head, rel=1e-12)


@some
@given(
    st.floats(1.0, 60.0), st.floats(1e-4, 5e-3), st.floats(-10.0, 30.0),
    bores, lengths, roughnesses, densities, viscosities,
)  # fmt: skip
def test_pump_and_line_agree_on_the_flow(
    shutoff, free, static, bore, length, roughness, density, viscosity
):
    line = (bore, length, roughness, density, viscosity)
    flow = pumped_flow_m3_s(shutoff, free, static, *line)
    if static >= shutoff:
        assert flow == 0.0
        return
    assert 0.0 <= flow <= free

    def spare_head_m(at_flow: float) -> float:
        needed = static + friction_head_m(at_flow, *line)
        return pump_head_m(at_flow, shutoff, free) - needed

    # The pump has head to spare just below and too little just above: also across the jump.
    slightly = 1e-9 * free
    assert spare_head_m(max(0.0, flow - slightly)) > 0.0
    if flow < free * (1.0 - 1e-9):
        assert spare_head_m(flow + slightly) < 0.0


@some
@given(st.floats(0.0, 0.99), bores, roughnesses, densities, viscosities)
def test_a_steeper_line_never_carries_less(slope, bore, roughness, density, viscosity):
    rest = (bore, roughness, density, viscosity)
    assert gravity_flow_m3_s(slope + 0.01, *rest) >= gravity_flow_m3_s(slope, *rest)


@some
@given(st.floats(0.001, 1.0), bores, roughnesses, densities, viscosities)
def test_gravity_flow_balances_friction_or_sits_at_the_jump(
    slope, bore, roughness, density, viscosity
):
    flow = gravity_flow_m3_s(slope, bore, roughness, density, viscosity)
    reynolds = 4.0 * density * flow / (math.pi * bore * viscosity)
    if reynolds == pytest.approx(JUMP, rel=1e-9):
        speed = flow / (0.25 * math.pi * bore**2)
        by_factor = speed**2 / (2.0 * 9.80665 * bore)
        laminar, turbulent = 64.0 / JUMP, friction_factor(JUMP, roughness / bore)
        assert by_factor * laminar * (1 - 1e-6) <= slope <= by_factor * turbulent * (1 + 1e-6)
    else:
        lost_per_metre = friction_head_m(flow, bore, 1.0, roughness, density, viscosity)
        assert lost_per_metre == pytest.approx(slope, rel=1e-8)


def test_a_level_line_carries_nothing():
    assert gravity_flow_m3_s(0.0, 5e-3, 0.0, 1007.0, 1.6e-3) == 0.0


@some
@given(st.floats(0.0, 40.0), st.floats(0.0, 1.0), st.floats(0.0, 20.0), st.floats(80e3, 105e3))
def test_vacuum_stays_between_nothing_and_boiling(drop, filled, friction, ambient):
    vacuum = natural_vacuum_pa(drop, filled, friction, ambient, 4.0)
    assert 0.0 <= vacuum < ambient
    assert natural_vacuum_pa(drop + 1.0, filled, friction, ambient, 4.0) >= vacuum


@some
@given(st.floats(-5.9, 29.0), st.floats(0.02, 0.05))
def test_warmer_sap_spoils_sooner(temperature_c, slope):
    rate = growth_rate_per_s(temperature_c, slope, -6.0)
    assert growth_rate_per_s(temperature_c + 1.0, slope, -6.0) > rate > 0.0
    grown = math.exp(rate * doubling_time_s(temperature_c, slope, -6.0))
    assert grown == pytest.approx(2.0, rel=1e-9)


@some
@given(st.floats(-20.0, 30.0), st.floats(0.0, 1e5), st.floats(0.0, 1e5))
def test_growth_in_two_spells_is_growth_in_one(temperature_c, first_s, second_s):
    rate = growth_rate_per_s(temperature_c, 0.03, -6.0)
    apart = math.exp(rate * first_s) * math.exp(rate * second_s)
    assert log_growth(apart) == pytest.approx(rate * (first_s + second_s) / math.log(10), abs=1e-9)


@some
@given(st.floats(1.0, 1e12), st.floats(0.5, 6.0))
def test_life_used_is_a_share_of_the_logarithm(ratio, spoiled_log):
    assert life_used(ratio, spoiled_log) * spoiled_log == pytest.approx(log_growth(ratio))
