"""Units: every spelling, every factor against an independent library, every refusal."""

from __future__ import annotations

import doctest
import importlib
import math
import pkgutil
import subprocess
import sys

import pint
import pytest

from sugarwright import units
from sugarwright.errors import QuantityError, RangeError
from sugarwright.units import (
    ANGLE,
    AREA,
    BRIX,
    CURRENT,
    DURATION,
    ENERGY,
    ENERGY_PER_WOOD,
    FLOW,
    FRACTION,
    KINDS,
    LENGTH,
    MASS,
    MONEY,
    PERMEABILITY,
    PERMEATION,
    POWER,
    PRESSURE,
    PRICE_PER_ENERGY,
    PRICE_PER_MASS,
    PRICE_PER_TIME,
    PRICE_PER_VOLUME,
    PRICE_PER_WOOD,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    VOLTAGE,
    VOLUME,
    WOOD,
    Kind,
    format_clock,
    from_unit,
    kind_of,
    parse,
    parse_clock,
    parse_span,
    show,
    to_unit,
)

PINT = pint.UnitRegistry()
GFD = "gallon/foot**2/day"
CORD = "(128*foot**3)"  # pint has no cord: 4 ft x 4 ft x 8 ft by the usual law of weights

# SI unit of a kind, and each of its units, as pint writes them.
ORACLE: dict[Kind, tuple[str, dict[str, str]]] = {
    VOLUME: (
        "m**3",
        {
            "gal": "gallon", "qt": "quart", "pt": "pint", "cup": "cup", "fl oz": "fluid_ounce",
            "imp gal": "imperial_gallon", "L": "liter", "mL": "milliliter", "hL": "hectoliter",
            "m3": "m**3", "ft3": "foot**3", "in3": "inch**3",
        },
    ),
    MASS: (
        "kg",
        {"lb": "pound", "oz": "ounce", "kg": "kg", "g": "g", "mg": "mg", "t": "metric_ton",
         "short ton": "short_ton"},
    ),
    LENGTH: (
        "m",
        {"in": "inch", "ft": "foot", "yd": "yard", "mi": "mile", "mm": "mm", "cm": "cm", "m": "m",
         "km": "km"},
    ),
    AREA: ("m**2", {"ft2": "foot**2", "in2": "inch**2", "m2": "m**2", "cm2": "cm**2"}),
    PRESSURE: (
        "Pa",
        {"psi": "psi", "inHg": "inHg", "mmHg": "mmHg", "kPa": "kPa", "bar": "bar", "mbar": "mbar",
         "hPa": "hPa", "Pa": "Pa", "MPa": "MPa", "atm": "atm"},
    ),
    TEMPERATURE_DIFFERENCE: (
        "kelvin", {"°F": "delta_degF", "°C": "delta_degC", "K": "kelvin"}
    ),
    FLOW: (
        "m**3/s",
        {"gal/min": "gallon/minute", "gal/h": "gallon/hour", "gal/day": "gallon/day",
         "qt/h": "quart/hour", "L/min": "liter/minute", "L/h": "liter/hour",
         "mL/min": "milliliter/minute", "m3/h": "m**3/hour"},
    ),
    POWER: (
        "W",
        {"W": "W", "kW": "kW", "MW": "MW", "hp": "horsepower", "BTU/h": "Btu_it/hour",
         "MMBTU/h": "1e6*Btu_it/hour"},
    ),
    ENERGY: (
        "J",
        {"kWh": "kWh", "Wh": "Wh", "BTU": "Btu_it", "MMBTU": "1e6*Btu_it", "GJ": "GJ", "MJ": "MJ",
         "kJ": "kJ", "J": "J"},
    ),
    DURATION: ("s", {"s": "s", "min": "minute", "h": "hour", "day": "day"}),
    CURRENT: ("A", {"A": "A", "mA": "mA"}),
    VOLTAGE: ("V", {"V": "V", "kV": "kV", "mV": "mV"}),
    WOOD: ("m**3", {"cord": CORD, "stere": "stere", "ft3 stacked": "foot**3"}),
    ENERGY_PER_WOOD: (
        "J/m**3",
        {"MMBTU/cord": f"1e6*Btu_it/{CORD}", "GJ/m3": "GJ/m**3", "MJ/m3": "MJ/m**3",
         "J/m3": "J/m**3"},
    ),
    PERMEATION: ("m/s", {"L/m2/h": "liter/m**2/hour", "gfd": GFD, "m/s": "m/s"}),
    PERMEABILITY: (
        "m/s/Pa",
        {"L/m2/h/bar": "liter/m**2/hour/bar", "gfd/psi": f"{GFD}/psi", "m/s/Pa": "m/s/Pa"},
    ),
    PRICE_PER_VOLUME: ("1/m**3", {"/gal": "1/gallon", "/L": "1/liter"}),
    PRICE_PER_MASS: ("1/kg", {"/lb": "1/pound", "/kg": "1/kg"}),
    PRICE_PER_ENERGY: ("1/J", {"/kWh": "1/kWh", "/MMBTU": "1e-6/Btu_it"}),
    PRICE_PER_TIME: ("1/s", {"/h": "1/hour", "/day": "1/day"}),
    PRICE_PER_WOOD: ("1/m**3", {"/cord": f"1/{CORD}", "/stere": "1/stere"}),
}  # fmt: skip
PLAIN = {BRIX, FRACTION, MONEY, ANGLE, TEMPERATURE}  # no factor to compare, or tested on their own


