"""Laws of fuel, preheating, stoking, ice, solubility and laterals."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.errors import RangeError
from sugarwright.physics.activity import freezing_point_c
from sugarwright.physics.boiling import boiling_point_c, superheat_k
from sugarwright.physics.freezing import (
    brix_in_ice_water,
    ice_fraction,
    pumpable_volume_m3,
    unfrozen_brix,
)
from sugarwright.physics.fuel import (
    net_wood_heat_j_kg,
    stacked_wood_heat_j_m3,
    syrup_by_fuel_ratio,
)
from sugarwright.physics.fuel_data import HARDWOOD_J_KG
from sugarwright.physics.lateral import lateral_vacuum_pa
from sugarwright.physics.preheat import combustion_air_factor, niter_factor, preheating_factor
from sugarwright.physics.solubility import crystals_below_c, solubility_brix
from sugarwright.physics.stoking import stoking_swing_factors

some = settings(max_examples=40, deadline=None)


@some
@given(st.floats(0.1, 40.0))
def test_liquid_beside_ice_round_trips(brix):
    assert brix_in_ice_water(freezing_point_c(brix)) == pytest.approx(brix, abs=1e-6)


@some
@given(st.floats(0.5, 12.0), st.floats(0.0, 0.7), st.floats(0.0, 0.4))
def test_more_ice_leaves_less_and_stronger(brix, ice, ice_brix):
    more = ice + 0.05
    assert unfrozen_brix(brix, more, ice_brix) > unfrozen_brix(brix, ice, ice_brix)
    assert pumpable_volume_m3(1.0, brix, more, ice_brix) < pumpable_volume_m3(
        1.0, brix, ice, ice_brix
    )


@some
@given(st.floats(0.5, 12.0), st.floats(-4.0, -0.2))
def test_colder_is_more_ice(brix, temperature_c):
    assert ice_fraction(brix, temperature_c - 0.1) >= ice_fraction(brix, temperature_c)
    assert 0.0 <= ice_fraction(brix, temperature_c) < 1.0


@some
@given(st.floats(64.5, 82.0))
def test_crystals_round_trip(brix):
    assert solubility_brix(crystals_below_c(brix)) == pytest.approx(brix, abs=1e-9)


@some
@given(st.floats(0.0, 80.0), st.floats(60e3, 105e3), st.floats(-3.0, 3.0))
def test_superheat_counts_from_the_boil(brix, pressure_pa, above_k):
    temperature_c = boiling_point_c(brix, pressure_pa) + above_k
    assert superheat_k(brix, temperature_c, pressure_pa) == pytest.approx(above_k, abs=1e-9)


@some
@given(st.floats(0.0, 0.6), st.floats(250.0, 800.0))
def test_wet_wood_has_less_heat_by_weight_and_by_stack(moisture, density):
    wetter = moisture + 0.05
    assert net_wood_heat_j_kg(wetter, HARDWOOD_J_KG) < net_wood_heat_j_kg(moisture, HARDWOOD_J_KG)
    stack = stacked_wood_heat_j_m3(density, HARDWOOD_J_KG, moisture, 0.65)
    assert stacked_wood_heat_j_m3(density, HARDWOOD_J_KG, wetter, 0.65) < stack
    denser = stacked_wood_heat_j_m3(1.2 * density, HARDWOOD_J_KG, moisture, 0.65)
    assert denser == pytest.approx(1.2 * stack, rel=1e-12)


@some
@given(st.floats(1.0, 20.0), st.floats(0.0, 60.0), st.floats(0.2, 0.8))
def test_stronger_or_warmer_feed_makes_more_syrup(brix, feed_c, efficiency):
    made = syrup_by_fuel_ratio(6e9, efficiency, brix, 66.0, feed_c, 99.97)
    assert syrup_by_fuel_ratio(6e9, efficiency, brix + 0.5, 66.0, feed_c, 99.97) > made
    assert syrup_by_fuel_ratio(6e9, efficiency, brix, 66.0, feed_c + 5.0, 99.97) > made


@some
@given(st.floats(0.0, 40.0), st.floats(0.0, 35.0))
def test_preheating_never_harms_and_niter_never_helps(cold_c, by_k):
    assert preheating_factor(cold_c, cold_c + by_k, 99.97, 4137.0) >= 1.0
    assert niter_factor(by_k * 1e-4, 0.8, 40.0) <= 1.0
    assert combustion_air_factor(cold_c + by_k, cold_c, 0.2, 2.0, 0.4) >= 1.0


@some
@given(st.floats(20.0, 7200.0), st.floats(120.0, 3600.0))
def test_a_swing_is_about_the_mean_and_grows_with_the_interval(every_s, burn_s):
    highest, lowest = stoking_swing_factors(every_s, burn_s)
    assert lowest < 1.0 < highest
    assert stoking_swing_factors(every_s * 1.1, burn_s)[0] > highest


@some
@given(st.integers(1, 30), st.floats(0.02, 0.3), st.floats(0.0, 5e-7))
def test_flow_and_gas_only_take_from_the_vacuum(taps, slope, flow):
    def pull(flow_m3_s: float, filled: float) -> float:
        return lateral_vacuum_pa(
            taps, taps, 4.0, 8.0, slope, flow_m3_s, 4.7625e-3, filled, 2.0, 4.0, 101325.0
        )

    assert 0.0 <= pull(flow, 1.0) <= pull(0.0, 1.0)
    assert pull(flow, 0.7) <= pull(flow, 1.0)


def test_pounds_and_gallons_by_mistake_are_refused_by_name():
    with pytest.raises(RangeError, match="dry_heat_j_kg"):
        net_wood_heat_j_kg(0.2, 8600.0)  # Btu/lb
    with pytest.raises(RangeError, match="moisture_fraction"):
        net_wood_heat_j_kg(20.0, HARDWOOD_J_KG)  # percent
    with pytest.raises(RangeError, match="diameter_m"):
        lateral_vacuum_pa(1, 5, 4.0, 8.0, 0.1, 1e-7, 4.76, 1.0, 2.0, 4.0, 101325.0)  # mm
