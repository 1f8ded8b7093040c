"""All kinds of quantity, and the kind that an attribute's name announces."""

from __future__ import annotations

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
from sugarwright.units.kind import Kind
from sugarwright.units.money import (
    MONEY,
    PRICE_PER_ENERGY,
    PRICE_PER_MASS,
    PRICE_PER_TIME,
    PRICE_PER_VOLUME,
    PRICE_PER_WOOD,
)
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

KINDS: tuple[Kind, ...] = (
    VOLUME,
    MASS,
    LENGTH,
    AREA,
    PRESSURE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    FLOW,
    POWER,
    ENERGY,
    DURATION,
    CURRENT,
    VOLTAGE,
    BRIX,
    FRACTION,
    WOOD,
    ENERGY_PER_WOOD,
    PERMEABILITY,
    PERMEATION,
    ANGLE,
    MONEY,
    PRICE_PER_VOLUME,
    PRICE_PER_MASS,
    PRICE_PER_ENERGY,
    PRICE_PER_TIME,
    PRICE_PER_WOOD,
)

# "per" and "h" are no SI symbols, but what stands before them ends no name of a kind either.
_SYMBOLS = frozenset(
    ("m", "m2", "m3", "s", "kg", "j", "w", "k", "c", "pa", "a", "v", "deg", "mol", "h", "per")
)
_LONGEST_FIRST = tuple(sorted(KINDS, key=lambda kind: -len(kind.suffix)))


def kind_of(name: str) -> Kind | None:
    """Return the kind that an attribute's name announces by its suffix, or None.

    The suffix must account for every unit symbol at the end of the name, so that
    ``latent_heat_j_kg`` is not taken for a mass.

    >>> kind_of("feed_flow_m3_s").name
    'flow'
    >>> kind_of("latent_heat_j_kg") is None
    True
    """
    words = name.split("_")
    symbols = 0
    while symbols < len(words) and words[-1 - symbols] in _SYMBOLS:
        symbols += 1
    for kind in _LONGEST_FIRST:
        if f"_{name}".endswith(kind.suffix):
            return kind if kind.suffix.count("_") >= symbols else None
    return None
