"""Invert sugar against the hexoses of the CRC Handbook."""

from __future__ import annotations

import math

import pytest

from sources import source
from sugarwright.physics.activity import water_activity
from sugarwright.physics.maple_solids import (
    activity_factor,
    brix_of_boiling_syrup,
    hydrometer_shift_brix,
    refractometer_shift_brix,
    syrup_boiling_point_c,
)
from sugarwright.physics.refractometer import brix_from_refractive_index
from sugarwright.physics.solution import brix_from_density

_CRC = "CRC Handbook of Chemistry and Physics, 102nd ed."
FRUCTOSE_GLUCOSE = source(_CRC, "aqueous D-fructose and D-glucose, 20 °C, their mean")
GLUCOSE_FREEZING = source(_CRC, "aqueous D-glucose, freezing")

# mass %: g/cm³ and index of D-fructose, of D-glucose
HEXOSES = {
    10: (1.0385, 1.3476, 1.0375, 1.3477), 20: (1.0816, 1.3634, 1.0797, 1.3635),
    30: (1.1276, 1.3803, 1.1246, 1.3805), 40: (1.1769, 1.3985, 1.1724, 1.3986),
    48: (1.2187, 1.4141, 1.2130, 1.4141),
}  # fmt: skip

# mass % of D-glucose: depression of the freezing point [K]
FREEZING = {2: 0.21, 5: 0.55, 8: 0.91, 10: 1.17, 15: 1.88, 20: 2.70, 24: 3.48, 30: 4.79}


@FRUCTOSE_GLUCOSE
@pytest.mark.parametrize("brix", HEXOSES)
def test_invert_on_the_hydrometer(brix: int) -> None:
    # the tables' rounding, 5e-5 g/cm³, is 0.013 Brix
    fructose, _, glucose, _ = HEXOSES[brix]
    apparent = brix_from_density(500.0 * (fructose + glucose), 20.0)
    found = 2.0 * hydrometer_shift_brix(brix, 0.5)  # it goes by the share
    assert found == pytest.approx(apparent - brix, abs=0.03)


@FRUCTOSE_GLUCOSE
@pytest.mark.parametrize("brix", HEXOSES)
def test_invert_on_the_refractometer(brix: int) -> None:
    # the tables' rounding, 5e-5, is 0.025 to 0.035 Brix
    _, fructose, _, glucose = HEXOSES[brix]
    apparent = brix_from_refractive_index(0.5 * (fructose + glucose))
    found = 2.0 * refractometer_shift_brix(brix, 0.5)
    assert found == pytest.approx(apparent - brix, abs=0.04)


@GLUCOSE_FREEZING
@pytest.mark.parametrize(("brix", "depression_k"), FREEZING.items())
def test_glucose_lowers_the_freezing_point_as_its_particles_say(
    brix: float, depression_k: float
) -> None:
    # -ln a = 9.6934e-3 θ + 4.8e-6 θ² (Robinson & Stokes, from memory). All hexose is beyond the
    # range of use, so the law is run on the bare formula; 2.5 %, and rounding of the table
    activity = water_activity(brix, -depression_k) * activity_factor.core(brix, 1.0, 0.0)
    expected = 9.6934e-3 * depression_k + 4.8e-6 * depression_k**2
    assert -math.log(activity) == pytest.approx(expected, rel=0.025, abs=5e-5)


def test_a_twentieth_inverted_is_worth_two_tenths_of_a_degree() -> None:
    # mole count by hand at 66.9 Brix: water 1.8373 mol, sucrose 0.19544, of which 5 % adds 0.00880;
    # d ln a = -0.0043, and 28.5 K for a unit of ln a at the boil: 0.12 K
    pure = syrup_boiling_point_c(66.9, 101325.0, 0.0, 0.0)
    late = syrup_boiling_point_c(66.9, 101325.0, 0.05, 0.0)
    assert late - pure == pytest.approx(0.12, abs=0.01)
    # drawn by temperature alone, late syrup is half a Brix thin
    assert brix_of_boiling_syrup(pure, 101325.0, 0.05, 0.0) == pytest.approx(66.35, abs=0.1)
