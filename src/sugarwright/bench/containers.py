"""Containers to fill: how many, and what each must weigh."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError, RangeError
from sugarwright.physics.solution import density_kg_m3, mass_kg

REFERENCE_C = 20.0
"""68 °F: where labels state volumes."""
LOSS_FRACTION = 0.02
"""What stays in filter, filler and pails: 1 to 3 % (common practice, no source)."""
VOLUME_SD_FRACTION = 0.01
LEAST_PACKING_C = (180.0 - 32.0) / 1.8
GALLON_M3 = 3.785411784e-3
USUAL = {
    "us": ("gallon", "half-gallon", "quart", "pint", "half-pint"),
    "metric": ("4 L", "1 L", "500 mL", "250 mL", "100 mL"),
}
"""System of units -> containers most used with it."""
SIZES = {
    "gallon": GALLON_M3,
    "half-gallon": GALLON_M3 / 2,
    "quart": GALLON_M3 / 4,
    "pint": GALLON_M3 / 8,
    "12 fl oz": 12 * GALLON_M3 / 128,
    "half-pint": GALLON_M3 / 16,
    "4 L": 4e-3,
    "2 L": 2e-3,
    "1 L": 1e-3,
    "540 mL": 0.54e-3,
    "500 mL": 0.5e-3,
    "375 mL": 0.375e-3,
    "250 mL": 0.25e-3,
    "100 mL": 0.1e-3,
}
"""Usual containers: name -> volume at 20 °C [m³]."""


@dataclass(frozen=True)
class Filled:
    """Containers of one size.

    Parameters
    ----------
    size : its name
    size_m3 : volume that its label states, at 20 °C [m³]
    count : how many are filled
    count_least, count_greatest : the same if the batch is two standard deviations smaller, larger
    net_kg : what the syrup in each must weigh [kg]
    hot_m3 : the volume that this weight takes while it is filled [m³]
    """

    size: str
    size_m3: float
    count: int
    count_least: int
    count_greatest: int
    net_kg: float
    hot_m3: float


@dataclass(frozen=True)
class Packing:
    """A batch in its containers.

    Parameters
    ----------
    hot_m3 : the batch at packing temperature [m³]
    cold_m3 : the same at 20 °C, before the loss [m³]
    mass_kg : its mass [kg]
    shrink_fraction : what it loses in volume while it cools
    loss_fraction : what stays in the equipment
    filled : the containers; several sizes are filled one after the other, the largest first
    one_size : of each usual size, were all to go into that one
    left_m3 : what is left when they are filled, at 20 °C [m³]
    too_cool : packed below 180 °F (82 °C), so that it may mould
    """

    hot_m3: float
    cold_m3: float
    mass_kg: float
    shrink_fraction: float
    loss_fraction: float
    filled: tuple[Filled, ...]
    one_size: tuple[Filled, ...]
    left_m3: float
    too_cool: bool


def containers(
    volume_m3: float,
    brix: float,
    packing_c: float,
    sizes: Sequence[str],
    usual: Sequence[str] = (),
    loss_fraction: float = LOSS_FRACTION,
    sd_fraction: float = VOLUME_SD_FRACTION,
) -> Packing:
    """Return what a batch fills.

    Parameters
    ----------
    volume_m3 : of the batch at packing temperature [m³]
    brix : its strength [mass percent]
    packing_c : its temperature then [°C]
    sizes : names of containers; each gets what the larger ones leave
    usual : names of containers to count for all of the batch
    loss_fraction : what stays in the equipment
    sd_fraction : standard deviation of the volume, as a share of it

    Raises
    ------
    InputError : a size that is not known
    RangeError : a value outside its range
    """
    if not 0.0 <= loss_fraction < 0.5:
        shown = f"{100.0 * loss_fraction:g} %"
        raise RangeError("loss", shown, "is no bottling loss", "0 to 50 %")
    batch_kg = mass_kg(volume_m3, brix, packing_c)
    cold_kg_m3, hot_kg_m3 = density_kg_m3(brix, REFERENCE_C), density_kg_m3(brix, packing_c)
    cold_m3 = batch_kg / cold_kg_m3
    all_m3 = left_m3 = cold_m3 * (1.0 - loss_fraction)
    sd_m3 = all_m3 * sd_fraction

    def fill(name: str, from_m3: float) -> Filled:
        each_m3 = _size_m3(name)
        count, fewest, most = (
            _whole(from_m3 + spread, each_m3) for spread in (0.0, -2.0 * sd_m3, 2.0 * sd_m3)
        )
        net_kg = each_m3 * cold_kg_m3
        return Filled(name, each_m3, count, fewest, most, net_kg, net_kg / hot_kg_m3)

    filled = []
    for name in sorted(sizes, key=_size_m3, reverse=True):
        filled.append(fill(name, left_m3))
        left_m3 -= filled[-1].count * filled[-1].size_m3
    return Packing(
        volume_m3,
        cold_m3,
        batch_kg,
        1.0 - hot_kg_m3 / cold_kg_m3,
        loss_fraction,
        tuple(filled),
        tuple(fill(name, all_m3) for name in usual),
        left_m3,
        packing_c < LEAST_PACKING_C,
    )


def _whole(volume_m3: float, each_m3: float) -> int:
    # a millionth of a container short by rounding is a full one
    return max(0, math.floor(volume_m3 / each_m3 + 1e-6))


def _size_m3(name: str) -> float:
    if name not in SIZES:
        raise InputError("size", name, "is no container known here", ", ".join(SIZES))
    return SIZES[name]
