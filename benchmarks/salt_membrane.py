"""Salt water in our own membrane: what it takes to compare it with a library that has no sugar.

Density, viscosity, diffusivity and osmotic pressure as in the NaCl package of the WaterTAP library
1.8, after Bartholomew & Mauter (2019). They stand in for those of sugar inside the membrane's own
flux, film, friction and march, of which no line is changed.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from scipy.optimize import fsolve

from sugarwright.physics import membrane_channel, membrane_flux, membrane_march
from sugarwright.physics.membrane_channel import Channel

A_M_S_PA, B_M_S = 4e-8 / 3600.0, 0.2e-3 / 3600.0
AREA_M2, LENGTH_M, HEIGHT_M, POROSITY = 5.2, 1.8, 0.71e-3, 0.89
AIR_PA, WARM_C = 101325.0, 25.0
OUR_CELLS = 8
"""Four for each of two elements, as the plant has them."""
CHANNEL = Channel(AREA_M2 / (2.0 * LENGTH_M), HEIGHT_M, POROSITY, A_M_S_PA, B_M_S, 1.0, 1.0, WARM_C)
CASES = ((0.05, 0.003, 8e5), (0.15, 0.006, 12e5))
"""Feed [kg/s], its mass fraction of salt, its gauge pressure [Pa]."""


class Outcome(NamedTuple):
    """What the membrane makes of a feed."""

    permeate_kg_s: float
    outlet_fraction: float
    drop_pa: float
    permeate_fraction: float


def salt_density(brix: float, temperature_c: float) -> float:
    return 995.0 + 7.56 * brix


def salt_viscosity(brix: float, temperature_c: float) -> float:
    return 9.80e-4 + 2.15e-5 * brix


def salt_diffusivity(brix: float, temperature_c: float) -> float:
    w = 0.01 * brix
    return 1.51e-9 + w * (-2.00e-9 + w * (3.01e-8 + w * (-1.22e-7 + w * 1.53e-7)))


def salt_osmotic_pressure(brix: float, temperature_c: float) -> float:
    w = 0.01 * brix
    coefficient = 0.918 + w * (8.89e-2 + w * 4.92)
    molality = w / (1.0 - w) / 58.44e-3
    return 2.0 * coefficient * molality * 1000.0 * 8.314462618 * (temperature_c + 273.15)


def flux_water_density(temperature_c: float) -> float:
    return 1000.0


@contextlib.contextmanager
def salt_water() -> Iterator[None]:
    """Put salt for sugar in the membrane's modules, and leave every other line as it is."""
    names: dict[str, Callable[..., float]] = {
        "density_kg_m3": salt_density,
        "viscosity_pa_s": salt_viscosity,
        "diffusivity_m2_s": salt_diffusivity,
        "osmotic_pressure_pa": salt_osmotic_pressure,
        "water_density_kg_m3": flux_water_density,
    }
    swapped = []
    for module in (membrane_channel, membrane_flux, membrane_march):
        for name, salt in names.items():
            if hasattr(module, name):
                swapped.append((module, name, getattr(module, name)))
                setattr(module, name, salt)
    try:
        yield
    finally:
        for module, name, sugar in swapped:
            setattr(module, name, sugar)


def euler_march(
    exit_brix: float, exit_pa: float, exit_m3_s: float, length_m: float, cells: int, leaf: Channel
) -> membrane_march.Sweep:
    """March as WaterTAP's backward differences do: rates at the downstream end of each cell."""
    total = exit_m3_s * membrane_march.density_kg_m3(exit_brix, leaf.temperature_c)
    sugar = exit_sugar = 0.01 * exit_brix * total
    water = exit_water = total - exit_sugar
    pressure, flux, width_m = exit_pa, 1e-6, 2.0 * leaf.width_m * length_m / cells
    for _ in range(cells):
        flux, passing, gradient = membrane_march._rates((water, sugar, pressure), flux, leaf)
        water += flux_water_density(leaf.temperature_c) * flux * width_m
        sugar += passing * width_m
        pressure += gradient * length_m / cells
    return membrane_march.Sweep(water - exit_water, sugar - exit_sugar, pressure)


def ours(
    feed: tuple[float, float, float], march: Callable[..., membrane_march.Sweep], cells: int
) -> Outcome:
    """March from the exit whose inlet is the feed; a library finds its three unknowns."""
    feed_kg_s, fraction, pressure_pa = feed

    def sweep_from(x: Any) -> tuple[float, float, membrane_march.Sweep]:
        brix, out_kg_s = 100.0 * fraction * x[0], feed_kg_s * x[1]
        volume_m3_s = out_kg_s / salt_density(brix, WARM_C)
        found = march(brix, pressure_pa * x[2], volume_m3_s, LENGTH_M, cells, CHANNEL)
        return brix, out_kg_s, found

    def miss(x: Any) -> list[float]:
        brix, out_kg_s, found = sweep_from(x)
        salt = 0.01 * brix * out_kg_s + found.permeate_sugar_kg_s
        total = out_kg_s + found.permeate_water_kg_s + found.permeate_sugar_kg_s
        return [
            total / feed_kg_s - 1.0,
            salt / (feed_kg_s * fraction) - 1.0,
            found.inlet_pressure_pa / pressure_pa - 1.0,
        ]

    x = fsolve(miss, [1.5, 0.7, 0.99], xtol=1e-12)
    brix, _, found = sweep_from(x)
    permeate = found.permeate_water_kg_s + found.permeate_sugar_kg_s
    drop_pa = found.inlet_pressure_pa - pressure_pa * x[2]
    return Outcome(permeate, 0.01 * brix, drop_pa, found.permeate_sugar_kg_s / permeate)
