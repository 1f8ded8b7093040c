"""A train of membrane elements, marched from the concentrate valve to the inlet.

Flow and gauge pressure are known at the valve, so that is where a march begins; upstream, what has
become permeate is still in the channel, and the pressure that friction will take is still there.
"""

from __future__ import annotations

from typing import NamedTuple

from sugarwright.physics.membrane_channel import (
    Channel,
    film_and_friction,
    permeate_concentration_kg_m3,
)
from sugarwright.physics.membrane_flux import local_flux_m_s
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.water import water_density_kg_m3


class Sweep(NamedTuple):
    """What one march from the exit to the inlet of a train found."""

    permeate_water_kg_s: float
    permeate_sugar_kg_s: float
    inlet_pressure_pa: float


def march(
    exit_brix: float,
    exit_pressure_pa: float,
    exit_flow_m3_s: float,
    train_length_m: float,
    cells: int,
    channel: Channel,
) -> Sweep:
    """Follow one train's channel upstream, from the valve to the inlet.

    Parameters
    ----------
    exit_brix : strength where the channel ends [mass percent]
    exit_pressure_pa : gauge pressure there [Pa]
    exit_flow_m3_s : flow there, concentrate and recirculation together [m³/s]
    train_length_m : active length of all elements in series [m]
    cells : steps of the midpoint rule; the error falls to a quarter with each doubling
    channel : the train's channel and membrane

    Returns
    -------
    Permeate water and sugar [kg/s] and inlet pressure [Pa] of the train.

    Notes
    -----
    Midpoint rule: flux, film and friction at the start of a cell carry the stream to its middle;
    those found there carry it from start to end.

    Examples
    --------
    >>> clean = Channel(1.444, 0.71e-3, 0.89, 6.7e-12, 5.6e-9, 1.0, 1.0, 5.0)
    >>> round(march(3.0, 10e5, 1.5e-4, 0.9, 4, clean).permeate_water_kg_s, 4)
    0.0129
    """
    temperature_c = channel.temperature_c
    water_density = water_density_kg_m3(temperature_c)
    total = exit_flow_m3_s * density_kg_m3(exit_brix, temperature_c)
    exit_sugar = 0.01 * exit_brix * total
    exit_water = total - exit_sugar
    water, sugar, pressure = exit_water, exit_sugar, exit_pressure_pa
    step_m = train_length_m / cells
    flux = 0.5 * channel.permeability_m_s_pa * exit_pressure_pa
    for _ in range(cells):
        middle = (water, sugar, pressure)
        for part_m in (0.5 * step_m, step_m):
            flux, passing, gradient = _rates(middle, flux, channel)
            middle = (
                water + water_density * flux * 2.0 * channel.width_m * part_m,
                sugar + passing * 2.0 * channel.width_m * part_m,
                pressure + gradient * part_m,
            )
        water, sugar, pressure = middle
    return Sweep(water - exit_water, sugar - exit_sugar, pressure)


def _rates(
    stream: tuple[float, float, float], guess_m_s: float, channel: Channel
) -> tuple[float, float, float]:
    """Compute flux [m/s], passed sugar [kg/(s m²)] and pressure gradient [Pa/m] of a stream."""
    water, sugar, pressure = stream
    brix = 100.0 * sugar / (water + sugar)
    bulk = 0.01 * brix * density_kg_m3(brix, channel.temperature_c)
    film_m_s, gradient = film_and_friction(brix, water + sugar, channel)
    flux = local_flux_m_s(brix, pressure, film_m_s, guess_m_s, channel)
    permeate = permeate_concentration_kg_m3(bulk, flux, film_m_s, channel.sugar_permeability_m_s)
    return flux, flux * permeate, gradient