def test_the_oracle_covers_every_unit_of_every_kind() -> None:
    assert set(ORACLE) | PLAIN == set(KINDS)
    for kind, (_, names) in ORACLE.items():
        assert set(names) == {unit.name for unit in kind.units}, kind.name


@pytest.mark.parametrize(
    ("kind", "unit", "expression", "si"),
    [
        pytest.param(kind, unit, expression, si, id=f"{kind.name}: {unit}")
        for kind, (si, names) in ORACLE.items()
        for unit, expression in names.items()
    ],
)
def test_factor_agrees_with_pint(kind: Kind, unit: str, expression: str, si: str) -> None:
    # Both work from exact definitions; 1e-9 leaves room for rounded constants of either.
    expected = PINT.Quantity(expression).to(si).magnitude
    assert from_unit(1.0, kind, unit) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("celsius", [-273.15, -40.0, 0.0, 4.0, 103.9])
@pytest.mark.parametrize(("unit", "scale"), [("°F", "degF"), ("K", "kelvin"), ("°C", "degC")])
def test_temperature_agrees_with_pint(celsius: float, unit: str, scale: str) -> None:
    expected = PINT.Quantity(celsius, "degC").to(scale).magnitude
    assert to_unit(celsius, TEMPERATURE, unit) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        # NIST Special Publication 811 (2008), Appendix B.8, to the seven digits printed there
        # (digits from memory; pint above is the independent check).
        ("1 gal", VOLUME, 3.785412e-3),
        ("1 qt", VOLUME, 9.463529e-4),
        ("1 fl oz", VOLUME, 2.957353e-5),
        ("1 imp gal", VOLUME, 4.54609e-3),
        ("1 cord", WOOD, 3.624556),
        ("1 inHg", PRESSURE, 3.386389e3),  # conventional, mercury at 0 °C
        ("1 psi", PRESSURE, 6.894757e3),
        ("1 atm", PRESSURE, 1.01325e5),
        ("1 BTU", ENERGY, 1.05505585262e3),  # International Table
        ("1 BTU/h", POWER, 2.930711e-1),
        ("1 hp", POWER, 7.456999e2),  # 550 ft lbf/s
        ("1 gpm", FLOW, 6.309020e-5),
        ("1 gpd", FLOW, 4.381264e-8),
        ("1 lb", MASS, 4.5359237e-1),
        ("1 short ton", MASS, 9.071847e2),
        ("1 kWh", ENERGY, 3.6e6),
    ],
)  # fmt: skip
def test_factor_agrees_with_nist_sp_811(text: str, kind: Kind, si: float) -> None:
    assert parse(text, kind) == pytest.approx(si, rel=2e-7)


