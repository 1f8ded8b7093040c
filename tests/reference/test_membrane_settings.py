"""The membrane's modes, tests and limits against independent calculations and a model library."""

import math

import pytest

from salt_membrane import CASES, OUR_CELLS, Outcome, euler_march, ours, salt_water
from sources import (
    CLEAN_WATER,
    ELEMENT_MAKER,
    SAP_SWEEP,
    SMALL_MACHINES,
    SWEEP,
    TANK_BY_HAND,
    WANTED,
    WATERTAP_1D,
)
from sugarwright.physics.membrane_built import Built, point_of
from sugarwright.physics.membrane_condition import (
    condition_from_permeate,
    condition_sd_fraction,
    flow_at_temperature_m3_s,
    net_pressure_pa,
)
from sugarwright.physics.membrane_limits import (
    GREATEST_SPEED_M_S,
    LEAST_SPEED_M_S,
    stress_of,
)
from sugarwright.physics.membrane_march import march
from sugarwright.physics.membrane_settings import pressure_for_brix, pressure_for_permeate
from sugarwright.physics.membrane_tank import batch
from sugarwright.physics.solution import density_kg_m3

GAL_H = 3.785411784e-3 / 3600.0
LMH = 1e-3 / 3600.0
BAR = 1e5


def machine(elements=2, area_m2=2.6, permeability=5.0, loop_gal_h=0.0, trains=1):
    leaf = (area_m2, 0.9, 0.71e-3, 0.89, permeability * LMH / BAR, 0.02 * LMH)
    return Built(loop_gal_h * GAL_H, elements, trains, *leaf, 1.0, 1.0, 1.0, 4)


# A second implementation, written apart for orientation, with an osmotic coefficient fitted to
# Robinson & Stokes at 25 °C in place of our water activity: up to 1 % of osmotic pressure apart,
# some 0.4 % of permeate. The tables are printed to three figures.
SWEEP_ROWS = [
    (0.15, 5.37, 15.6),
    (0.2, 4.70, 16.6),
    (0.3, 3.94, 17.8),
    (0.4, 3.52, 18.6),
    (0.5, 3.25, 19.1),
    (0.6, 3.07, 19.6),
    (0.8, 2.83, 20.2),
    (1.0, 2.68, 20.6),
]


@SWEEP
@pytest.mark.parametrize(("gal_min", "brix", "permeate_gal_h"), SWEEP_ROWS)
def test_sweep_of_the_valve(gal_min, brix, permeate_gal_h):
    """Two 2.5-inch elements, 8.3 bar, sap of 2.0 Brix and 5 °C."""
    point = point_of(2.0, 5.0, 8.3 * BAR, 60.0 * gal_min * GAL_H, machine())
    permeate_m3_s = point.permeate_kg_s / density_kg_m3(0.0, 5.0)
    assert point.concentrate_brix == pytest.approx(brix, rel=0.008)
    assert permeate_m3_s / GAL_H == pytest.approx(permeate_gal_h, rel=0.008)


@SAP_SWEEP
@pytest.mark.parametrize(
    ("temperature_c", "sap_brix", "brix", "permeate_gal_h"),
    [
        (1.0, 1.5, 2.60, 17.9),
        (1.0, 2.0, 3.33, 16.3),
        (1.0, 2.5, 4.01, 14.8),
        (5.0, 1.5, 2.77, 20.6),
        (5.0, 2.5, 4.21, 16.8),
        (10.0, 1.5, 2.99, 24.2),
        (10.0, 2.0, 3.78, 21.7),
        (10.0, 2.5, 4.48, 19.5),
    ],
)
def test_sap_and_its_temperature(temperature_c, sap_brix, brix, permeate_gal_h):
    point = point_of(sap_brix, temperature_c, 8.3 * BAR, 24.0 * GAL_H, machine())
    permeate_m3_s = point.permeate_kg_s / density_kg_m3(0.0, temperature_c)
    assert point.concentrate_brix == pytest.approx(brix, rel=0.008)
    assert permeate_m3_s / GAL_H == pytest.approx(permeate_gal_h, rel=0.01)


WANTED_ROWS = [(4.0, 6.0), (6.0, 11.7), (8.0, 18.0), (10.0, 25.2), (12.0, 33.5)]


@WANTED
@pytest.mark.parametrize(("brix", "bar"), WANTED_ROWS)
def test_pressure_for_a_strength(brix, bar):
    """Four 2.5-inch elements, 24 gal/h of concentrate, 2 gal/min round, 5 °C, sap of 2.0."""
    found_pa = pressure_for_brix(brix, 2.0, 5.0, 24.0 * GAL_H, machine(4, loop_gal_h=120.0))
    # Half of the last figure and 1 % of the osmotic pressure, which is most of it up there.
    assert found_pa / BAR == pytest.approx(bar, rel=0.012, abs=0.05)


