"""Water activity, osmosis and freezing against measured tables and the IAPWS ice and water."""

import math
import warnings

import pytest
from iapws import IAPWS95
from iapws._iapws import _Ice

import sources
from sugarwright.physics.activity import freezing_point_c, osmotic_pressure_pa, water_activity
from sugarwright.physics.solution import density_kg_m3

ATMOSPHERE_PA = 101325.0
SUCROSE_G_MOL = 342.2965

# CRC Handbook, 102nd ed., aqueous sucrose: mass %, depression of the freezing point [K]
CRC_FREEZING = {
    0.5: 0.03, 1: 0.06, 2: 0.11, 3: 0.17, 4: 0.23, 5: 0.29, 6: 0.35, 8: 0.49, 10: 0.63, 12: 0.77,
    15: 1.01, 18: 1.27, 20: 1.47, 24: 1.89, 30: 2.64, 36: 3.63, 40: 4.45,
}  # fmt: skip

# Robinson & Stokes, "Electrolyte Solutions", isopiestic osmotic coefficients at 25 °C, mol/kg
# (from memory)
OSMOTIC_COEFFICIENT = {0.1: 1.008, 0.2: 1.017, 0.5: 1.041, 1.0: 1.088, 2.0: 1.189, 3.0: 1.288,
                       4.0: 1.375, 5.0: 1.450, 6.0: 1.511}  # fmt: skip

# Berkeley & Hartley at 0 °C: grams in a litre of solution, atmospheres (from memory)
BERKELEY_HARTLEY = {180.1: 13.95, 300.2: 26.77, 420.3: 43.97, 540.4: 67.51, 660.5: 100.78,
                    750.6: 133.74}  # fmt: skip

# Morse et al., weight-normal at 0 °C and 20 °C: mol/kg, atmospheres (from memory); their dilute
# ones (0.1 and 0.2) are known to be high
MORSE = [(0.0, 0.3, 7.085), (0.0, 0.5, 11.895), (0.0, 0.8, 19.476), (0.0, 1.0, 24.825),
         (20.0, 0.5, 12.748), (20.0, 1.0, 26.638)]  # fmt: skip

# Frazer & Myrick, weight-normal at 30 °C: mol/kg, atmospheres (from memory)
FRAZER_MYRICK = {1.0: 27.22, 2.0: 58.37, 3.0: 95.16, 4.0: 138.96, 5.0: 187.3}


def brix_of_molality(molality: float) -> float:
    grams = molality * SUCROSE_G_MOL
    return 100.0 * grams / (1000.0 + grams)


@sources.ROBINSON_STOKES
@pytest.mark.parametrize(("molality", "coefficient"), OSMOTIC_COEFFICIENT.items())
def test_osmotic_coefficient_at_25_c(molality, coefficient):
    # 2.3 % found at 1 mol/kg: one law for frost to boil gives that up in the middle
    activity = water_activity(brix_of_molality(molality), 25.0)
    found = -math.log(activity) / (molality * 0.01801528)
    assert found == pytest.approx(coefficient, rel=0.025 if molality < 4.0 else 0.006)


@sources.SATURATED
def test_saturated_sucrose():
    # about 0.845 over saturated sucrose (67.4 %) at 25 °C (from memory; hygrometer standard)
    assert water_activity(67.4, 25.0) == pytest.approx(0.845, abs=0.006)


@sources.CRC_SUCROSE
@pytest.mark.parametrize(("brix", "depression"), CRC_FREEZING.items())
def test_freezing_point(brix, depression):
    # 0.005 is the table's rounding
    assert -freezing_point_c(brix) == pytest.approx(depression, abs=0.02 if brix <= 20 else 0.05)


@sources.IAPWS_ICE
@pytest.mark.parametrize("brix", [5.0, 20.0, 40.0, 60.0])
def test_freezing_point_is_where_ice_and_solution_meet(brix):
    # chemical potential of ice (IAPWS-06) less that of supercooled water (IAPWS-95) is R T ln a.
    # 4e-4 in ln a is 0.04 K at -12 °C, 0.01 K at the strengths that tanks hold.
    temperature_c = freezing_point_c(brix)
    kelvin = temperature_c + 273.15
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library says that supercooled is extrapolated
        gap = _Ice(kelvin, ATMOSPHERE_PA / 1e6)["g"] - IAPWS95(T=kelvin, P=ATMOSPHERE_PA / 1e6).g
    expected = gap * 18.01528 / (8.314462618 * kelvin)
    assert math.log(water_activity(brix, temperature_c)) == pytest.approx(expected, abs=4e-4)


def test_eutectic_is_not_passed():
    # ice and sucrose freeze together at about -14 °C and 62-63 % (from memory)
    assert -14.5 < freezing_point_c(60.0) < -11.0


@sources.CRC_SUCROSE
@pytest.mark.parametrize(
    ("brix", "depression"), [(5, 0.29), (10, 0.63), (20, 1.47), (30, 2.64), (40, 4.45)]
)
def test_osmotic_pressure_from_measured_freezing_points(brix, depression):
    # -ln a = 9.6934e-3 K^-1 θ + 4.8e-6 θ² (Robinson & Stokes, from memory); rounding of the table
    # is 1.7 % at 5 Brix
    log_activity = 9.6934e-3 * depression + 4.8e-6 * depression**2
    expected = 8.314462618 * 273.15 / (0.01801528 / 999.84) * log_activity
    assert osmotic_pressure_pa(brix, 0.0) == pytest.approx(expected, rel=0.025)


@sources.BERKELEY_HARTLEY
@pytest.mark.parametrize(("grams_per_litre", "atmospheres"), BERKELEY_HARTLEY.items())
def test_osmotic_pressure_of_berkeley_and_hartley(grams_per_litre, atmospheres):
    brix = 50.0
    for _ in range(60):  # settles on the strength whose litre at 0 °C holds those grams
        brix = 100.0 * grams_per_litre / density_kg_m3(brix, 0.0)
    found = osmotic_pressure_pa(brix, 0.0) / ATMOSPHERE_PA
    assert found == pytest.approx(atmospheres, rel=0.03)


@sources.FRAZER_MYRICK
@pytest.mark.parametrize(("molality", "atmospheres"), FRAZER_MYRICK.items())
def test_osmotic_pressure_of_frazer_and_myrick(molality, atmospheres):
    # 5 mol/kg are 63 Brix, and there the measurements stand 4 % above what Robinson & Stokes'
    # activity at 25 °C implies; membranes work below 1 mol/kg
    found = osmotic_pressure_pa(brix_of_molality(molality), 30.0) / ATMOSPHERE_PA
    assert found == pytest.approx(atmospheres, rel=0.03 if molality < 5.0 else 0.05)


@sources.MORSE
@pytest.mark.parametrize(("temperature_c", "molality", "atmospheres"), MORSE)
def test_osmotic_pressure_of_morse(temperature_c, molality, atmospheres):
    found = osmotic_pressure_pa(brix_of_molality(molality), temperature_c) / ATMOSPHERE_PA
    assert found == pytest.approx(atmospheres, rel=0.03)
