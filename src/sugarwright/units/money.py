"""Money, and its rates by volume, mass, energy, time and wood; the house states its currency."""

from __future__ import annotations

from sugarwright.units.basic import (
    BTU_J,
    CORD_M3,
    DAY_S,
    DURATION,
    GALLON_M3,
    HOUR_S,
    MASS,
    POUND_KG,
    VOLUME,
)
from sugarwright.units.kind import Kind, Unit
from sugarwright.units.trade import ENERGY, WOOD

MONEY = Kind(
    "money",
    "_money",
    "$350",
    (Unit("", 1.0), Unit("¢", 0.01, ("cent", "cents", "ct"))),
    us=(("", 0.0),),
    metric=(("", 0.0),),
)

PRICE_PER_VOLUME = Kind(
    "price per volume",
    "_money_m3",
    "$50/gal",
    (Unit("/gal", 1 / GALLON_M3), Unit("/L", 1e3)),
    us=(("/gal", 0.0),),
    metric=(("/L", 0.0),),
    ratio=(MONEY, VOLUME),
)

PRICE_PER_MASS = Kind(
    "price per mass",
    "_money_kg",
    "$4/lb",
    (Unit("/lb", 1 / POUND_KG), Unit("/kg", 1.0)),
    us=(("/lb", 0.0),),
    metric=(("/kg", 0.0),),
    ratio=(MONEY, MASS),
)

PRICE_PER_ENERGY = Kind(
    "price per energy",
    "_money_j",
    "$0.24/kWh",
    (Unit("/kWh", 1 / (1e3 * HOUR_S)), Unit("/MMBTU", 1 / (1e6 * BTU_J))),
    us=(("/kWh", 0.0),),
    metric=(("/kWh", 0.0),),
    ratio=(MONEY, ENERGY),
)

PRICE_PER_TIME = Kind(
    "price per time",
    "_money_s",
    "$15/h",
    (Unit("/h", 1 / HOUR_S), Unit("/day", 1 / DAY_S)),
    us=(("/h", 0.0),),
    metric=(("/h", 0.0),),
    ratio=(MONEY, DURATION),
)

PRICE_PER_WOOD = Kind(
    "price per stacked wood",
    "_money_wood_m3",
    "$250/cord",
    (Unit("/cord", 1 / CORD_M3), Unit("/stere", 1.0)),
    us=(("/cord", 0.0),),
    metric=(("/stere", 0.0),),
    ratio=(MONEY, WOOD),
)