@SMALL_MACHINES
@pytest.mark.parametrize(
    ("elements", "permeability", "bar"),
    [
        (1, 5.0, 15.3),
        (1, 7.0, 12.1),
        (2, 3.0, 12.0),
        (2, 5.0, 8.3),
        (2, 7.0, 6.7),
        (3, 3.0, 8.5),
        (3, 5.0, 6.1),
        (4, 5.0, 4.9),
        (4, 7.0, 4.2),
    ],
)
def test_pressure_for_a_permeate(elements, permeability, bar):
    """18.6 gal/h of permeate beside 24 of concentrate, from sap of 2.0 Brix and 5 °C."""
    permeate_kg_s = 18.6 * GAL_H * density_kg_m3(0.0, 5.0)
    built = machine(elements, permeability=permeability)
    found_pa = pressure_for_permeate(permeate_kg_s, 2.0, 5.0, 24.0 * GAL_H, built)
    # Printed to 0.1 bar; osmotic pressure 1 % apart, and film and viscosity a little.
    assert found_pa / BAR == pytest.approx(bar, rel=0.015, abs=0.05)


# WaterTAP 1.8's one-dimensional unit with its NaCl package, 10 and 40 backward differences, solved
# in benchmarks/watertap_membrane.py: permeate kg/s, outlet strength, drop Pa, permeate strength.
WATERTAP_ROWS = [
    (0, 10, (0.02359537, 0.00562697, 9315.85, 6.0262e-5)),
    (0, 40, (0.02394873, 0.00570413, 9506.39, 5.8468e-5)),
    (1, 10, (0.03263972, 0.00764951, 40576.5, 6.8970e-5)),
    (1, 40, (0.03295225, 0.00767007, 40971.8, 6.7857e-5)),
]


@WATERTAP_1D
@pytest.mark.parametrize(("case", "cells", "expected"), WATERTAP_ROWS)
def test_same_scheme_as_a_model_library(case, cells, expected):
    with salt_water():
        found = ours(CASES[case], euler_march, cells)
    for ours_, theirs in zip(found, expected, strict=True):
        assert ours_ == pytest.approx(theirs, rel=1e-3)


@pytest.mark.parametrize("case", [0, 1])
def test_usual_cells_against_a_model_library_carried_to_fine_ones(case):
    """Backward differences of 10 and 40 cells, once extrapolated: their error goes with the cell.

    What is left of theirs is of the order of the square, some 0.2 % of a tenth.
    """
    coarse, fine = (each[2] for each in WATERTAP_ROWS if each[0] == case)
    carried = Outcome(*(f + (f - c) / 3.0 for c, f in zip(coarse, fine, strict=True)))
    with salt_water():
        usual = ours(CASES[case], march, OUR_CELLS)
    for ours_, theirs in zip(usual, carried, strict=True):
        assert ours_ == pytest.approx(theirs, rel=5e-3)


def test_salt_is_taken_out_again():
    before = point_of(2.0, 5.0, 8e5, 24.0 * GAL_H, machine())
    with salt_water():
        assert point_of(2.0, 5.0, 8e5, 24.0 * GAL_H, machine()) != before
    assert point_of(2.0, 5.0, 8e5, 24.0 * GAL_H, machine()) == before


@ELEMENT_MAKER
@pytest.mark.parametrize(
    ("temperature_c", "to_rating", "to_25"),
    [(5.0, 1.345, 2.073), (10.0, 1.110, 1.711), (15.0, 0.922, 1.422), (20.0, 0.771, 1.189)],
)
def test_clean_water_flow_at_another_temperature(temperature_c, to_rating, to_25):
    """exp[3020 (1/298 - 1/(273 + t))], from the temperature to 55 °F and to 25 °C.

    298 and 273 K in place of 298.15 and 273.15 make up to 2e-3; three figures are printed.
    """
    rated = flow_at_temperature_m3_s(1.0, temperature_c, (55.0 - 32.0) / 1.8)
    assert rated == pytest.approx(to_rating, rel=2.5e-3)
    assert flow_at_temperature_m3_s(1.0, temperature_c, 25.0) == pytest.approx(to_25, rel=2.5e-3)


@CLEAN_WATER
@pytest.mark.parametrize(("temperature_c", "gal_h"), [(5.0, 16.6), (12.78, 22.3), (25.0, 34.3)])
def test_condition_of_a_new_membrane(temperature_c, gal_h):
    """5.2 m² of 5 L/(m² h bar) at 5 bar give that; so a machine that gives it is as new."""
    found = condition_from_permeate(gal_h * GAL_H, 5e5, temperature_c, 5.2, 5.0 * LMH / BAR)
    assert found == pytest.approx(1.0, abs=5e-3)  # three figures are printed


