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
    left_m3 : what is left when they are filled, at 20 °C [m³]
    too_cool : packed below 180 °F (82 °C), so that it may mould
    """

    hot_m3: float
    cold_m3: float
    mass_kg: float
    shrink_fraction: float
    loss_fraction: float
    filled: tuple[Filled, ...]
    left_m3: float
    too_cool: bool


def containers(
    volume_m3: float,
    brix: float,
    packing_c: float,
    sizes: Sequence[str],
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
    hot_kg_m3 = density_kg_m3(brix, packing_c)
    cold_kg_m3 = density_kg_m3(brix, REFERENCE_C)
    batch_kg = mass_kg(volume_m3, brix, packing_c)
    cold_m3 = batch_kg / cold_kg_m3
    left_m3 = cold_m3 * (1.0 - loss_fraction)
    sd_m3 = left_m3 * sd_fraction
    filled = []
    for name in sorted(sizes, key=_size_m3, reverse=True):
        each_m3 = _size_m3(name)
        count, fewest, most = (
            _whole(left_m3 + spread, each_m3) for spread in (0.0, -2.0 * sd_m3, 2.0 * sd_m3)
        )
        net_kg = each_m3 * cold_kg_m3
        filled.append(Filled(name, each_m3, count, fewest, most, net_kg, net_kg / hot_kg_m3))
        left_m3 -= count * each_m3
    return Packing(
        volume_m3,
        cold_m3,
        batch_kg,
        1.0 - cold_m3 / volume_m3 if volume_m3 > 0.0 else 0.0,
        loss_fraction,
        tuple(filled),
        left_m3,
        packing_c < LEAST_PACKING_C,
    )


def in_one_size(
    volume_m3: float,
    brix: float,
    packing_c: float,
    sizes: Sequence[str],
    loss_fraction: float = LOSS_FRACTION,
) -> tuple[Filled, ...]:
    """Return how many of each size the batch fills, were all of it to go into that size.

    Parameters
    ----------
    volume_m3 : of the batch at packing temperature [m³]
    brix : its strength [mass percent]
    packing_c : its temperature then [°C]
    sizes : names of containers
    loss_fraction : what stays in the equipment

    Raises
    ------
    InputError : a size that is not known
    RangeError : a value outside its range
    """
    return tuple(
        containers(volume_m3, brix, packing_c, (name,), loss_fraction).filled[0] for name in sizes
    )


def _whole(volume_m3: float, each_m3: float) -> int:
    # a millionth of a container short by rounding is a full one
    return max(0, math.floor(volume_m3 / each_m3 + 1e-6))


def _size_m3(name: str) -> float:
    if name not in SIZES:
        raise InputError("size", name, "is no container known here", ", ".join(SIZES))
    return SIZES[name]
