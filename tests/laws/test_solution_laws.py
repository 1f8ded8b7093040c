"""Laws that sucrose solutions obey whatever the coefficients."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.physics.activity import (
    freezing_point_c,
    osmotic_pressure_pa,
    thermodynamic_factor,
    water_activity,
)
from sugarwright.physics.air import standard_pressure_pa, station_pressure_pa
from sugarwright.physics.boiling import (
    boiling_point_c,
    boiling_point_rise_k,
    brix_from_boiling_point,
)
from sugarwright.physics.hydrometer import brix_from_hydrometer, hydrometer_reading_brix
from sugarwright.physics.optics import refractive_index
from sugarwright.physics.solution import (
    brix_from_density,
    density_kg_m3,
    mass_kg,
    sap_to_syrup_ratio,
    volume_m3,
)
from sugarwright.physics.transport import (
    diffusivity_m2_s,
    heat_capacity_j_kg_k,
    thermal_conductivity_w_m_k,
    viscosity_pa_s,
)
from sugarwright.physics.water import (
    saturation_pressure_pa,
    saturation_temperature_c,
    water_density_kg_m3,
)

STEP_BRIX = 0.1
brixes = st.floats(0.0, 85.0)
lower_brixes = st.floats(0.0, 85.0 - STEP_BRIX)
temperatures = st.floats(-5.0, 110.0)
pressures = st.floats(50e3, 115e3)
some = settings(max_examples=60, deadline=None)


@some
@given(temperatures)
def test_without_sugar_it_is_water(temperature_c):
    assert density_kg_m3(0.0, temperature_c) == water_density_kg_m3(temperature_c)
    assert water_activity(0.0, temperature_c) == 1.0
    assert osmotic_pressure_pa(0.0, temperature_c) == 0.0
    assert freezing_point_c(0.0) == 0.0


@some
@given(pressures)
def test_without_sugar_it_boils_as_water(pressure_pa):
    assert boiling_point_rise_k(0.0, pressure_pa) == 0.0


@some
@given(lower_brixes, temperatures)
def test_more_sugar_is_heavier_and_thicker_and_holds_water_harder(brix, temperature_c):
    more = brix + STEP_BRIX
    assert density_kg_m3(more, temperature_c) > density_kg_m3(brix, temperature_c)
    assert viscosity_pa_s(more, temperature_c) > viscosity_pa_s(brix, temperature_c)
    assert water_activity(more, temperature_c) < water_activity(brix, temperature_c)
    assert osmotic_pressure_pa(more, temperature_c) > osmotic_pressure_pa(brix, temperature_c)
    assert heat_capacity_j_kg_k(more, temperature_c) < heat_capacity_j_kg_k(brix, temperature_c)
    conductivity = thermal_conductivity_w_m_k(brix, temperature_c)
    assert thermal_conductivity_w_m_k(more, temperature_c) < conductivity
    assert refractive_index(more) > refractive_index(brix)


@some
@given(lower_brixes, pressures)
def test_more_sugar_boils_hotter(brix, pressure_pa):
    hotter = boiling_point_c(brix + STEP_BRIX, pressure_pa)
    assert hotter > boiling_point_c(brix, pressure_pa)


@some
@given(st.floats(0.0, 59.0))
def test_more_sugar_freezes_colder(brix):
    assert freezing_point_c(brix + STEP_BRIX) < freezing_point_c(brix)


@some
@given(brixes, st.floats(-5.0, 109.0))
def test_warmer_is_thinner(brix, temperature_c):
    assert viscosity_pa_s(brix, temperature_c + 1.0) < viscosity_pa_s(brix, temperature_c)


@some
@given(st.floats(0.0, 70.0), st.floats(-5.0, 109.0))
def test_sugar_diffuses_faster_when_warmer(brix, temperature_c):
    slow = diffusivity_m2_s(brix, temperature_c)
    assert 0.0 < slow < diffusivity_m2_s(brix, temperature_c + 1.0)


@some
@given(st.floats(0.0, 69.0), temperatures)
def test_sugar_diffuses_slower_among_more_sugar(brix, temperature_c):
    slow = diffusivity_m2_s(brix + STEP_BRIX, temperature_c)
    assert 0.0 < slow < diffusivity_m2_s(brix, temperature_c)


@some
@given(st.floats(0.1, 84.0), temperatures)
def test_thermodynamic_factor_is_the_slope_of_water_activity(brix, temperature_c):
    # Gibbs & Duhem: d(molality x osmotic coefficient) / d(molality), here by a small step
    def molality(b):
        return b / (100.0 - b) / 0.3422965

    steps = (brix - 1e-4, brix + 1e-4)
    driven = [-math.log(water_activity(b, temperature_c)) / 0.01801528 for b in steps]
    slope = (driven[1] - driven[0]) / (molality(steps[1]) - molality(steps[0]))
    assert thermodynamic_factor(brix, temperature_c) == pytest.approx(slope, rel=1e-5)


@given(temperatures)
@some
def test_viscosity_has_no_step_at_50_brix(temperature_c):
    below, above = viscosity_pa_s(49.9999, temperature_c), viscosity_pa_s(50.0, temperature_c)
    assert below == pytest.approx(above, rel=1e-4)


@some
@given(brixes, temperatures)
def test_density_and_strength_are_inverse(brix, temperature_c):
    density = density_kg_m3(brix, temperature_c)
    assert brix_from_density(density, temperature_c) == pytest.approx(brix, abs=1e-6)


@some
@given(brixes, temperatures, st.floats(0.0, 1e6))
def test_mass_and_volume_are_inverse(brix, temperature_c, kilograms):
    volume = volume_m3(kilograms, brix, temperature_c)
    assert mass_kg(volume, brix, temperature_c) == pytest.approx(kilograms, rel=1e-12)


@some
@given(brixes, pressures)
def test_boiling_point_and_strength_are_inverse(brix, pressure_pa):
    # 1 mK is 0.03 Brix in thin sap, so the search itself must be far finer
    boils_c = boiling_point_c(brix, pressure_pa)
    assert brix_from_boiling_point(boils_c, pressure_pa) == pytest.approx(brix, abs=1e-6)


@some
@given(brixes, pressures)
def test_at_the_boil_the_vapour_pressure_is_the_airs(brix, pressure_pa):
    boils_c = boiling_point_c(brix, pressure_pa)
    vapour_pa = water_activity(brix, boils_c) * saturation_pressure_pa(boils_c)
    assert vapour_pa == pytest.approx(pressure_pa, rel=1e-9)


@some
@given(st.floats(5.0, 80.0), st.floats(-5.0, 110.0), st.floats(10.0, 25.0))
def test_hydrometer_correction_is_inverse(brix, temperature_c, calibration_c):
    if brix < 20.0 and temperature_c > 40.0:
        return  # thin and hot: off the scale
    reading = hydrometer_reading_brix(brix, temperature_c, calibration_c)
    found = brix_from_hydrometer(reading, temperature_c, calibration_c)
    assert found == pytest.approx(brix, abs=1e-6)


@some
@given(st.floats(0.01, 370.0))
def test_boiling_curve_of_water_is_one_curve(temperature_c):
    if temperature_c > 365.0:
        return  # past the greatest pressure that the inverse takes
    back = saturation_temperature_c(saturation_pressure_pa(temperature_c))
    assert back == pytest.approx(temperature_c, abs=1e-8)


@some
@given(brixes, temperatures)
def test_diluted_pressure_tends_to_van_t_hoffs(brix, temperature_c):
    # c R T; the excess starts near 1.1 % per Brix and only grows, so 0.1 Brix must be within 0.3 %
    thin = 0.1
    moles_m3 = thin / 100.0 * density_kg_m3(thin, temperature_c) / 0.3422965
    ideal_pa = moles_m3 * 8.314462618 * (temperature_c + 273.15)
    assert osmotic_pressure_pa(thin, temperature_c) == pytest.approx(ideal_pa, rel=0.003)


@some
@given(brixes)
def test_freezing_and_osmosis_tell_the_same(brix):
    # ice formed at the freezing point is water that no pressure was needed to take out:
    # pi V = heat of fusion (1 - T / 273.15), to the second order in the depression
    if not 0.5 < brix < 20.0:
        return
    kelvin = freezing_point_c(brix) + 273.15
    pressure = osmotic_pressure_pa(brix, kelvin - 273.15)
    work_j_mol = pressure * 0.01801528 / water_density_kg_m3(kelvin - 273.15)
    fusion_j_mol = 6009.5 * (1.0 - kelvin / 273.15)
    assert work_j_mol == pytest.approx(fusion_j_mol, rel=0.006)


@some
@given(st.floats(0.5, 84.0), st.floats(0.5, 84.0), st.floats(0.5, 84.0))
def test_concentrating_in_two_steps_is_concentrating_in_one(first, second, third):
    steps = sap_to_syrup_ratio(first, second) * sap_to_syrup_ratio(second, third)
    assert steps == pytest.approx(sap_to_syrup_ratio(first, third), rel=1e-12)


@some
@given(st.floats(0.5, 40.0), st.floats(45.0, 70.0))
def test_no_sugar_is_lost_between_sap_and_syrup(sap, syrup):
    litres = sap_to_syrup_ratio(sap, syrup)
    sugar_in = litres * density_kg_m3(sap, 20.0) * sap
    assert sugar_in == pytest.approx(density_kg_m3(syrup, 20.0) * syrup, rel=1e-12)


@some
@given(st.floats(-400.0, 4900.0), st.floats(-30.0, 30.0))
def test_pressure_falls_with_height(elevation_m, temperature_c):
    assert standard_pressure_pa(elevation_m + 10.0) < standard_pressure_pa(elevation_m)
    lower = station_pressure_pa(101e3, elevation_m, temperature_c)
    assert station_pressure_pa(101e3, elevation_m + 10.0, temperature_c) < lower


@some
@given(st.floats(20.0, 80.0), st.floats(60e3, 105e3))
def test_rise_follows_the_heat_of_evaporation(brix, pressure_pa):
    # Clausius-Clapeyron: -R ln a = L (1/T0 - 1/T) over the short span, L = 40.6 kJ/mol within 3 %
    water_k = saturation_temperature_c(pressure_pa) + 273.15
    boils_k = boiling_point_c(brix, pressure_pa) + 273.15
    log_activity = math.log(water_activity(brix, boils_k - 273.15))
    molar_heat = -8.314462618 * log_activity / (1.0 / water_k - 1.0 / boils_k)
    assert molar_heat == pytest.approx(40.8e3, rel=0.03)
