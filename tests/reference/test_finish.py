"""The finish bench against charts, standards, handbooks and worked examples of the trade.

Values that the tests of ``physics`` count already stand here without a mark.
"""

from __future__ import annotations

import pytest

from sources import MASS_BALANCE, source
from sugarwright.bench.adjust import Batch, adjust, change_kg
from sugarwright.bench.blend import blend, blend_to
from sugarwright.bench.boiling_now import boiling_now
from sugarwright.bench.containers import containers
from sugarwright.bench.density_law import LAWS, density_law
from sugarwright.bench.grade import grade
from sugarwright.bench.instruments import by_hydrometer, by_refractometer, by_thermometer
from sugarwright.bench.sap_to_syrup import sap_to_syrup
from sugarwright.bench.water_point import (
    from_barometer,
    from_boiling_water,
    from_elevation,
    from_weather_report,
)
from sugarwright.physics.refractometer import brix_from_refractive_index
from sugarwright.physics.scales import baume_from_brix, brix_from_baume

POUND_KG = 0.45359237
GALLON_M3 = 3.785411784e-3

PEARSON = source("Pearson square, worked by hand", "68.0 and 64.0 to 66.9", "second")
THINNING = source("Balance of sugar, worked by hand", "10 lb of 69.0 to 66.9", "second")
WEIGHTS = source("SPS-4, coded apart", "net weights at 66.9 Brix", "second")
CUSTOMARY = source("NIST Handbook 44, appendix C", "containers of a gallon", "memory")
SHRINK = source("SPS-4, coded apart", "shrink from 185 to 68 °F", "second")
RULE_OF_86 = source("Rule of 86 (1946), a trade article citing UNH Extension", "gallons of sap")
GRADES = source("USDA, U.S. Standards for Grades of Maple Syrup (2015)", "light transmittance")
FEDERAL = source("USDA, U.S. Standards for Grades of Maple Syrup (2015)", "solids")
MAINE = source("Maine Revised Statutes, title 7, section 892-A", "solids")
VERMONT_DENSITY = source("University of Vermont Extension, video on hydrometers (2022)", "solids")
CANADA = source("Canadian Grade Compendium, vol. 7", "solids")
MAKERS = source("A New Hampshire maker on a growers' list (2008)", "rise over boiling water")
BAROMETER = source("Weather and boiling point (CoolProp, computed apart)", "°F by inHg", "second")
HYDROMETER_LABEL = source("Maker's label of syrup hydrometers", "66 Brix is 35.6 Baumé")


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


# --- is it syrup


@pytest.mark.parametrize(("fahrenheit", "reading"), [(209, 59.0), (180.5, 60.65), (60, 66.9)])
def test_the_state_chart_read_backwards_is_syrup(fahrenheit: float, reading: float) -> None:
    # state chart for 66.9 Brix, a straight line through a curve: 0.35 Brix, as in test_hydrometer;
    # the middle value lies half way between two of its rows
    found = by_hydrometer(reading, celsius(fahrenheit))
    assert found.brix == pytest.approx(66.9, abs=0.35)
    assert abs(found.brix - 66.9) < 2.0 * found.sd_brix  # and the bench says that it is so unsure


@pytest.mark.parametrize(("fahrenheit", "reading"), [(209, 58.0), (180, 59.7), (149, 61.5)])
def test_the_chart_for_66_0_read_backwards(fahrenheit: float, reading: float) -> None:
    # state chart for 66.0 Brix, its own tolerance
    assert by_hydrometer(reading, celsius(fahrenheit)).brix == pytest.approx(66.0, abs=0.35)


def test_the_hot_test_in_baume() -> None:
    # 32.1 Bé at 211 °F is syrup of 66.9 by the state-calibrated cup; a tenth of Bé is 0.2 Brix
    reading = brix_from_baume(32.1, celsius(60.0))
    assert reading == pytest.approx(59.1, abs=0.1)
    assert by_hydrometer(reading, celsius(211.0)).brix == pytest.approx(66.9, abs=0.2)


def test_67_brix_by_the_published_boiling_point() -> None:
    # Ontario maple extension (2013): 104.2 °C at standard pressure; its rounding is 0.2 Brix
    found = by_thermometer(104.2, from_barometer(101325.0))
    assert found.brix == pytest.approx(67.0, abs=0.25)


def test_7_1_degrees_over_water() -> None:
    # the 66.0 chart's own rule, printed to 0.1 °F
    found = by_thermometer(celsius(212.0 + 7.1), from_boiling_water(100.0))
    assert found.brix == pytest.approx(66.0, abs=0.4)