def test_how_sure_a_condition_is():
    """3020/278.15² is 3.9 % a kelvin at 5 °C; 0.1 bar of 5 is 2 %; together with 3 % of flow."""
    one_kelvin = condition_sd_fraction(1.0, 0.0, 5e5, 0.0, 5.0, 1.0)
    a_tenth_bar = condition_sd_fraction(1.0, 0.0, 5e5, 0.1e5, 5.0, 0.0)
    assert one_kelvin == pytest.approx(0.039, abs=5e-4)
    assert a_tenth_bar == pytest.approx(0.02, rel=1e-9)
    together = condition_sd_fraction(0.8, 0.03, 5e5, 0.1e5, 5.0, 1.0)
    assert together == pytest.approx(0.8 * math.sqrt(0.039**2 + 0.02**2 + 0.03**2), rel=3e-3)


def test_net_pressure_by_hand():
    """ASTM D4516: feed less half the drop, permeate pressure and osmotic difference."""
    assert net_pressure_pa(8.4e5, 0.2e5, 0.1e5, 2.2e5) == pytest.approx(6.0e5)


@pytest.mark.parametrize(
    ("area_m2", "least_gal_min", "greatest_gal_min"), [(2.6, 1.0, 6.0), (7.6, 3.0, 16.0)]
)
def test_limits_are_those_of_both_sizes(area_m2, least_gal_min, greatest_gal_min):
    """Makers' figures (from memory) as speeds: one pair serves both sizes within a tenth."""
    open_m2 = area_m2 / 1.8 * 0.71e-3 * 0.89
    assert 60.0 * least_gal_min * GAL_H / open_m2 == pytest.approx(LEAST_SPEED_M_S, rel=0.1)
    assert 60.0 * greatest_gal_min * GAL_H / open_m2 == pytest.approx(GREATEST_SPEED_M_S, rel=0.1)


@pytest.mark.parametrize(("area_m2", "gal_min", "bar"), [(2.6, 6.0, 1.109), (7.6, 16.0, 0.982)])
def test_drop_of_one_element_by_hand(area_m2, gal_min, bar):
    """F rho v²/(2 d) over 0.9 m at the greatest feeds, hardly any permeate, sap of 2 Brix and 5 °C.

    1007.5 kg/m³ and 1.606 mPa s (the second viscosity formula of the tables above), d 0.878 mm:
    0.4148 m/s, Re 228, f 1.2485 and 0.3784 m/s, Re 208, f 1.328.
    """
    built = machine(2, area_m2)._replace(condition_fraction=0.01)
    flow = 60.0 * gal_min * GAL_H
    point = point_of(2.0, 5.0, 3 * BAR, flow, built)
    stress = stress_of(point, 5.0, 3 * BAR, flow, built)
    assert stress.pressure_drop_pa / BAR == pytest.approx(bar, rel=0.01)


@TANK_BY_HAND
@pytest.mark.parametrize(("wanted", "part"), [(3.0, 2 / 3), (4.0, 1 / 2), (8.0, 1 / 4)])
def test_a_tank_keeps_its_sugar(wanted, part):
    """Perfect membrane: mass times strength stays, so that twice the strength is half the mass."""
    built = machine()._replace(sugar_permeability_m_s=0.0)
    done = batch(0.4, 2.0, wanted, 5.0, 12 * BAR, 60.0 * GAL_H, 0.5, built)
    start_kg = 0.4 * density_kg_m3(2.0, 5.0)
    assert done.concentrate_kg == pytest.approx(part * start_kg, rel=1e-4)  # eight steps


def test_a_tank_takes_the_time_that_its_permeate_needs():
    """A second integration: many short times with the permeate of each, against eight steps."""
    built = machine()
    mass_kg, sugar_kg, time_s = 400.0, 8.0, 0.0
    while sugar_kg / mass_kg < 0.04:
        point = point_of(100.0 * sugar_kg / mass_kg, 5.0, 10 * BAR, 60.0 * GAL_H, built)
        last = (mass_kg, sugar_kg)
        mass_kg -= 100.0 * point.permeate_kg_s
        sugar_kg -= 100.0 * point.permeate_sugar_kg_s
        time_s += 100.0
    before, after = last[1] / last[0], sugar_kg / mass_kg
    time_s -= 100.0 * (after - 0.04) / (after - before)
    volume_m3 = 400.0 / density_kg_m3(2.0, 5.0)
    done = batch(volume_m3, 2.0, 4.0, 5.0, 10 * BAR, 60.0 * GAL_H, 0.5, built)
    # Steps of Euler's: the permeate falls by 0.4 % in each, so half of that overall.
    assert done.duration_s == pytest.approx(time_s, rel=3e-3)
