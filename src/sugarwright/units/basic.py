"""Kinds of quantity with units of their own, and the factors to SI.

Factors are exact by definition where one exists: the inch, pound and US gallon of the international
yard and pound agreement (231 cubic inches a gallon), the International Table BTU, the conventional
inch of mercury at 0 °C (13 595.1 kg/m3, standard gravity). NIST Special Publication 811 (2008),
Appendix B, lists them all; the tests compare.
"""

from __future__ import annotations

from sugarwright.units.kind import Kind, Unit

INCH_M = 0.0254
FOOT_M = 12 * INCH_M
POUND_KG = 0.45359237
GRAVITY_M_S2 = 9.80665
GALLON_M3 = 231 * INCH_M**3
IMPERIAL_GALLON_M3 = 4.54609e-3
CORD_M3 = 128 * FOOT_M**3
PSI_PA = POUND_KG * GRAVITY_M_S2 / INCH_M**2
MERCURY_PA_M = 13595.1 * GRAVITY_M_S2
BTU_J = 1055.05585262
HORSEPOWER_W = 550 * FOOT_M * POUND_KG * GRAVITY_M_S2
HOUR_S = 3600.0
DAY_S = 86400.0
FAHRENHEIT_K = 5 / 9

VOLUME = Kind(
    "volume",
    "_m3",
    "400 gal",
    (
        Unit("gal", GALLON_M3, ("gallon", "gallons", "gals", "US gal", "US gallon", "US gallons")),
        Unit("qt", GALLON_M3 / 4, ("quart", "quarts", "qts")),
        Unit("pt", GALLON_M3 / 8, ("pint", "pints", "pts")),
        Unit("cup", GALLON_M3 / 16, ("cups",)),
        Unit("fl oz", GALLON_M3 / 128, ("fluid ounce", "fluid ounces")),
        Unit("imp gal", IMPERIAL_GALLON_M3, ("imperial gal", "imperial gallon", "imperial gallons",
             "imp gallon", "imp gallons", "UK gal", "UK gallon", "UK gallons")),
        Unit("L", 1e-3, ("liter", "liters", "litre", "litres")),
        Unit("mL", 1e-6, ("milliliter", "milliliters", "millilitre", "millilitres", "cc", "cm3")),
        Unit("hL", 0.1, ("hectoliter", "hectoliters", "hectolitre", "hectolitres")),
        Unit("m3", 1.0, ("cubic meter", "cubic meters", "cubic metre", "cubic metres")),
        Unit("ft3", FOOT_M**3, ("cu ft", "cubic foot", "cubic feet", "cuft")),
        Unit("in3", INCH_M**3, ("cu in", "cubic inch", "cubic inches")),
    ),
    us=(("fl oz", 0.0), ("gal", 0.1 * GALLON_M3)),
    metric=(("mL", 0.0), ("L", 1e-3)),
    refused={
        "oz": "oz is a unit of mass; of volume it is fl oz",
        "ounces": "an ounce is a unit of mass; of volume it is fl oz",
    },
    parts=True,
)  # fmt: skip

MASS = Kind(
    "mass",
    "_kg",
    "11 lb",
    (
        Unit("lb", POUND_KG, ("lbs", "pound", "pounds")),
        Unit("oz", POUND_KG / 16, ("ounce", "ounces")),
        Unit("kg", 1.0, ("kilogram", "kilograms", "kilo", "kilos")),
        Unit("g", 1e-3, ("gram", "grams")),
        Unit("mg", 1e-6, ("milligram", "milligrams")),
        Unit("t", 1e3, ("tonne", "tonnes", "metric ton", "metric tons")),
        Unit("short ton", 2000 * POUND_KG, ("short tons", "US ton", "US tons")),
    ),
    us=(("oz", 0.0), ("lb", POUND_KG)),
    metric=(("g", 0.0), ("kg", 1.0)),
    refused=dict.fromkeys(
        ("ton", "tons"), "a ton may be 2,000 lb or 1,000 kg; write short ton or t"
    ),
    parts=True,
)

LENGTH = Kind(
    "length",
    "_m",
    "14 in",
    (
        Unit("in", INCH_M, ("inch", "inches", '"', "''")),
        Unit("ft", FOOT_M, ("foot", "feet", "'")),
        Unit("yd", 3 * FOOT_M, ("yard", "yards", "yds")),
        Unit("mi", 5280 * FOOT_M, ("mile", "miles")),
        Unit("mm", 1e-3, ("millimeter", "millimeters", "millimetre", "millimetres")),
        Unit("cm", 1e-2, ("centimeter", "centimeters", "centimetre", "centimetres")),
        Unit("m", 1.0, ("meter", "meters", "metre", "metres")),
        Unit("km", 1e3, ("kilometer", "kilometers", "kilometre", "kilometres")),
    ),
    us=(("in", 0.0), ("ft", 10 * FOOT_M)),
    metric=(("mm", 0.0), ("cm", 0.01), ("m", 1.0)),
    parts=True,
    next_part={"ft": "in", "m": "cm"},
)