@MAKERS
@pytest.mark.parametrize(("rise_f", "brix"), [(7.3, 66.0), (7.5, 66.9)])
def test_rises_that_makers_go_by(rise_f: float, brix: float) -> None:
    # "7.3 or 7.5 degrees (state variation)": the two densities by law, no pressure stated; a tenth
    # of a degree is a quarter of a Brix
    found = by_thermometer(celsius(212.0 + rise_f), from_boiling_water(100.0))
    assert found.brix == pytest.approx(brix, abs=0.3)


def test_a_plain_refractometer_on_a_cool_drop() -> None:
    # OIV table I at 15 °C: 0.38 to take off at 65 and 70 %
    assert by_refractometer(66.9, 15.0).brix == pytest.approx(66.52, abs=0.02)


@pytest.mark.parametrize(("index", "brix"), [(1.45348, 65.0), (1.46546, 70.0), (1.34782, 10.0)])
def test_index_to_brix(index: float, brix: float) -> None:
    # ICUMSA 1974 (65 and 70 from memory) and OIV table II: 1e-5 is 0.004 Brix at syrup
    assert brix_from_refractive_index(index) == pytest.approx(brix, abs=0.01)


# --- boiling today


@BAROMETER
@pytest.mark.parametrize(
    ("inches", "fahrenheit"), [(28.5, 209.51), (29.92, 211.95), (30.5, 212.92)]
)
def test_water_by_barometer(inches: float, fahrenheit: float) -> None:
    found = from_barometer(inches * 3386.389)
    assert found.boiling_c * 1.8 + 32.0 == pytest.approx(fahrenheit, abs=0.011)


def test_a_weather_report_is_turned_back_to_the_place() -> None:
    # 30.12 inHg at sea level and 1200 ft up: 1.2 inHg less, within a tenth for a cold day
    found = from_weather_report(30.12 * 3386.389, 365.76, 2.0)
    assert found.pressure_pa / 3386.389 == pytest.approx(28.8, abs=0.06)


def test_syrup_by_elevation_falls_as_water_does() -> None:
    # 1.82 °F for 1000 ft (IAPWS-95 at the pressure of ISO 2533); the rise itself hardly moves
    low, high = (boiling_now(from_elevation(feet * 0.3048), (66.9,)) for feet in (0.0, 1000.0))
    fall_f = (low.syrup[0].boiling_c - high.syrup[0].boiling_c) * 1.8
    assert fall_f == pytest.approx(1.82 + 0.03, abs=0.04)
    assert low.syrup[0].rise_k * 1.8 == pytest.approx(7.56, abs=0.02)


# --- Baumé


@pytest.mark.parametrize(("brix", "baume"), [(60, 32.49), (65, 35.04), (70, 37.6)])
def test_baume_of_syrups(brix: float, baume: float) -> None:
    # Mohos, "Confectionery and Chocolate Engineering" (2010), app. 2, 20 °C; printed to 0.01
    assert baume_from_brix(brix, 20.0) == pytest.approx(baume, abs=0.03)
    assert brix_from_baume(baume, 20.0) == pytest.approx(brix, abs=0.06)


@pytest.mark.parametrize(("brix", "baume"), [(66.9, 36.0), (68.9, 37.0)])
def test_baume_of_the_rule(brix: float, baume: float) -> None:
    # Vermont: whole degrees, at 60 °F; 0.13 found, which is a quarter of a Brix
    assert baume_from_brix(brix, celsius(60.0)) == pytest.approx(baume, abs=0.15)


@HYDROMETER_LABEL
def test_baume_of_66() -> None:
    # "66 Brix or 35.6 Baumé", printed to a tenth; 35.67 at 60 °F and 35.58 at 20 °C
    assert baume_from_brix(66.0, 17.5) == pytest.approx(35.6, abs=0.08)


# --- adjust and blend


@THINNING
@pytest.mark.parametrize(("added", "pounds"), [(0.0, 0.3139), (2.0, 0.3236)])
def test_thinning_ten_pounds(added: float, pounds: float) -> None:
    assert change_kg(10.0, 69.0, 66.9, added) == pytest.approx(pounds, abs=5e-5)


@PEARSON
def test_pearson_square() -> None:
    # parts of the heavy one: 66.9 - 64.0 = 2.9; of the thin one: 68.0 - 66.9 = 1.1
    found = blend_to([Batch(100.0, 68.0), Batch(100.0, 64.0)], 66.9)
    heavy, thin = found.portions
    assert heavy.take_kg / thin.take_kg == pytest.approx(2.9 / 1.1, rel=1e-9)
    assert heavy.take_kg / found.mass_kg == pytest.approx(0.725, abs=1e-9)


