"""Water against the published checks of IAPWS, and CoolProp (IAPWS-95, IAPWS 2008 viscosity)."""

import chemicals
import pytest
from CoolProp.CoolProp import PropsSI

import sources
from sugarwright.physics.water import (
    latent_heat_j_kg,
    saturation_pressure_pa,
    saturation_temperature_c,
    water_density_kg_m3,
    water_viscosity_pa_s,
)

BOILS = (0.01, 5.0, 20.0, 60.0, 90.0, 95.0, 99.0, 100.0, 104.0, 110.0, 130.0)
ATMOSPHERE_PA = 101325.0


def saturated(output: str, temperature_c: float, quality: int = 0) -> float:
    """Ask CoolProp for boiling water (0) or its steam (1): by quality, never by pressure."""
    return PropsSI(output, "T", temperature_c + 273.15, "Q", quality, "Water")


@sources.IF97_35
@pytest.mark.parametrize(
    ("kelvin", "megapascal"), [(300.0, 3.53658941e-3), (500.0, 2.63889776), (600.0, 12.3443146)]
)
def test_saturation_pressure_reproduces_the_release(kelvin, megapascal):
    # IAPWS-IF97 (2007 revision), table 35; nine digits printed
    assert saturation_pressure_pa(kelvin - 273.15) == pytest.approx(megapascal * 1e6, rel=1e-8)


@sources.IF97_36
@pytest.mark.parametrize(
    ("megapascal", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)]
)
def test_saturation_temperature_reproduces_the_release(megapascal, kelvin):
    # IAPWS-IF97 (2007 revision), table 36; nine digits printed
    assert saturation_temperature_c(megapascal * 1e6) == pytest.approx(kelvin - 273.15, abs=1e-6)


@sources.COOLPROP_SATURATION
@pytest.mark.parametrize("temperature_c", BOILS)
def test_saturation_pressure_agrees_with_iapws95(temperature_c):
    # two different formulations; 0.01 % is 0.003 K at the boil
    expected = saturated("P", temperature_c)
    assert saturation_pressure_pa(temperature_c) == pytest.approx(expected, rel=1e-4)


@sources.COOLPROP_SATURATION
@pytest.mark.parametrize("pressure_pa", [60e3, 70e3, 85e3, 95e3, ATMOSPHERE_PA, 110e3])
def test_saturation_temperature_agrees_with_iapws95(pressure_pa):
    expected = PropsSI("T", "P", pressure_pa, "Q", 0, "Water") - 273.15
    assert saturation_temperature_c(pressure_pa) == pytest.approx(expected, abs=0.001)


@sources.COOLPROP_DENSITY
@pytest.mark.parametrize("temperature_c", [1.0, 4.0, 10.0, 20.0, 40.0, 60.0, 80.0, 99.0])
def test_density_agrees_with_iapws95(temperature_c):
    # 0.01 kg/m³ is ten parts in a million: two formulations on two temperature scales
    expected = PropsSI("D", "T", temperature_c + 273.15, "P", ATMOSPHERE_PA, "Water")
    assert water_density_kg_m3(temperature_c) == pytest.approx(expected, abs=0.01)


@sources.CHEMICALS_WATER
@pytest.mark.parametrize(
    ("temperature_c", "pressure_pa"), [(-5.0, 101e3), (-1.0, 101e3), (105.0, 150e3), (110.0, 150e3)]
)
def test_density_beyond_the_stated_range_stays_near_iapws95(temperature_c, pressure_pa):
    # metastable below 0 °C; 150 kPa keeps it liquid above 100 and adds 0.02 kg/m³
    expected = chemicals.iapws95_rho(temperature_c + 273.15, pressure_pa)
    assert water_density_kg_m3(temperature_c) == pytest.approx(expected, abs=0.06)


@sources.COOLPROP_VISCOSITY
@pytest.mark.parametrize(
    "temperature_c", [0.01, 5.0, 10.0, 20.0, 25.0, 40.0, 60.0, 80.0, 100.0, 110.0]
)
def test_viscosity_agrees_with_iapws_2008(temperature_c):
    # the IAPWS formulation states 1 % for itself here; we ask for less than half of that
    expected = saturated("V", temperature_c)
    assert water_viscosity_pa_s(temperature_c) == pytest.approx(expected, rel=0.004)


@sources.CHEMICALS_WATER
def test_viscosity_of_supercooled_water():
    # IAPWS 2008 by the chemicals library at the metastable density
    density = chemicals.iapws95_rho(268.15, ATMOSPHERE_PA)
    expected = chemicals.mu_IAPWS(268.15, density)
    assert water_viscosity_pa_s(-5.0) == pytest.approx(expected, rel=0.004)


@sources.KESTIN
@pytest.mark.parametrize(("temperature_c", "micro_pa_s"), [(20.0, 1002.0), (25.0, 890.1)])
def test_viscosity_reproduces_its_own_table(temperature_c, micro_pa_s):
    # Kestin, Khalifa & Correia (1981), table 1, the same equation for water; four digits printed
    assert water_viscosity_pa_s(temperature_c) * 1e6 == pytest.approx(micro_pa_s, abs=0.15)


@sources.COOLPROP_LATENT
@pytest.mark.parametrize("temperature_c", BOILS)
def test_latent_heat_agrees_with_iapws95(temperature_c):
    expected = saturated("H", temperature_c, 1) - saturated("H", temperature_c, 0)
    assert latent_heat_j_kg(temperature_c) == pytest.approx(expected, rel=1e-4)


@sources.ALTITUDE
@pytest.mark.parametrize(("feet", "fahrenheit"), [(0, 211.95), (1000, 210.13), (2000, 208.31)])
def test_water_boils_lower_uphill(feet, fahrenheit):
    # IAPWS-95 at the pressure of ISO 2533; two decimals
    pressure_pa = ATMOSPHERE_PA * (1 - 2.25577e-5 * feet * 0.3048) ** 5.25588
    assert saturation_temperature_c(pressure_pa) * 1.8 + 32 == pytest.approx(fahrenheit, abs=0.006)