AREA = Kind(
    "area",
    "_m2",
    "40 ft2",
    (
        Unit("ft2", FOOT_M**2, ("sq ft", "sqft", "square foot", "square feet")),
        Unit("in2", INCH_M**2, ("sq in", "square inch", "square inches")),
        Unit("m2", 1.0, ("sq m", "square meter", "square meters", "square metre", "square metres")),
        Unit("cm2", 1e-4, ("sq cm", "square centimeter", "square centimeters")),
    ),
    us=(("in2", 0.0), ("ft2", FOOT_M**2)),
    metric=(("cm2", 0.0), ("m2", 0.01)),
)

PRESSURE = Kind(
    "pressure",
    "_pa",
    "200 psi",
    (
        Unit("psi", PSI_PA, ("lb/in2", "lbf/in2")),
        Unit("inHg", MERCURY_PA_M * INCH_M, ("in Hg", '"Hg', "inches of mercury", "inches Hg")),
        Unit("mmHg", MERCURY_PA_M * 1e-3, ("mm Hg",)),
        Unit("kPa", 1e3, ("kilopascal", "kilopascals")),
        Unit("bar", 1e5, ("bars",)),
        Unit("mbar", 1e2, ("millibar", "millibars")),
        Unit("hPa", 1e2, ("hectopascal", "hectopascals")),
        Unit("Pa", 1.0, ("pascal", "pascals")),
        Unit("MPa", 1e6, ("megapascal", "megapascals")),
        Unit("atm", 101325.0, ("atmosphere", "atmospheres")),
    ),
    us=(("psi", 0.0),),
    metric=(("kPa", 0.0), ("bar", 2e5)),
    refused=dict.fromkeys(
        ("psig", "psia"), "write psi; the field says whether it is above the air's pressure or not"
    ),
)

_FAHRENHEIT = ("F", "° F", "deg F", "degrees F", "degree F", "fahrenheit", "degrees fahrenheit")
_CELSIUS = ("C", "° C", "deg C", "degrees C", "degree C", "celsius", "degrees celsius")
_NO_SCALE = dict.fromkeys(("°", "deg", "degree", "degrees"), "degrees of which scale? Write F or C")

TEMPERATURE = Kind(
    "temperature",
    "_c",
    "38 °F",
    (
        Unit("°F", FAHRENHEIT_K, _FAHRENHEIT, offset=-32 * FAHRENHEIT_K),
        Unit("°C", 1.0, _CELSIUS),
        Unit("K", 1.0, ("kelvin", "kelvins"), offset=-273.15),
    ),
    us=(("°F", 0.0),),
    metric=(("°C", 0.0),),
    refused=_NO_SCALE,
    least=-273.15,
    decimals={"°F": 0, "°C": 1, "K": 1},
)

TEMPERATURE_DIFFERENCE = Kind(
    "temperature difference",
    "_k",
    "7 °F",
    (
        Unit("°F", FAHRENHEIT_K, _FAHRENHEIT),
        Unit("°C", 1.0, _CELSIUS),
        Unit("K", 1.0, ("kelvin", "kelvins")),
    ),
    us=(("°F", 0.0),),
    metric=(("°C", 0.0),),
    refused=_NO_SCALE,
    decimals={"°F": 1, "°C": 1, "K": 1},
)

DURATION = Kind(
    "duration",
    "_s",
    "1 h 30 min",
    (
        Unit("s", 1.0, ("sec", "secs", "second", "seconds")),
        Unit("min", 60.0, ("mins", "minute", "minutes")),
        Unit("h", HOUR_S, ("hr", "hrs", "hour", "hours")),
        Unit("day", DAY_S, ("d", "days")),
    ),
    us=(("s", 0.0), ("min", 120.0), ("h", HOUR_S), ("day", 3 * DAY_S)),
    metric=(("s", 0.0), ("min", 120.0), ("h", HOUR_S), ("day", 3 * DAY_S)),
    refused={"m": "m may be minutes, months or metres; write min"},
    parts=True,
    next_part={"h": "min", "min": "s"},
)