def test_boiling_down_by_hand() -> None:
    # 100 kg of 60.0 hold 60 kg of sugar, which is 66.0 % of 90.909 kg
    found = adjust(Batch(100.0, 60.0), 66.0)
    assert found.way == "boil"
    assert found.change_kg == pytest.approx(9.0909, abs=1e-4)


def test_whole_drums_by_hand() -> None:
    # 300 lb of 66 and 100 lb of 70: 67.0
    assert blend([Batch(300.0, 66.0), Batch(100.0, 70.0)]).brix == pytest.approx(67.0)


# --- sap to syrup


@RULE_OF_86
@pytest.mark.parametrize(("sap", "gallons"), [(1.0, 86.0), (2.0, 43.0), (2.5, 34.4), (3.0, 28.7)])
def test_rule_of_86(sap: float, gallons: float) -> None:
    # printed to 0.1; the balance for 66.0 lies 1 % above for thin sap: the rule was meant for 65.5
    found = sap_to_syrup(1.0, sap, 66.0)
    assert found.rules[0].sap_by_syrup_ratio == pytest.approx(gallons, abs=0.05)
    assert found.sap_by_syrup_ratio == pytest.approx(gallons, rel=0.015)


@MASS_BALANCE
@pytest.mark.parametrize(
    ("sap", "syrup", "gallons"),
    [(1.5, 66.0, 57.96), (2.5, 66.9, 35.26), (4.0, 66.0, 21.53), (12.0, 66.9, 7.08)],
)
def test_balance_of_sugar(sap: float, syrup: float, gallons: float) -> None:
    assert sap_to_syrup(1.0, sap, syrup).sap_by_syrup_ratio == pytest.approx(gallons, abs=0.006)


def test_a_thousand_gallons_of_sap() -> None:
    # 1000 gal of 2 Brix are 22.6 gal of 66.9 (worked apart); the water is 976 gal (8.34 lb each)
    found = sap_to_syrup(1000.0 * GALLON_M3, 2.0, 66.9)
    assert found.syrup_m3 / GALLON_M3 == pytest.approx(22.6, abs=0.06)
    assert found.water_off_kg / POUND_KG / 8.345 == pytest.approx(976.0, rel=0.003)


# --- grade, containers, law


@GRADES
@pytest.mark.parametrize(
    ("percent", "colour"),
    [(75.0, "Golden"), (74.9, "Amber"), (50.0, "Amber"), (49.9, "Dark"), (25.0, "Dark"),
     (24.9, "Very Dark"), (100.0, "Golden"), (0.0, "Very Dark")],
)  # fmt: skip
def test_colour_classes(percent: float, colour: str) -> None:
    assert grade(percent / 100.0).colour == colour


@WEIGHTS
@pytest.mark.parametrize(
    ("size", "pounds"),
    [("gallon", 11.084), ("half-gallon", 5.542), ("quart", 2.771), ("pint", 1.3855),
     ("half-pint", 0.6928)],
)  # fmt: skip
def test_net_weights(size: str, pounds: float) -> None:
    (filled,) = containers(0.1, 66.9, 85.0, [size]).filled
    assert filled.net_kg / POUND_KG == pytest.approx(pounds, abs=5e-4)


@CUSTOMARY
@pytest.mark.parametrize(
    ("size", "count"),
    [("quart", 4), ("pint", 8), ("half-pint", 16), ("500 mL", 7), ("250 mL", 15)],
)
def test_containers_of_a_gallon(size: str, count: int) -> None:
    # a gallon at the label's 68 °F: 7.571 half-litres, 15.142 quarter-litres
    packing = containers(GALLON_M3, 66.9, 20.0, [size], loss_fraction=0.0)
    assert packing.filled[0].count == count


@SHRINK
def test_shrink() -> None:
    packing = containers(1.0, 66.9, celsius(185.0), [])
    assert packing.shrink_fraction == pytest.approx(0.029, abs=0.0005)


@FEDERAL
def test_federal_limits() -> None:
    assert (density_law("us").least_brix, density_law("us").greatest_brix) == (66.0, 68.9)


@CANADA
def test_canadian_limits() -> None:
    assert (density_law("Canada").least_brix, density_law("ca").greatest_brix) == (66.0, 68.9)


@MAINE
def test_limits_of_maine() -> None:
    law = density_law("maine")
    assert (law.least_brix, law.greatest_brix, law.at_c) == (66.0, 69.0, 20.0)


@VERMONT_DENSITY
def test_limits_of_vermont() -> None:
    law = density_law("Vermont")
    assert (law.least_brix, law.greatest_brix) == (66.9, 68.9)


def test_every_law_names_its_source() -> None:
    for law in LAWS.values():
        assert len(law.source) > 20
        assert law.sure in ("read", "quoted", "memory")
