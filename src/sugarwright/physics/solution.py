"""Sucrose solutions by weight and volume.

Sap, concentrate and syrup are treated as sucrose in water; the other solids of maple are a few
percent of the solids and move the density less than a hydrometer shows.
"""

from __future__ import annotations

import math

from sugarwright.physics.valid import valid
from sugarwright.physics.water import water_density_kg_m3

GREATEST_BRIX = 85.0


@valid(brix=(0.0, 85.0), temperature_c=(-5.0, 110.0))
def density_kg_m3(brix: float, temperature_c: float) -> float:
    """Compute the density of a sucrose solution.

    Parameters
    ----------
    brix : strength [mass percent], 0 to 85
    temperature_c : temperature [°C], -5 to 110 (stated for 0 to 100, extrapolated beyond)

    Returns
    -------
    Density [kg/m³], in vacuum.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    ICUMSA specification SPS-4, as printed by Bubník, Kadlec, Urban & Bruhns, "Sugar Technologists
    Manual" (1995), p. 164. Found within 0.28 kg/m³ of the CRC Handbook's 20 °C table to 70 Brix,
    0.8 at 84.

    Examples
    --------
    >>> round(density_kg_m3(66.9, 20.0), 2)
    1328.19
    """
    w = brix / 100.0
    u = (temperature_c - 20.0) / 100.0
    k0 = -3.9643 + w * (13.4853 - w * 17.2890)
    k0 = w * (385.1761 + w * (135.3705 + w * (40.9299 + w * k0)))
    k1 = w * (-46.2720 + w * (-7.1720 + w * (1.1597 + w * (5.1126 + w * 17.5254))))
    k2 = w * (59.7712 + w * (7.2491 + w * (12.3630 - w * 35.4791)))
    k3 = w * (-47.2207 + w * (-21.6977 + w * 27.6301))
    k4 = w * (18.3184 + w * 12.3081)
    return water_density_kg_m3(temperature_c) + k0 + u * (k1 + u * (k2 + u * (k3 + u * k4)))


@valid(mass_kg=(0.0, 1e9), brix=(0.0, 85.0), temperature_c=(-5.0, 110.0))
def volume_m3(mass_kg: float, brix: float, temperature_c: float) -> float:
    """Compute the volume of a mass of solution.

    Parameters
    ----------
    mass_kg : mass of the solution [kg]
    brix : strength [mass percent], 0 to 85
    temperature_c : temperature [°C], -5 to 110

    Returns
    -------
    Volume [m³].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Definition of density, with :func:`density_kg_m3`.

    Examples
    --------
    >>> round(volume_m3(1000.0, 2.0, 4.0), 4)
    0.9921
    """
    return mass_kg / density_kg_m3(brix, temperature_c)


@valid(volume_m3=(0.0, 1e6), brix=(0.0, 85.0), temperature_c=(-5.0, 110.0))
def mass_kg(volume_m3: float, brix: float, temperature_c: float) -> float:
    """Compute the mass of a volume of solution.

    Parameters
    ----------
    volume_m3 : volume [m³]
    brix : strength [mass percent], 0 to 85
    temperature_c : temperature [°C], -5 to 110

    Returns
    -------
    Mass of the solution [kg].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Definition of density, with :func:`density_kg_m3`.

    Examples
    --------
    One US gallon of 66.0 Brix syrup at 20 °C, in kg:

    >>> round(mass_kg(3.785411784e-3, 66.0, 20.0), 4)
    5.0068
    """
    return volume_m3 * density_kg_m3(brix, temperature_c)


@valid(density_kg_m3=(930.0, 1470.0), temperature_c=(-5.0, 110.0))
def brix_from_density(density_kg_m3: float, temperature_c: float) -> float:
    """Find the strength of the solution that has a density.

    Parameters
    ----------
    density_kg_m3 : density, in vacuum [kg/m³]
    temperature_c : temperature [°C], -5 to 110

    Returns
    -------
    Strength [mass percent], 0 to 85.

    Raises
    ------
    RangeError : a value outside its range, or no strength from 0 to 85 has that density

    Notes
    -----
    Root of :func:`density_kg_m3` by bisection, to 1e-12 Brix; the density rises with the strength
    all the way.

    Examples
    --------
    >>> round(brix_from_density(1328.19, 20.0), 2)
    66.9
    """
    return search_brix(density_kg_m3, temperature_c)


@valid(sap_brix=(0.1, 85.0), syrup_brix=(0.1, 85.0))
def sap_to_syrup_ratio(sap_brix: float, syrup_brix: float) -> float:
    """Compute the volumes of sap that make one volume of syrup, no sugar lost.

    Parameters
    ----------
    sap_brix : strength of the sap or concentrate [mass percent]
    syrup_brix : strength of the syrup [mass percent]

    Returns
    -------
    Volume of sap by volume of syrup, both at 20 °C.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Mass balance of sugar. From 1 to 20 Brix it is 87.45/b - 0.336 for syrup of 66.0 and
    89.01/b - 0.342 for 66.9, within 0.002; the old "rule of 86" (86/b, 1946) is 1 % low at
    2 Brix and 6 % high at 20.

    Examples
    --------
    >>> round(sap_to_syrup_ratio(2.0, 66.0), 2)
    43.39
    """
    syrup = density_kg_m3(syrup_brix, 20.0) * syrup_brix
    return syrup / (density_kg_m3(sap_brix, 20.0) * sap_brix)


def search_brix(target_kg_m3: float, temperature_c: float) -> float:
    """Search the strength of a density without a guard; for the modules of physics.

    Parameters
    ----------
    target_kg_m3 : density [kg/m³]
    temperature_c : temperature [°C], inside the range of :func:`density_kg_m3`

    Returns
    -------
    Strength [mass percent], or not-a-number when none from 0 to 85 has that density.

    Notes
    -----
    Bisection of :func:`density_kg_m3`, which rises with the strength at every temperature.

    Examples
    --------
    >>> search_brix(500.0, 20.0)
    nan
    """
    low, high = 0.0, GREATEST_BRIX
    # A density made from a strength at either end may miss it by rounding alone.
    slack = 1e-9 * target_kg_m3
    least = density_kg_m3(low, temperature_c) - slack
    greatest = density_kg_m3(high, temperature_c) + slack
    if not least <= target_kg_m3 <= greatest:
        return math.nan
    while high - low > 1e-12:
        middle = 0.5 * (low + high)
        if not low < middle < high:
            break
        if density_kg_m3(middle, temperature_c) < target_kg_m3:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