@pytest.mark.parametrize(
    ("kind", "spelling"),
    [(kind, text) for kind in KINDS for text in kind.table if kind is not ANGLE],
)
def test_every_spelling_is_read(kind: Kind, spelling: str) -> None:
    number = "0.5" if kind is FRACTION else "3"
    factor, offset = kind.table[spelling]
    expected = float(number) * factor + offset
    for text in (f"{number} {spelling}", f" {number}{spelling}  ", f"{number} {spelling.upper()}"):
        if spelling[:1] == "m" and text.strip().endswith(spelling.upper()) and spelling[1:] in (
            "L", "m", "bar", "A", "V", "g", "L/min"
        ):  # fmt: skip
            continue  # milli in capitals would be mega: refused, see below
        assert parse(text, kind) == pytest.approx(expected, rel=1e-12), text


def test_no_spelling_means_two_units_of_one_kind() -> None:
    for kind in KINDS:
        spellings = [text for unit in kind.units for text in unit.spellings]
        assert len(spellings) == len(set(spellings)), kind.name
        for text in spellings:
            assert kind.find(text) == kind.table[text], f"{kind.name}: {text}"


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_example_and_display_units_of_a_kind_are_its_own(kind: Kind) -> None:
    parse(kind.example, kind)
    for system in ("us", "metric"):
        ladder = kind.ladder(system)
        assert all(kind.find(unit) is not None for unit, _ in ladder)
        assert [start for _, start in ladder] == sorted(start for _, start in ladder)
        assert ladder[0][1] == 0.0


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("400 gal", 400.0), ("1,200 gal", 1200.0), ("1,200.5 gal", 1200.5), ("2,5 gal", 2.5),
        ("0,125 gal", 0.125), ("1 200 gal", 1200.0), ("1 200,5 gal", 1200.5),
        ("1\u202f200 gal", 1200.0), ("1,234,567 gal", 1234567.0), (".5 gal", 0.5), ("5. gal", 5.0),
        ("1e3 gal", 1000.0), ("1.5E-2 gal", 0.015), ("1/2 gal", 0.5), ("1 1/2 gal", 1.5),
        ("1-1/2 gal", 1.5), ("½ gal", 0.5), ("1½ gal", 1.5), ("1 ¾ gal", 1.75), ("3⁄4 gal", 0.75),
        ("-5 gal", -5.0), ("−5 gal", -5.0), ("+5 gal", 5.0), ("５ gal", 5.0), ("5gal.", 5.0),
        ("\t5\u00a0gal\n", 5.0), ("5 GAL", 5.0), ("5 Gallons", 5.0),
    ],
)  # fmt: skip
def test_numbers_as_people_type_them(text: str, number: float) -> None:
    # A US gallon is 231 cubic inches by law; the inch is 25.4 mm exactly.
    assert parse(text, VOLUME) == pytest.approx(number * 231 * 0.0254**3, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "", "   ", "gal", "nan gal", "inf gal", "-inf", "1,2.5 gal", "1.200,5 gal", "1200,500 gal",
        "1,2,3 gal", "1..5 gal", "1/0 gal", "1 3/2 gal", "1 200/300/2 gal", "--5 gal", "1e999 gal",
        "9" * 400 + " gal", "1" * 5000 + "/3 gal", "5-6 gal", "about 5 gal", "5 gal 3", "5 gal gal",
        "1_000 gal", "0x10 gal", "٥ gal", "5 gal/", "/", "5 \x00", "1 gal -2 qt",
    ],
)  # fmt: skip
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        parse(text, VOLUME)


