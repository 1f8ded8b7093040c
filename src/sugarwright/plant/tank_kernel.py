"""Tanks inside the simulator: water, sugar, cells and temperature, mixed by mass.

Volumes add up inside the plant (cold sap and concentrate: a kilogram of water and a kilogram of
sugar each keep their volume), which is within 0.06 % of the density of sucrose solutions up to
20 Brix, and makes the time at which a tank is full or empty exact.
"""

from __future__ import annotations

import math
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from sugarwright.plant import layout as at

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
Amount = TypeVar("Amount", float, Floats)

CLOSE_M3 = 1e-9  # levels no further apart (a cubic millimetre) are the same level


def mixed_m3(p: Floats, water_kg: Amount, sugar_kg: Amount) -> Amount:
    """Volume of water with sugar in it, m³; of streams in kg/s, m³/s."""
    return water_kg * p[at.WATER_M3_KG] + sugar_kg * p[at.SUGAR_M3_KG]


def volume_m3(p: Floats, x: Floats, tank: int) -> float:
    """Volume in a tank, m³."""
    return mixed_m3(p, x[tank + at.WATER], x[tank + at.SUGAR])


def sugar_fraction(x: Floats, tank: int) -> float:
    """Mass fraction of sugar in a tank; 0 when it is empty."""
    mass_kg = x[tank + at.WATER] + x[tank + at.SUGAR]
    return x[tank + at.SUGAR] / mass_kg if mass_kg > 0.0 else 0.0


def pour_in(
    x: Floats,
    tank: int,
    water_kg: float,
    sugar_kg: float,
    cell_ratio: float,
    temperature_c: float,
) -> None:
    """Mix a parcel into a tank."""
    added_kg = water_kg + sugar_kg
    if added_kg <= 0.0:
        return
    share = added_kg / (x[tank + at.WATER] + x[tank + at.SUGAR] + added_kg)
    x[tank + at.CELLS] += share * (cell_ratio - x[tank + at.CELLS])
    x[tank + at.TEMPERATURE] += share * (temperature_c - x[tank + at.TEMPERATURE])
    x[tank + at.WATER] += water_kg
    x[tank + at.SUGAR] += sugar_kg


def take_out(x: Floats, tank: int, mass_kg: float) -> tuple[float, float]:
    """Take a mass out of a mixed tank (at most all of it); return its water and sugar, kg."""
    held_kg = x[tank + at.WATER] + x[tank + at.SUGAR]
    if held_kg <= 0.0 or mass_kg <= 0.0:
        return 0.0, 0.0
    share = min(1.0, mass_kg / held_kg)
    water_kg, sugar_kg = share * x[tank + at.WATER], share * x[tank + at.SUGAR]
    x[tank + at.WATER] -= water_kg
    x[tank + at.SUGAR] -= sugar_kg
    return water_kg, sugar_kg


def mass_above_kg(p: Floats, x: Floats, tank: int, level_m3: float) -> float:
    """Mass that could flow out before the tank is down to a level, kg."""
    held_m3 = volume_m3(p, x, tank)
    if held_m3 <= level_m3:
        return 0.0
    return (x[tank + at.WATER] + x[tank + at.SUGAR]) * (1.0 - level_m3 / held_m3)


def skim_overflow(p: Floats, x: Floats, tank: int, capacity_m3: float) -> tuple[float, float]:
    """Remove what stands above the rim; return its water and sugar, kg."""
    excess_m3 = volume_m3(p, x, tank) - capacity_m3
    if excess_m3 <= 0.0:
        return 0.0, 0.0
    return take_out(x, tank, mass_above_kg(p, x, tank, capacity_m3))


def life_used(p: Floats, cell_ratio: float) -> float:
    """Share of the keeping time that sap has used: 0 fresh, 1 spoiled."""
    return max(0.0, math.log10(max(1.0, cell_ratio)) / p[at.SPOILED_LOG])


def worth_fraction(p: Floats, cell_ratio: float) -> float:
    """Worth of sap for syrup beside fresh sap: falls with the square of the life used.

    The shape is our own judgement (no source): little is lost in the first half of the life, and
    what is nearly spoiled is worth the house's own ``tired_worth``.
    """
    used = min(1.0, life_used(p, cell_ratio))
    return 1.0 - (1.0 - p[at.TIRED_WORTH]) * used * used


def seconds_to_level(volume_m3: float, level_m3: float, rate_m3_s: float) -> float:
    """Time until a volume that changes steadily reaches a level, s.

    Infinite when it never does, and when it is there already: what happens at a level has happened.
    """
    gap_m3 = level_m3 - volume_m3
    if abs(gap_m3) <= CLOSE_M3 or gap_m3 * rate_m3_s <= 0.0:
        return math.inf
    return gap_m3 / rate_m3_s
