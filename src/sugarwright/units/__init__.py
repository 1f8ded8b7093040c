"""What a person types into SI, and SI into what a person likes to read.

Everything below works in SI floats; trade units exist only here, at the edge. A :class:`Kind` is
one sort of quantity with the units it may be written in; :func:`parse` reads a text as that kind
and :func:`show` prints it back, rounded to what a maker can use.

>>> parse("1 1/2 cord", WOOD)
5.436834545663999
>>> show(parse("0.2 gpm", FLOW), FLOW)
'0.20 gal/min'

Decisions that a newcomer would ask about:

- ``gal`` is the US gallon; the imperial one is written ``imp gal``. ``BTU`` is the International
  Table BTU, ``hp`` the mechanical horsepower, ``inHg`` mercury at 0 °C.
- A unit that trade uses for several sizes is refused with the reason: ``ton``, ``face cord``,
  ``MBTU``, ``oz`` of volume, ``m3`` of wood.
- Letter case is free, except where ``m`` (milli) and ``M`` (mega) would differ by 10^9.
- ``1,200`` is twelve hundred: a comma followed by exactly three digits groups thousands, any other
  comma (``2,1``, ``0,125``) is a decimal comma.
- Prices carry no currency: the house states its own, so ``$``, ``€``, ``CAD`` ... are read over.
"""

from sugarwright.units.basic import (
    AREA,
    DURATION,
    LENGTH,
    MASS,
    PRESSURE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    VOLUME,
)
from sugarwright.units.clock import format_clock, parse_clock, parse_span
from sugarwright.units.kind import Kind, Unit
from sugarwright.units.kinds import KINDS, kind_of
from sugarwright.units.money import (
    MONEY,
    PRICE_PER_ENERGY,
    PRICE_PER_MASS,
    PRICE_PER_TIME,
    PRICE_PER_VOLUME,
    PRICE_PER_WOOD,
)
from sugarwright.units.reading import from_unit, parse, to_unit
from sugarwright.units.showing import show
from sugarwright.units.trade import (
    ANGLE,
    BRIX,
    CURRENT,
    ENERGY,
    ENERGY_PER_WOOD,
    FLOW,
    FRACTION,
    PERMEABILITY,
    PERMEATION,
    POWER,
    VOLTAGE,
    WOOD,
)

__all__ = [
    "ANGLE",
    "AREA",
    "BRIX",
    "CURRENT",
    "DURATION",
    "ENERGY",
    "ENERGY_PER_WOOD",
    "FLOW",
    "FRACTION",
    "KINDS",
    "LENGTH",
    "MASS",
    "MONEY",
    "PERMEABILITY",
    "PERMEATION",
    "POWER",
    "PRESSURE",
    "PRICE_PER_ENERGY",
    "PRICE_PER_MASS",
    "PRICE_PER_TIME",
    "PRICE_PER_VOLUME",
    "PRICE_PER_WOOD",
    "TEMPERATURE",
    "TEMPERATURE_DIFFERENCE",
    "VOLTAGE",
    "VOLUME",
    "WOOD",
    "Kind",
    "Unit",
    "format_clock",
    "from_unit",
    "kind_of",
    "parse",
    "parse_clock",
    "parse_span",
    "show",
    "to_unit",
]
