"""One place in the feed channel of a spiral-wound element: friction, film and flux.

Sap flows along a thin spacer-filled channel between two membrane leaves. Water passes the membrane
in proportion to pressure less osmotic pressure; the sugar held back piles up at the wall, so that
what the membrane feels is stronger than what flows by (concentration polarisation).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import diffusivity_m2_s, viscosity_pa_s
from sugarwright.physics.valid import valid
from sugarwright.physics.water import ZERO_CELSIUS_K


class Channel(NamedTuple):
    """A train's feed channel and membrane as they are today, all elements alike."""

    width_m: float
    height_m: float
    porosity: float
    permeability_m_s_pa: float
    sugar_permeability_m_s: float
    film_factor: float
    friction_factor_multiplier: float
    temperature_c: float


@valid(temperature_c=(-5.0, 60.0))
def permeability_at(permeability_25_m_s_pa: float, temperature_c: float) -> float:
    """Compute the water permeability of a membrane at a temperature from that at 25 °C.

    Parameters
    ----------
    permeability_25_m_s_pa : water permeability at 25 °C [m/(s Pa)]
    temperature_c : temperature of the feed [°C], -5 to 60

    Returns
    -------
    Water permeability [m/(s Pa)].

    Raises
    ------
    RangeError : temperature outside the range

    Notes
    -----
    exp[U (1/298.15 - 1/T)] with U = 3020 K below 25 °C and 2640 K above: the temperature correction
    factor of the design equations of a maker of elements. Sap is always in the cold branch; the
    warm one would give 10 to 12 % too much from 1 to 5 °C.

    Examples
    --------
    >>> round(permeability_at(1.0, 5.0), 3)
    0.483
    """
    exponent_k = 3020.0 if temperature_c < 25.0 else 2640.0
    inverse_k = 1.0 / 298.15 - 1.0 / (temperature_c + ZERO_CELSIUS_K)
    return permeability_25_m_s_pa * math.exp(exponent_k * inverse_k)


@valid(spacer_height_m=(1e-4, 1e-2), spacer_porosity=(0.3, 1.0))
def hydraulic_diameter_m(spacer_height_m: float, spacer_porosity: float) -> float:
    """Compute the hydraulic diameter of a spacer-filled channel.

    Parameters
    ----------
    spacer_height_m : height of the channel [m]
    spacer_porosity : part of its volume that the spacer leaves open

    Returns
    -------
    Hydraulic diameter [m].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Schock & Miquel, "Mass transfer and pressure loss in spiral wound modules", Desalination 64
    (1987) 339: 4 e / (2/h + (1 - e) 8/h), for a spacer of thread as thick as half the channel.

    Examples
    --------
    >>> round(1e3 * hydraulic_diameter_m(0.71e-3, 0.89), 3)
    0.878
    """
    wetted_per_m = (2.0 + 8.0 * (1.0 - spacer_porosity)) / spacer_height_m
    return 4.0 * spacer_porosity / wetted_per_m


@valid(reynolds=(0.0, 1e5), schmidt=(1.0, 1e8))
def sherwood(reynolds: float, schmidt: float) -> float:
    """Compute the Sherwood number (film coefficient x diameter / diffusivity) of such a channel.

    Parameters
    ----------
    reynolds, schmidt : Reynolds number of the flow, Schmidt number of the liquid

    Returns
    -------
    Sherwood number.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    0.46 (Re Sc)^0.36: Guillen & Hoek, "Modeling the impacts of feed spacer geometry on reverse
    osmosis and nanofiltration processes", Chemical Engineering Journal 149 (2009) 221, as coded in
    the WaterTAP library 1.8. A small machine runs at Re 10 to 150. The power law of Schock & Miquel
    (1987) was found at higher Re; at Re 14 it gives a fifth of this, where exp(flux/film) runs
    away. Of what decides permeate this is the least sure: a factor of 1.4 either way is fitted.

    Examples
    --------
    >>> round(sherwood(14.0, 6400.0), 1)
    27.9
    """
    return 0.46 * math.pow(reynolds * schmidt, 0.36)


