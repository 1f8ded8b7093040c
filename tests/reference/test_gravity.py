"""Gravity lines against independent computation and published figures of natural vacuum."""

import math

import pytest
from fluids.friction import friction_factor as library_friction

import sources
from sugarwright.physics.gravity import gravity_flow_m3_s, natural_vacuum_pa

FOOT_M, INCH_M = 0.3048, 0.0254
GALLON_PER_HOUR = 3.785411784e-3 / 3600.0
INCH_HG_PA = 3386.389
SAP = (1007.0, 1.60e-3)  # density and viscosity of sap at some 4 °C


@sources.FULL_LINES
@pytest.mark.parametrize(
    ("bore_inches", "slope", "gallons_per_hour"),
    [
        (3 / 16, 0.05, 3.71), (3 / 16, 0.10, 7.41), (3 / 16, 0.20, 11.5),
        (1 / 4, 0.05, 11.7), (1 / 4, 0.10, 15.4), (1 / 4, 0.20, 22.8),
        (5 / 16, 0.05, 19.2), (5 / 16, 0.10, 28.1), (5 / 16, 0.20, 42.2),
    ],
)  # fmt: skip
def test_capacity_of_full_lines(bore_inches, slope, gallons_per_hour):
    # computed with fluids 1.3; three digits
    found = gravity_flow_m3_s(slope, bore_inches * INCH_M, 0.0, *SAP) / GALLON_PER_HOUR
    assert found == pytest.approx(gallons_per_hour, rel=0.005)


@sources.GRAVITY_BALANCE
@pytest.mark.parametrize("slope", [0.02, 0.3, 0.6, 1.0])
def test_friction_of_the_flow_takes_up_the_slope(slope):
    bore = 3 / 16 * INCH_M
    speed = gravity_flow_m3_s(slope, bore, 0.0, *SAP) / (0.25 * math.pi * bore**2)
    factor = library_friction(Re=SAP[0] * speed * bore / SAP[1], eD=0.0, Method="Colebrook")
    assert factor / bore * speed**2 / (2 * 9.80665) == pytest.approx(slope, rel=1e-6)


def test_poiseuille_alone_says_too_much_on_a_steep_line():
    # 14.8 gal/h on 20 % by Poiseuille; the flow there cannot be laminar (Reynolds number over 2040)
    bore = 3 / 16 * INCH_M
    poiseuille = math.pi * SAP[0] * 9.80665 * 0.2 * bore**4 / (128 * SAP[1])
    assert poiseuille / GALLON_PER_HOUR == pytest.approx(14.8, abs=0.05)
    assert gravity_flow_m3_s(0.2, bore, 0.0, *SAP) < 0.8 * poiseuille


@sources.NATURAL_VACUUM
@pytest.mark.parametrize(("feet", "inches_hg"), [(10, 8.83), (20, 17.65)])
def test_natural_vacuum(feet, inches_hg):
    # trade articles on 3/16 in tubing: 0.88 inHg to the foot; 20 ft give 17.7
    found = natural_vacuum_pa(feet * FOOT_M, 1.0, 0.0, 101325.0, 4.0) / INCH_HG_PA
    assert found == pytest.approx(inches_hg, abs=0.02)


def test_vacuum_is_limited_by_boiling_sap():
    # 34 ft of water balance the air; at 4 °C sap boils at 0.24 inHg (813 Pa, IAPWS)
    found = natural_vacuum_pa(60 * FOOT_M, 1.0, 0.0, 101325.0, 4.0)
    assert found == pytest.approx(101325.0 - 813.5, abs=2.0)


def test_gas_and_friction_take_from_the_vacuum():
    full = natural_vacuum_pa(6.0, 1.0, 0.0, 101325.0, 4.0)
    assert natural_vacuum_pa(6.0, 0.5, 0.0, 101325.0, 4.0) == pytest.approx(0.5 * full)
    assert natural_vacuum_pa(6.0, 1.0, 3.0, 101325.0, 4.0) == pytest.approx(0.5 * full)
    assert natural_vacuum_pa(6.0, 0.5, 3.5, 101325.0, 4.0) == 0.0