@pytest.mark.parametrize("raw", [True, False, None, [], {}, b"5 gal", math.nan, math.inf, 10**400])
def test_what_is_no_text_and_no_finite_number_is_refused(raw: object) -> None:
    with pytest.raises(QuantityError):
        parse(raw, VOLUME, default_unit="gal")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("38F", TEMPERATURE, 10 / 3), ("212 ºF", TEMPERATURE, 100.0), ("0 K", TEMPERATURE, -273.15),
        ("-459.67 F", TEMPERATURE, -273.15), ("-40 deg f", TEMPERATURE, -40.0),
        ("9 F", TEMPERATURE_DIFFERENCE, 5.0),
        ("14″", LENGTH, 0.3556), ("5'3\"", LENGTH, 1.6002), ("5’ 3”", LENGTH, 1.6002),
        ("5 ft 3 in", LENGTH, 1.6002), ("5 ft, 3 in", LENGTH, 1.6002), ("5' 3", LENGTH, 1.6002),
        ("2 m 10", LENGTH, 2.1), ("4 ft 3 1/2 in", LENGTH, 1.3081), ("-1 ft 6 in", LENGTH, -0.4572),
        ("10 lb 8 oz", MASS, 4.762719885), ("2 gal 2 qt", VOLUME, 2.5 * 231 * 0.0254**3),
        ("1h30", DURATION, 5400.0), ("1 h 30 min", DURATION, 5400.0), ("1h30min", DURATION, 5400.0),
        ("2 days 3 h", DURATION, 183600.0), ("90 sec", DURATION, 90.0), ("1.5hr", DURATION, 5400.0),
        ("2.1", BRIX, 2.1), ("2,1 Brix", BRIX, 2.1), ("2.1 %", BRIX, 2.1), ("2.1 °Bx", BRIX, 2.1),
        ("40 %", FRACTION, 0.4), ("0.4", FRACTION, 0.4), ("1", FRACTION, 1.0),
        ("120 %", FRACTION, 1.2),
        ("20 MMBtu/cord", ENERGY_PER_WOOD, 20 * 1055.05585262e6 / (128 * 0.3048**3)),
        ("20 mmbtu per cord", ENERGY_PER_WOOD, 20 * 1055.05585262e6 / (128 * 0.3048**3)),
        ("5 L/m²/h/bar", PERMEABILITY, 5e-3 / 3600 / 1e5), ("5 lmh/bar", PERMEABILITY, 5e-8 / 3600),
        ("5 L/(m2·h·bar)", PERMEABILITY, 5e-8 / 3600), ("5 L/h/m2/bar", PERMEABILITY, 5e-8 / 3600),
        ("0.02 L/m2/h", PERMEATION, 2e-5 / 3600),
        ("3 qt per minute", FLOW, 3 * 231 / 4 * 0.0254**3 / 60), ("2 cups/day", FLOW, 5.47658e-9),
        ("$350", MONEY, 350.0), ("350 $", MONEY, 350.0), ("350", MONEY, 350.0),
        ("€1,200", MONEY, 1200),
        ("CAD 350", MONEY, 350.0), ("350CAD", MONEY, 350.0), ("$350 CAD", MONEY, 350.0),
        ("C$350", MONEY, 350.0), ("-$5", MONEY, -5.0), ("50 ¢", MONEY, 0.5), ("£5.50", MONEY, 5.5),
        ("$50/gal", PRICE_PER_VOLUME, 50 / (231 * 0.0254**3)),
        ("50/gal", PRICE_PER_VOLUME, 50 / (231 * 0.0254**3)),
        ("50 per gal", PRICE_PER_VOLUME, 50 / (231 * 0.0254**3)),
        ("50 dollars per gallon", PRICE_PER_VOLUME, 50 / (231 * 0.0254**3)),
        ("13 $/L", PRICE_PER_VOLUME, 13e3), ("$0.24/kWh", PRICE_PER_ENERGY, 0.24 / 3.6e6),
        ("24 ¢/kWh", PRICE_PER_ENERGY, 0.24 / 3.6e6), ("$15/hour", PRICE_PER_TIME, 15 / 3600),
        ("$250/cord", PRICE_PER_WOOD, 250 / (128 * 0.3048**3)),
        ("44.2", ANGLE, 44.2), ("44.2 N", ANGLE, 44.2), ("73.1 W", ANGLE, -73.1),
        ("-73.1", ANGLE, -73.1), ("44°12'N", ANGLE, 44.2), ("44° 12′ 36″ N", ANGLE, 44.21),
        ("W 73.5", ANGLE, -73.5), ("33.9 south", ANGLE, -33.9), ("44degN", ANGLE, 44.0),
        ("44 degree e", ANGLE, 44.0),
        ("73,1 w", ANGLE, -73.1),
    ],
)  # fmt: skip
def test_quantities_as_people_type_them(text: str, kind: Kind, si: float) -> None:
    assert parse(text, kind) == pytest.approx(si, rel=1e-6, abs=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("400", VOLUME, "needs a unit. Write it like 400 gal"),
        ("500 galons", VOLUME, '"galons" is no unit of volume known here'),
        ("500 galons", VOLUME, 'Did you mean "gal"?'),
        ("0.4 galons/min", FLOW, 'Did you mean "gal/min"?'),
        ("400 psi", VOLUME, "psi is a unit of pressure; volume wanted"),
        ("3 cord", VOLUME, "cord is a unit of stacked wood; volume wanted"),
        ("8 oz", VOLUME, "of volume it is fl oz"),
        ("2 ton", MASS, "2,000 lb or 1,000 kg"),
        ("1 face cord", WOOD, "depends on the length of the sticks"),
        ("2 Ricks", WOOD, "write cords"),
        ("5 m3", WOOD, "solid or stacked"),
        ("10 MBTU", ENERGY, "a thousand or a million"),
        ("38°", TEMPERATURE, "Write F or C"),
        ("5 m", DURATION, "write min"),
        ("200 psig", PRESSURE, "write psi"),
        ("40", FRACTION, "Write 40 %"),
        ("5 ft 14 in", LENGTH, "does not fit after ft"),
        ("1h75", DURATION, "does not fit after h"),
        ("3 in 5 ft", LENGTH, "does not fit after in"),
        ("44 60'N", ANGLE, "is no angle"),
        ("-44 S", ANGLE, "is no angle"),
        ("N 44 N", ANGLE, "is no angle"),
        ("1:30", DURATION, "no unit of duration"),
    ],
)
def test_refusal_says_why_and_what_to_do(text: str, kind: Kind, said: str) -> None:
    with pytest.raises(QuantityError) as refused:
        parse(text, kind, "tank.sap.volume")
    message = str(refused.value)
    assert message.startswith(f'tank.sap.volume = "{text}": ')
    assert said in message


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("5 ML", VOLUME), ("5 MM", LENGTH), ("5 Mm", LENGTH), ("5 Mbar", PRESSURE),
        ("5 mpa", PRESSURE),
        ("5 mj", ENERGY), ("5 mw", POWER), ("5 MA", CURRENT), ("5 MV", VOLTAGE), ("5 ML/min", FLOW),
        ("5 MG", MASS), ("5 ML/day", FLOW), ("5 mj/m3", ENERGY_PER_WOOD),
        ("5/mj", PRICE_PER_ENERGY),
    ],
)  # fmt: skip
def test_milli_is_never_taken_for_mega(text: str, kind: Kind) -> None:
    with pytest.raises(QuantityError):
        parse(text, kind)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("-460 F", TEMPERATURE),
        ("-1 K", TEMPERATURE),
        ("101", BRIX),
        ("-1 Brix", BRIX),
        ("181", ANGLE),
    ],
)
def test_what_cannot_exist_is_out_of_range(text: str, kind: Kind) -> None:
    with pytest.raises(RangeError, match="place"):
        parse(text, kind, "place")


