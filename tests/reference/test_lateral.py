"""A lateral of taps against a table computed apart, sums by hand and the trade's rule."""

import pytest

import sources
from sugarwright.errors import RangeError
from sugarwright.physics.hydraulics import friction_head_m
from sugarwright.physics.lateral import lateral_vacuum_pa
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import viscosity_pa_s

INCH_M, FOOT_M = 0.0254, 0.3048
INCH_HG_PA = 3386.389
GALLON_PER_HOUR = 3.785411784e-3 / 3600.0
SAP = (1007.0, 1.60e-3)
LINE = (5.0, 10.0, 0.10)  # spacing, lead [m], slope


def vacuum_inhg(tap, taps, gallons_h, bore_inches=3 / 16, filled=1.0):
    flow = gallons_h * GALLON_PER_HOUR
    line = (taps, *LINE, flow, bore_inches * INCH_M, filled, 2.0, 4.0, 101325.0)
    return lateral_vacuum_pa(tap, *line) / INCH_HG_PA


@sources.TAPS_SLOPE
@pytest.mark.parametrize(
    ("bore_inches", "taps", "gallons_h", "percent"),
    [(3 / 16, 10, 0.2, 2.7), (3 / 16, 20, 0.2, 5.4), (3 / 16, 20, 0.4, 10.8),
     (3 / 16, 35, 0.2, 9.4), (3 / 16, 35, 0.4, 33.9), (1 / 4, 20, 0.4, 3.4),
     (1 / 4, 35, 0.4, 6.0), (5 / 16, 35, 0.4, 2.4)],
)  # fmt: skip
def test_slope_that_the_flow_of_taps_takes_up(bore_inches, taps, gallons_h, percent):
    # a full line at the flow of all its taps; one decimal, and 0.5 % for the wall of the
    # turbulent one, taken as drawn plastic there and smooth here
    flow = taps * gallons_h * GALLON_PER_HOUR
    found = friction_head_m(flow, bore_inches * INCH_M, 1.0, 0.0, *SAP)
    assert 100.0 * found == pytest.approx(percent, rel=5e-3, abs=0.06)


@sources.NATURAL_VACUUM
@pytest.mark.parametrize("feet", [10, 20])
def test_a_lateral_at_rest_is_a_hanging_column(feet):
    # 0.88 inHg to the foot of drop below the tap
    drop_m = feet * FOOT_M
    line = (1, 5.0, drop_m / 0.10, 0.10, 0.0, 4.7625e-3, 1.0, 2.0, 4.0, 101325.0)
    assert lateral_vacuum_pa(1, *line) / INCH_HG_PA == pytest.approx(0.883 * feet, abs=0.02)


@sources.LINE_BY_HAND
def test_laminar_friction_gathers_as_the_sum_of_flows():
    # laminar head is c x flow x length: 10 m with 25 shares, then 5 m with 24, 23 ... 1 shares
    taps, gallons_h = 25, 0.2
    viscosity, density = viscosity_pa_s(2.0, 4.0), density_kg_m3(2.0, 4.0)
    c = 128.0 * viscosity / (3.141592653589793 * (3 / 16 * INCH_M) ** 4 * density * 9.80665)
    shares_m = 10.0 * 25 + 5.0 * (24 * 25 / 2)
    head_m = 0.10 * (10.0 + 24 * 5.0) - c * gallons_h * GALLON_PER_HOUR * shares_m
    expected = head_m * 999.97 * 9.80665 / INCH_HG_PA  # a column of water at 4 °C
    assert vacuum_inhg(25, taps, gallons_h) == pytest.approx(expected, rel=1e-4)


def test_the_trade_rule_of_20_to_25_taps():
    # common practice, no source: no more than 20 to 25 taps on a 3/16 in line. On 10 % at a peak of
    # 0.3 gal/h each, 20 gain vacuum with each tap up the hill; at 40 the lower part is overloaded
    # and the bottom taps have none.
    assert vacuum_inhg(2, 20, 0.3) > vacuum_inhg(1, 20, 0.3) > 0.0
    assert vacuum_inhg(1, 40, 0.3) == vacuum_inhg(5, 40, 0.3) == 0.0


def test_taps_further_up_have_more_and_gas_takes_from_all():
    pulls = [vacuum_inhg(tap, 20, 0.2) for tap in range(1, 21)]
    assert pulls == sorted(pulls)
    assert vacuum_inhg(20, 20, 0.2, filled=0.6) < pulls[-1]
    assert vacuum_inhg(20, 20, 0.4) < pulls[-1]


def test_a_tap_that_is_not_on_the_line_is_refused():
    with pytest.raises(RangeError, match="no answer for tap = 6"):
        vacuum_inhg(6, 5, 0.2)
