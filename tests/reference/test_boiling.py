"""Boiling points against handbook rises and the anchors of the maple trade."""

import pytest

import sources
from sugarwright.errors import RangeError
from sugarwright.physics.boiling import (
    boiling_point_c,
    boiling_point_rise_k,
    brix_from_boiling_point,
    superheat_k,
)

ATMOSPHERE_PA = 101325.0

# Rise at one atmosphere [K], the table in older sugar handbooks after Claassen (from memory), one
# decimal
CLAASSEN = {5: 0.05, 10: 0.1, 15: 0.2, 20: 0.3, 30: 0.6, 40: 1.05, 50: 1.8, 55: 2.3, 60: 3.0,
            65: 3.8, 70: 5.1, 75: 7.0, 80: 9.4}  # fmt: skip


@sources.CLAASSEN
@pytest.mark.parametrize(("brix", "rise_k"), CLAASSEN.items())
def test_rise_at_one_atmosphere(brix, rise_k):
    # rounding 0.05, purity of those days' samples, and 0.3 at candy strength
    tolerance = 0.15 if brix <= 70 else 0.3
    assert boiling_point_rise_k(brix, ATMOSPHERE_PA) == pytest.approx(rise_k, abs=tolerance)


@sources.ONTARIO
def test_syrup_of_67_brix_boils_at_the_published_temperature():
    # 104.2 °C (219.5 °F) for 67 Brix: a provincial maple extension note (Ontario, 2013)
    assert boiling_point_c(67.0, ATMOSPHERE_PA) == pytest.approx(104.2, abs=0.05)


@sources.RULE_OF_7_1
def test_the_rule_of_7_1_degrees():
    # "7.1 °F above water", a state chart for 66.0 Brix: 0.1 °F is a quarter of a Brix
    assert boiling_point_rise_k(66.0, ATMOSPHERE_PA) * 1.8 == pytest.approx(7.1, abs=0.15)
    found = brix_from_boiling_point(99.974 + 7.1 / 1.8, ATMOSPHERE_PA)
    assert found == pytest.approx(66.0, abs=0.4)


@sources.BOILING_CODED
@pytest.mark.parametrize(
    ("kilopascal", "fahrenheit"),
    [(103.0, 220.36), (101.325, 219.51), (99.0, 218.32), (97.0, 217.27), (95.0, 216.21),
     (90.0, 213.46)],
)  # fmt: skip
def test_syrup_of_66_9_by_barometer(kilopascal, fahrenheit):
    # the same two laws coded independently; the last printed digit
    found = boiling_point_c(66.9, kilopascal * 1e3) * 1.8 + 32.0
    assert found == pytest.approx(fahrenheit, abs=0.011)


def test_sea_level_pressure_by_mistake_is_most_of_a_brix_a_hundred_metres():
    # 12 hPa on 100 m are 0.6 °F, and 0.41 °F is one Brix: why the figure must be turned back
    found = brix_from_boiling_point(boiling_point_c(66.9, 100.1e3), ATMOSPHERE_PA)
    assert 64.5 < found < 66.0


@pytest.mark.parametrize(("brix", "boils"), [(0.0, True), (40.0, True), (67.0, False)])
def test_what_is_superheated_at_103_c(brix, boils):
    # water boils at 99.97 °C (IAPWS), 40 Brix 1.05 K above (Claassen), 67 Brix at 104.2 (Ontario)
    assert (superheat_k(brix, 103.0, ATMOSPHERE_PA) > 0.0) is boils
    assert superheat_k(0.0, 100.0, ATMOSPHERE_PA) == pytest.approx(0.026, abs=0.001)


def test_cooler_than_boiling_water_is_refused():
    with pytest.raises(RangeError, match="no answer for boiling_point_c = 99"):
        brix_from_boiling_point(99.0, ATMOSPHERE_PA)
    with pytest.raises(RangeError, match="no answer"):
        brix_from_boiling_point(122.0, ATMOSPHERE_PA)