def test_a_default_unit_is_for_bare_numbers_only() -> None:
    assert parse("5", VOLUME, default_unit="L") == pytest.approx(0.005)
    assert parse(5, VOLUME, default_unit="L") == pytest.approx(0.005)
    assert parse("5 m3", VOLUME, default_unit="L") == pytest.approx(5.0)
    with pytest.raises(QuantityError, match="needs a unit"):
        parse(5, VOLUME)


def test_conversion_refuses_a_unit_of_another_kind() -> None:
    for convert in (to_unit, from_unit):
        with pytest.raises(QuantityError, match="pressure"):
            convert(1.0, VOLUME, "psi")


GALLON = 231 * 0.0254**3


@pytest.mark.parametrize(
    ("value", "kind", "system", "text"),
    [
        (24.3 * GALLON, VOLUME, "us", "24 gal"), (6.12 * GALLON, VOLUME, "us", "6.1 gal"),
        (212.4 * GALLON, VOLUME, "us", "212 gal"), (1234 * GALLON, VOLUME, "us", "1,234 gal"),
        (9.96 * GALLON, VOLUME, "us", "10 gal"), (GALLON / 16, VOLUME, "us", "8.0 fl oz"),
        (0.0, VOLUME, "us", "0 fl oz"), (0.4, VOLUME, "metric", "400 L"),
        (2e-4, VOLUME, "metric", "200 mL"), (0.2 * GALLON / 60, FLOW, "us", "0.20 gal/min"),
        (1.94, BRIX, "us", "1.9 Brix"), (66.9, BRIX, "metric", "66.9 Brix"),
        (10 / 3, TEMPERATURE, "us", "38 °F"), (-0.04, TEMPERATURE, "metric", "0.0 °C"),
        (103.94, TEMPERATURE, "metric", "103.9 °C"), (0.4, FRACTION, "us", "40 %"),
        (5.5 * 3600, DURATION, "us", "5 h 30 min"), (3599.0, DURATION, "us", "1 h"),
        (7200.0, DURATION, "us", "2 h"), (45.0, DURATION, "us", "45 s"),
        (900.0, DURATION, "us", "15 min"), (5 * 86400.0, DURATION, "us", "5.0 days"),
        (2.3 * 128 * 0.3048**3, WOOD, "us", "2.3 cords"), (0.47, WOOD, "us", "0.13 cord"),
        (14 * 0.0254, LENGTH, "us", "14 in"), (1200 * 0.3048, LENGTH, "us", "1,200 ft"),
        (0.45, MONEY, "us", "$0.45"), (15.0, MONEY, "us", "$15"), (-5.5, MONEY, "us", "-$5.50"),
        (1234.5, MONEY, "us", "$1,234"), (50 / GALLON, PRICE_PER_VOLUME, "us", "$50/gal"),
        (0.24 / 3.6e6, PRICE_PER_ENERGY, "us", "$0.24/kWh"),
        (15 / 3600, PRICE_PER_TIME, "us", "$15/h"),
        (-73.1, ANGLE, "us", "-73.1000°"), (500.0, POWER, "us", "500 W"),
        (70e3, POWER, "us", "70 kW"),
    ],
)  # fmt: skip
def test_shown_as_a_maker_reads_it(value: float, kind: Kind, system: str, text: str) -> None:
    assert show(value, kind, system) == text


