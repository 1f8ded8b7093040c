"""Ice in a tank: what it holds back, what stays liquid, what a pump can reach.

Ice that grows slowly on sap is nearly pure water, so what stays liquid is stronger and there is
less of it. Mass balances; how much ice there is comes from a look into the tank, from the heat
that a night took, or from the temperature of what is liquid.
"""

from __future__ import annotations

import math

from sugarwright.physics.activity import freezing_point_c
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.valid import valid

ICE_DENSITY_KG_M3 = 916.7
"""Of ice at 0 °C (IAPWS, "Revised Release on the Equation of State 2006 for H2O Ice Ih")."""
FUSION_J_KG = 333.4e3
"""Heat that a kilogram of water gives up to freeze at 0 °C (the same release)."""


@valid(temperature_c=(-12.0, 0.0))
def brix_in_ice_water(temperature_c: float) -> float:
    """Find the strength of the liquid that is in balance with ice.

    Parameters
    ----------
    temperature_c : temperature of ice and liquid [°C], -12 to 0

    Returns
    -------
    Strength of the liquid [mass percent].

    Raises
    ------
    RangeError : a temperature outside the range

    Notes
    -----
    Inverse of :func:`sugarwright.physics.activity.freezing_point_c`, by bisection.

    Examples
    --------
    Slush of half a degree below zero holds its sugar in what could be concentrate:

    >>> round(brix_in_ice_water(-0.5), 1)
    8.2
    """
    low, high = 0.0, 60.0
    for _ in range(44):
        middle = 0.5 * (low + high)
        if freezing_point_c(middle) > temperature_c:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@valid(brix=(0.0, 60.0), temperature_c=(-12.0, 0.0))
def ice_fraction(brix: float, temperature_c: float) -> float:
    """Compute the share of a tank that is ice, from the temperature of its liquid.

    Parameters
    ----------
    brix : strength of all that is in the tank, ice included [mass percent]
    temperature_c : temperature of the liquid beside the ice [°C], -12 to 0

    Returns
    -------
    Ice by mass of the whole; 0 where it is too warm for ice.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Lever rule between pure ice and :func:`brix_in_ice_water`: all the sugar is in the liquid.
    A tenth of a degree is a large part of a tank of sap: mind the thermometer.

    Examples
    --------
    >>> round(ice_fraction(2.0, -0.14), 2)
    0.2
    """
    liquid_brix = brix_in_ice_water(temperature_c)
    return 1.0 - brix / liquid_brix if liquid_brix > brix else 0.0


@valid(brix=(0.0, 60.0), ice_fraction=(0.0, 0.99), ice_brix=(0.0, 10.0))
def unfrozen_brix(brix: float, ice_fraction: float, ice_brix: float) -> float:
    """Compute the strength of what has not frozen.

    Parameters
    ----------
    brix : strength of all that is in the tank, ice included [mass percent]
    ice_fraction : ice by mass of the whole
    ice_brix : strength of the ice when melted [mass percent]: 0 when it grew slowly and clear;
        0.3 for 2 Brix sap is a guess (from memory), more when it froze fast

    Returns
    -------
    Strength of the liquid [mass percent].

    Raises
    ------
    RangeError : a value outside its range, or ice with more sugar than there is

    Notes
    -----
    Mass balance of sugar. Ice thrown away takes ``ice_fraction * ice_brix / brix`` of it along.

    Examples
    --------
    >>> round(unfrozen_brix(2.0, 0.20, 0.3), 3)
    2.425
    """
    left = brix - ice_fraction * ice_brix
    return left / (1.0 - ice_fraction) if left >= 0.0 else math.nan


@valid(volume_m3=(0.0, 1e6), brix=(0.0, 60.0), ice_fraction=(0.0, 0.99), ice_brix=(0.0, 10.0))
def pumpable_volume_m3(
    volume_m3: float, brix: float, ice_fraction: float, ice_brix: float
) -> float:
    """Compute the volume that a pump can take out from under the ice.

    Parameters
    ----------
    volume_m3 : volume of all of it before it froze, at 0 °C [m³]
    brix : its strength [mass percent]
    ice_fraction : ice by mass of the whole
    ice_brix : strength of the ice when melted [mass percent]

    Returns
    -------
    Volume of the liquid at 0 °C [m³]. A pump that is left to run longer runs dry.

    Raises
    ------
    RangeError : a value outside its range, or ice with more sugar than there is

    Notes
    -----
    Mass balance, with the densities of both liquids.

    Examples
    --------
    Of 100 US gal at 2 Brix with a fifth of it ice, in gallons:

    >>> round(pumpable_volume_m3(100.0, 2.0, 0.20, 0.3), 1)
    79.9
    """
    left = brix - ice_fraction * ice_brix
    if left < 0.0:
        return math.nan
    liquid_brix = left / (1.0 - ice_fraction)
    liquid_kg = volume_m3 * density_kg_m3(brix, 0.0) * (1.0 - ice_fraction)
    return liquid_kg / density_kg_m3(liquid_brix, 0.0)


@valid(heat_j=(0.0, 1e15))
def ice_from_heat_kg(heat_j: float) -> float:
    """Compute the ice that grows while a tank at its freezing point loses heat.

    Parameters
    ----------
    heat_j : heat lost since the liquid was at its freezing point [J]

    Returns
    -------
    Ice [kg], no more than there is water.

    Raises
    ------
    RangeError : heat outside the range

    Notes
    -----
    Heat of fusion at 0 °C. What stays liquid also cools as its freezing point falls; that is left
    out: 1.3 % of the heat for a whole degree.

    Examples
    --------
    100 W lost for a night of ten hours:

    >>> round(ice_from_heat_kg(100.0 * 36000.0), 1)
    10.8
    """
    return heat_j / FUSION_J_KG


@valid(ice_kg=(0.0, 1e9), area_m2=(1e-4, 1e4))
def ice_thickness_m(ice_kg: float, area_m2: float) -> float:
    """Compute how thick a sheet of ice on a tank is.

    Parameters
    ----------
    ice_kg : ice [kg]
    area_m2 : surface of the liquid [m²]

    Returns
    -------
    Thickness [m].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Ice of 916.7 kg/m³ without gaps. Read backwards it turns a hole and a ruler into kilograms.

    Examples
    --------
    >>> round(ice_thickness_m(76.0, 1.2), 3)
    0.069
    """
    return ice_kg / (ICE_DENSITY_KG_M3 * area_m2)
