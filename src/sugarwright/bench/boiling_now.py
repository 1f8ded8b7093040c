"""Where water and syrup boil today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.bench.water_point import WaterPoint
from sugarwright.physics.boiling import boiling_point_c, boiling_point_rise_k
from sugarwright.physics.maple_solids import syrup_boiling_point_c

HALF_STEP_BRIX = 0.5


@dataclass(frozen=True)
class SyrupPoint:
    """Where syrup of one strength boils today.

    Parameters
    ----------
    brix : its strength [mass percent]
    boiling_c : where it boils [°C]
    rise_k : above water today [K]
    k_per_brix : how much hotter for each Brix more [K]
    """

    brix: float
    boiling_c: float
    rise_k: float
    k_per_brix: float


@dataclass(frozen=True)
class BoilingNow:
    """Where water and syrup boil today.

    Parameters
    ----------
    water : where water boils, and how that is known
    sd_k : standard deviation of that, and so of every boiling point below [K]
    invert_fraction : share of the solids taken to be invert sugar [kg/kg]
    syrup : the strengths asked for
    """

    water: WaterPoint
    sd_k: float
    invert_fraction: float
    syrup: tuple[SyrupPoint, ...]


def boiling_now(
    water: WaterPoint, strengths: Sequence[float], invert_fraction: float = 0.0
) -> BoilingNow:
    """Return where syrup of some strengths boils.

    Parameters
    ----------
    water : where water boils
    strengths : of syrup [Brix], each 0.5 to 74.5
    invert_fraction : share of the solids that is invert sugar [kg/kg]

    Raises
    ------
    RangeError : a value outside its range
    """
    points = tuple(_point(water, brix, invert_fraction) for brix in strengths)
    return BoilingNow(water, water.sd_k, invert_fraction, points)


def _point(water: WaterPoint, brix: float, invert_fraction: float) -> SyrupPoint:
    pressure_pa = water.pressure_pa
    pure_c = boiling_point_c(brix, pressure_pa)
    boils_c = syrup_boiling_point_c(brix, pressure_pa, invert_fraction, 0.0)
    slope = boiling_point_rise_k(brix + HALF_STEP_BRIX, pressure_pa) - boiling_point_rise_k(
        brix - HALF_STEP_BRIX, pressure_pa
    )
    rise_k = boiling_point_rise_k(brix, pressure_pa) + boils_c - pure_c
    return SyrupPoint(brix, boils_c, rise_k, slope / (2.0 * HALF_STEP_BRIX))