def test_shown_with_a_unit_digits_and_currency_of_choice() -> None:
    assert show(100.0 + 7.1 * 5 / 9, TEMPERATURE, digits=1) == "219.1 °F"
    assert show(0.3 * GALLON / 60, FLOW, unit="gal/h") == "18 gal/h"
    assert show(-3386.389 * 20, PRESSURE, unit="inHg", digits=1) == "-20.0 inHg"
    assert show(5400.0, DURATION, unit="h") == "1.5 h"
    assert show(12.5, MONEY, currency="€") == "€12.50"
    with pytest.raises(RangeError):
        show(math.nan, VOLUME)
    with pytest.raises(QuantityError):
        show(1.0, VOLUME, unit="psi")
    with pytest.raises(QuantityError, match="us, metric"):
        show(1.0, VOLUME, system="imperial")


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("17:00", 1020), ("5 pm", 1020), ("5:30pm", 1050), ("5:30 P.M.", 1050), ("17h", 1020),
        ("17h30", 1050), ("17 h 30", 1050), ("noon", 720), ("Midnight", 0), ("0:00", 0),
        ("12 am", 0), ("12 pm", 720), ("12:30 am", 30), ("23:59", 1439), (" 06:30 ", 390),
    ],
)  # fmt: skip
def test_clock_times(text: str, minutes: int) -> None:
    assert parse_clock(text, "start") == minutes


