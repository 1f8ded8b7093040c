"""Friction and pumps against the fluids library and figures computed independently with it."""

import math

import pytest
from fluids.friction import Colebrook
from fluids.friction import friction_factor as library_friction

import sources
from sugarwright.errors import RangeError
from sugarwright.physics.hydraulics import (
    friction_factor,
    friction_head_m,
    line_volume_m3,
    pump_head_m,
    pumped_flow_m3_s,
)

FOOT_M, INCH_M = 0.3048, 0.0254
GALLON_M3 = 3.785411784e-3
GALLON_PER_MINUTE = GALLON_M3 / 60.0
SAP = (1007.0, 1.60e-3)  # density and viscosity of sap at some 4 °C
PLASTIC_M = 1.5e-6


@sources.COLEBROOK
@pytest.mark.parametrize("reynolds", [2100.0, 4e3, 1e4, 1e5, 1e6, 1e8])
@pytest.mark.parametrize("relative_roughness", [0.0, 1e-6, 1e-4, 1e-3, 0.05])
def test_turbulent_friction_is_colebrooks(reynolds, relative_roughness):
    # the library solves the equation exactly
    expected = Colebrook(reynolds, relative_roughness)
    assert friction_factor(reynolds, relative_roughness) == pytest.approx(expected, rel=1e-8)


@sources.LAMINAR
@pytest.mark.parametrize("reynolds", [1e-3, 10.0, 1000.0, 2039.0])
def test_laminar_friction(reynolds):
    assert friction_factor(reynolds, 0.0) == pytest.approx(library_friction(Re=reynolds), rel=1e-12)


@sources.QUARTER_MILE
@pytest.mark.parametrize(
    ("bore_inches", "gallons_per_minute", "feet"),
    [
        (1.049, 2, 5.3), (1.049, 3, 10.5), (1.049, 5, 25.4), (1.049, 8, 57.6), (1.049, 10, 85.2),
        (1.000, 5, 31.8), (0.824, 5, 79.8), (1.380, 8, 15.7), (1.380, 10, 23.1),
    ],
)  # fmt: skip
def test_transfer_line_of_a_quarter_mile(bore_inches, gallons_per_minute, feet):
    # 1320 ft of plastic line with sap, computed with fluids 1.3; three digits printed
    found = friction_head_m(
        gallons_per_minute * GALLON_PER_MINUTE, bore_inches * INCH_M, 1320 * FOOT_M, PLASTIC_M, *SAP
    )
    assert found / FOOT_M == pytest.approx(feet, abs=0.06)


def test_laminar_head_is_poiseuilles():
    flow, bore = 1e-6, 4.7625e-3
    expected = 128.0 * SAP[1] * flow * 100.0 / (math.pi * bore**4) / (SAP[0] * 9.80665)
    assert friction_head_m(flow, bore, 100.0, 0.0, *SAP) == pytest.approx(expected, rel=1e-12)


@sources.PUMP_ON_LINE
@pytest.mark.parametrize(
    ("shutoff_ft", "free_gpm", "static_ft", "gpm"),
    [(60, 20, 20, 5.34), (100, 20, 20, 7.57), (100, 30, 40, 6.83)],
)
def test_pump_on_the_transfer_line(shutoff_ft, free_gpm, static_ft, gpm):
    # 1320 ft of 1.000 in line, computed independently; three digits
    found = pumped_flow_m3_s(
        shutoff_ft * FOOT_M, free_gpm * GALLON_PER_MINUTE, static_ft * FOOT_M,
        INCH_M, 1320 * FOOT_M, PLASTIC_M, *SAP,
    )  # fmt: skip
    assert found / GALLON_PER_MINUTE == pytest.approx(gpm, rel=0.002)


def test_pump_curve_passes_through_its_plate():
    assert pump_head_m(0.0, 18.0, 1e-3) == 18.0
    assert pump_head_m(1e-3, 18.0, 1e-3) == 0.0


def test_a_pump_lifts_nothing_above_its_shutoff_head():
    assert pumped_flow_m3_s(18.0, 1e-3, 18.0, INCH_M, 100.0, 0.0, *SAP) == 0.0
    assert pumped_flow_m3_s(18.0, 1e-3, 25.0, INCH_M, 100.0, 0.0, *SAP) == 0.0


def test_downhill_without_friction_it_gives_its_free_flow():
    assert pumped_flow_m3_s(18.0, 1e-3, -5.0, INCH_M, 0.0, 0.0, *SAP) == pytest.approx(
        1e-3, rel=1e-9
    )


@sources.LINE_BY_HAND
def test_what_lines_hold():
    # 1 in x 1320 ft: 53.9 gal; 3/16 in: 0.143 gal in 100 ft (by hand)
    assert line_volume_m3(INCH_M, 1320 * FOOT_M) / GALLON_M3 == pytest.approx(53.9, abs=0.05)
    found = line_volume_m3(3 / 16 * INCH_M, 100 * FOOT_M) / GALLON_M3
    assert found == pytest.approx(0.143, abs=0.0006)


def test_a_bore_in_millimetres_is_refused_by_name():
    with pytest.raises(RangeError, match="diameter_m"):
        friction_head_m(1e-4, 25.4, 100.0, 0.0, *SAP)
