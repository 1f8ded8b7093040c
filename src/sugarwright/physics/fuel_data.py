"""What fuels hold: woods by species, and what is burnt or bought instead.

Data beside the model of :mod:`sugarwright.physics.fuel`, each with where it is from.
"""

from __future__ import annotations

from typing import NamedTuple

_BTU_J = 1055.056
_BTU_LB = 2326.0
_GALLON_M3 = 3.785411784e-3
_CUBIC_FOOT_M3 = 0.028316846592

HARDWOOD_J_KG = 8600.0 * _BTU_LB
"""Dry hardwood, higher heating value: 8500 to 8660 Btu/lb in published tables."""
SOFTWOOD_J_KG = 9000.0 * _BTU_LB
"""Dry softwood, with its resin: some 9000 Btu/lb in published tables."""
CORD_SOLID_FRACTION = 85.0 / 128.0
"""Wood in a stack: 85 of a cord's 128 ft³ (trade and extension tables; 80 to 90 is seen)."""


class Wood(NamedTuple):
    """A kind of wood.

    Parameters
    ----------
    name : species
    dry_density_kg_m3 : oven-dry mass by green volume [kg/m³], which is a thousand times the "basic"
        specific gravity. Single trees stand 10 % off their species
    dry_heat_j_kg : higher heating value of dry wood [J/kg]
    """

    name: str
    dry_density_kg_m3: float
    dry_heat_j_kg: float


#: Basic gravity: USDA Forest Products Laboratory, "Wood Handbook", table 5-3 (from memory).
WOODS = (
    Wood("shagbark hickory", 640.0, HARDWOOD_J_KG),
    Wood("white oak", 600.0, HARDWOOD_J_KG),
    Wood("sugar maple", 560.0, HARDWOOD_J_KG),
    Wood("beech", 560.0, HARDWOOD_J_KG),
    Wood("red oak", 560.0, HARDWOOD_J_KG),
    Wood("yellow birch", 550.0, HARDWOOD_J_KG),
    Wood("white ash", 550.0, HARDWOOD_J_KG),
    Wood("red maple", 490.0, HARDWOOD_J_KG),
    Wood("paper birch", 480.0, HARDWOOD_J_KG),
    Wood("black cherry", 470.0, HARDWOOD_J_KG),
    Wood("american elm", 460.0, HARDWOOD_J_KG),
    Wood("silver maple", 440.0, HARDWOOD_J_KG),
    Wood("hemlock", 380.0, SOFTWOOD_J_KG),
    Wood("aspen", 350.0, HARDWOOD_J_KG),
    Wood("white pine", 340.0, SOFTWOOD_J_KG),
    Wood("basswood", 320.0, HARDWOOD_J_KG),
)


class Fuel(NamedTuple):
    """A fuel that is bought by volume.

    Parameters
    ----------
    name : what it is called
    heat_j_m3 : higher heating value by volume as it is sold [J/m³] (liquid; gas as metered)
    efficiency_fraction : share of that which a pan gets
    efficiency_least, efficiency_greatest : the span that is seen or remembered
    """

    name: str
    heat_j_m3: float
    efficiency_fraction: float
    efficiency_least: float
    efficiency_greatest: float


#: Heating values: University of Connecticut extension, fuel comparison table. Efficiencies: 65 % of
#: an oil-fired open pan, USDA Forest Service preheater study (1974); the rest from memory.
FUELS = (
    Fuel("No. 2 oil", 138_500.0 * _BTU_J / _GALLON_M3, 0.70, 0.65, 0.80),
    Fuel("propane", 92_500.0 * _BTU_J / _GALLON_M3, 0.73, 0.65, 0.80),
    Fuel("natural gas", 1_030.0 * _BTU_J / _CUBIC_FOOT_M3, 0.75, 0.70, 0.80),
)

WOOD_EFFICIENCY_FRACTION = 0.40
"""Open wood-fired pan: 40 to 60 % quoted by Ohio State extension, 25 to 60 % seen overall."""
ELECTRIC_EFFICIENCY_FRACTION = 0.95
"""Elements under the liquid lose only what the pan's walls lose (from memory)."""