@pytest.mark.parametrize(
    "text",
    ["", "17", "5", "24:00", "25:00", "17:60", "5:7", "5:", "13 pm", "0 am", "17h30 pm", "noonish",
     "-1:00", "17:00:00:00", "1e1:00", "５"],
)  # fmt: skip
def test_what_is_no_clock_time_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="start"):
        parse_clock(text, "start")


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("06:30-22:00", (390, 1320)), ("6 am to 10 pm", (360, 1320)), ("6am–10pm", (360, 1320)),
        ("22:00-06:00", (1320, 360)), ("from 6 am until noon", (360, 720)),
        ("00:00-24:00", (0, 1440)), ("18:00 to midnight", (1080, 1440)), ("6h - 22h30",
        (360, 1350)),
    ],
)  # fmt: skip
def test_spans_of_the_day(text: str, span: tuple[int, int]) -> None:
    assert parse_span(text, "hours") == span


@pytest.mark.parametrize(
    "text", ["", "06:30", "06:30-", "6-10 pm", "06:00-06:00", "24:00-06:00", "a to b", "1:00-25:00"]
)
def test_what_is_no_span_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="hours"):
        parse_span(text, "hours")


def test_clock_is_written_as_it_is_read() -> None:
    for minutes in range(1440):
        assert parse_clock(format_clock(minutes)) == minutes
    assert format_clock(1440) == "24:00"
    for outside in (-1, 1441):
        with pytest.raises(RangeError):
            format_clock(outside)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("feed_flow_m3_s", FLOW), ("volume_m3", VOLUME), ("wood_on_hand_wood_m3", WOOD),
        ("wood_money_wood_m3", PRICE_PER_WOOD), ("syrup_money_m3", PRICE_PER_VOLUME),
        ("heat_j_m3", ENERGY_PER_WOOD), ("permeability_m_s_pa", PERMEABILITY),
        ("flux_m_s", PERMEATION),
        ("duration_s", DURATION), ("hour_money_s", PRICE_PER_TIME), ("brix", BRIX),
        ("sap_brix", BRIX),
        ("sugar_fraction", FRACTION), ("temperature_c", TEMPERATURE),
        ("rise_k", TEMPERATURE_DIFFERENCE),
        ("depth_m", LENGTH), ("latitude_deg", ANGLE), ("density_kg_m3", None),
        ("viscosity_pa_s", None),
        ("latent_heat_j_kg", None), ("heat_capacity_j_kg_k", None), ("flow_kg_s", None),
        ("diffusivity_m2_s", None), ("vacuum_gain_per_pa", None), ("weep_m3_h_pa", None),
        ("name", None), ("", None),
    ],
)  # fmt: skip
def test_a_name_announces_its_kind(name: str, kind: Kind | None) -> None:
    assert kind_of(name) is kind


def test_suffixes_are_distinct_and_lead_back_to_their_kind() -> None:
    for kind in KINDS:
        assert kind_of(f"some{kind.suffix}") is kind


def test_examples_in_the_docstrings_hold() -> None:
    modules = [module.name for module in pkgutil.iter_modules(units.__path__, "sugarwright.units.")]
    tried = 0
    for name in ["sugarwright.units", *modules]:
        result = doctest.testmod(importlib.import_module(name))
        assert result.failed == 0, name
        tried += result.attempted
    assert tried > 10


def test_units_need_nothing_but_the_standard_library() -> None:
    code = (
        "import sys; before = set(sys.modules); import sugarwright.units;"
        "new = {name.split('.')[0] for name in set(sys.modules) - before};"
        "print(sorted(new - set(sys.stdlib_module_names) - {'sugarwright'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_few_whole_minutes_have_no_tenths() -> None:
    assert show(300.0, DURATION) == "5 min"
    assert show(312.0, DURATION) == "5.2 min"
    assert show(300.0, DURATION, digits=1).startswith("5.0")
