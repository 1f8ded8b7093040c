"""The flux through a membrane where sap of one strength and pressure passes it."""

from __future__ import annotations

import math

from sugarwright.physics.activity import osmotic_pressure_pa
from sugarwright.physics.membrane_channel import Channel, permeate_concentration_kg_m3
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.valid import valid
from sugarwright.physics.water import water_density_kg_m3

WALL_BRIX_MAX = 60.0
"""Osmotic pressure is about 145 bar there, beyond the pressure of any sap membrane."""

_FLUX_TOLERANCE = 1e-9
_FLUX_ITERATIONS = 60


@valid(concentration_kg_m3=(0.0, 1200.0), temperature_c=(-5.0, 110.0))
def brix_at_concentration(concentration_kg_m3: float, temperature_c: float) -> float:
    """Find the strength of a solution that holds so much sugar in a cubic metre.

    Parameters
    ----------
    concentration_kg_m3 : sugar by volume of solution [kg/m³]
    temperature_c : temperature [°C]

    Returns
    -------
    Strength [mass percent].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Newton's method on ``w density(w) = concentration``. Density is so nearly straight in the
    fraction w that the slope follows from its value and that of water.

    Examples
    --------
    >>> round(brix_at_concentration(103.812, 20.0), 3)
    10.0
    """
    water = water_density_kg_m3(temperature_c)
    fraction = concentration_kg_m3 / (water + 0.4 * concentration_kg_m3)
    for _ in range(20):
        density = density_kg_m3(100.0 * fraction, temperature_c)
        step = (fraction * density - concentration_kg_m3) / (2.0 * density - water)
        fraction -= step
        if abs(step) < 1e-12:
            break
    return 100.0 * fraction


def local_flux_m_s(
    brix: float, pressure_pa: float, film_m_s: float, guess_m_s: float, channel: Channel
) -> float:
    """Compute the permeate flux where sap of one strength and pressure passes the membrane.

    Parameters
    ----------
    brix, pressure_pa : strength [mass percent] and gauge pressure [Pa] of the bulk
    film_m_s : film coefficient [m/s]
    guess_m_s : where to start; any value will do
    channel : the membrane

    Returns
    -------
    Flux [m/s], m³ of permeate per m² and second; never negative. Below the osmotic pressure of the
    sap a trickle of the order of the sugar permeability remains, nearly as sweet as the sap; with a
    perfect membrane, nothing.

    Notes
    -----
    Solves ``flux = A (pressure - pi(wall) + pi(permeate))`` by Newton's method inside a bracket.
    The bracket keeps the wall below ``WALL_BRIX_MAX``, where the properties still hold.

    Examples
    --------
    >>> leaf = Channel(1.444, 0.71e-3, 0.89, 6.7e-12, 5.6e-9, 1.0, 1.0, 5.0)
    >>> round(local_flux_m_s(3.5, 8.3e5, 8.4e-6, 0.0, leaf) * 3.6e6, 1)
    11.2
    """
    temperature_c = channel.temperature_c
    bulk = 0.01 * brix * density_kg_m3(brix, temperature_c)
    if channel.sugar_permeability_m_s == 0.0 and (
        pressure_pa <= osmotic_pressure_pa(brix, temperature_c)
    ):
        return 0.0
    strongest = 0.01 * WALL_BRIX_MAX * density_kg_m3(WALL_BRIX_MAX, temperature_c)
    low = 0.0
    high = min(
        channel.permeability_m_s_pa * pressure_pa,
        film_m_s * math.log(strongest / max(bulk, 1e-300)),
    )
    flux = min(max(guess_m_s, 0.0), high)
    for _ in range(_FLUX_ITERATIONS):
        excess, slope = _flux_excess(flux, bulk, pressure_pa, film_m_s, channel)
        if excess > 0.0:
            high = flux
        else:
            low = flux
        step = excess / slope
        if not low <= flux - step <= high:
            step = flux - 0.5 * (low + high)
        flux -= step
        if abs(step) <= _FLUX_TOLERANCE * flux:
            break
    return flux


def _flux_excess(
    flux_m_s: float, bulk_kg_m3: float, pressure_pa: float, film_m_s: float, channel: Channel
) -> tuple[float, float]:
    """Compute how far a flux exceeds what its own wall strength lets through, and the slope of it.

    The slope only steers the iteration: osmotic pressure is taken as concentration to the power
    1 + brix/100, within a few percent of the truth.
    """
    temperature_c = channel.temperature_c
    sugar_permeability = channel.sugar_permeability_m_s
    permeate = permeate_concentration_kg_m3(bulk_kg_m3, flux_m_s, film_m_s, sugar_permeability)
    polarisation = math.exp(flux_m_s / film_m_s)
    wall = permeate + (bulk_kg_m3 - permeate) * polarisation
    wall_brix = brix_at_concentration(wall, temperature_c)
    wall_pa = osmotic_pressure_pa(wall_brix, temperature_c)
    permeate_brix = 100.0 * permeate / water_density_kg_m3(temperature_c)
    permeate_pa = osmotic_pressure_pa(permeate_brix, temperature_c)
    excess = flux_m_s - channel.permeability_m_s_pa * (pressure_pa - wall_pa + permeate_pa)
    slope_pa = wall_pa * (1.0 + 0.01 * wall_brix) / film_m_s
    if permeate > 0.0:
        carried_m_s = flux_m_s + sugar_permeability * polarisation
        slope_pa += permeate_pa * (1.0 - flux_m_s / film_m_s) / carried_m_s
    return excess, 1.0 + channel.permeability_m_s_pa * slope_pa