@valid(reynolds=(1e-6, 1e5))
def friction_factor(reynolds: float) -> float:
    """Compute the Darcy friction factor of such a channel.

    Parameters
    ----------
    reynolds : Reynolds number

    Returns
    -------
    Darcy friction factor.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    0.42 + 189.3/Re, as coded in the WaterTAP library 1.8 (flat sheet). Schock & Miquel's
    6.23 Re^-0.3 agrees within 15 % from Re 220 to 410 and gives less than half at Re 50, below the
    flows that it was found at.

    Examples
    --------
    >>> round(friction_factor(48.74), 3)
    4.304
    """
    return 0.42 + 189.3 / reynolds


def film_and_friction(brix: float, flow_kg_s: float, channel: Channel) -> tuple[float, float]:
    """Compute film coefficient and pressure gradient where a flow passes.

    Parameters
    ----------
    brix, flow_kg_s : strength [mass percent] and mass flow [kg/s] of the bulk
    channel : the channel it flows in

    Returns
    -------
    Film coefficient [m/s]; pressure gradient [Pa/m], the fall along the flow.

    Examples
    --------
    >>> leaf = Channel(1.444, 0.71e-3, 0.89, 6.7e-12, 5.6e-9, 1.0, 1.0, 5.0)
    >>> film_m_s, gradient_pa_m = film_and_friction(3.5, 0.0256, leaf)
    >>> round(film_m_s * 3.6e6), round(gradient_pa_m)
    (31, 5940)
    """
    density = density_kg_m3(brix, channel.temperature_c)
    viscosity = viscosity_pa_s(brix, channel.temperature_c)
    diffusivity = diffusivity_m2_s(brix, channel.temperature_c)
    diameter_m = hydraulic_diameter_m(channel.height_m, channel.porosity)
    open_area_m2 = channel.width_m * channel.height_m * channel.porosity
    velocity_m_s = flow_kg_s / (density * open_area_m2)
    reynolds = density * velocity_m_s * diameter_m / viscosity
    schmidt = viscosity / (density * diffusivity)
    film_m_s = channel.film_factor * sherwood(reynolds, schmidt) * diffusivity / diameter_m
    friction = channel.friction_factor_multiplier * friction_factor(reynolds)
    return film_m_s, friction * density * velocity_m_s * velocity_m_s / (2.0 * diameter_m)


def permeate_concentration_kg_m3(
    bulk_kg_m3: float, flux_m_s: float, film_m_s: float, sugar_permeability_m_s: float
) -> float:
    """Compute the sugar in the permeate that a flux makes.

    Parameters
    ----------
    bulk_kg_m3 : sugar in the bulk [kg/m³]
    flux_m_s, film_m_s : permeate flux and film coefficient [m/s]
    sugar_permeability_m_s : permeability of the membrane to sugar [m/s]

    Returns
    -------
    Concentration of the permeate [kg/m³].

    Notes
    -----
    Solution-diffusion and film theory, as in the reverse-osmosis chapter of Geankoplis, "Transport
    Processes and Separation Process Principles": the sugar that passes, ``permeability x (wall -
    permeate)``, is what the permeate carries away, ``flux x permeate``, and the wall is ``permeate
    + (bulk - permeate) exp(flux/film)``.

    Examples
    --------
    Rejection in a well-stirred cell (a large film coefficient), the salt example of that chapter:

    >>> round(1.0 - permeate_concentration_kg_m3(2.5, 1.2015e-2 / 997.0, 1.0, 4.42e-7) / 2.5, 4)
    0.9646
    """
    passing_m_s = sugar_permeability_m_s * math.exp(flux_m_s / film_m_s)
    if passing_m_s == 0.0:
        return 0.0
    return bulk_kg_m3 * passing_m_s / (flux_m_s + passing_m_s)
