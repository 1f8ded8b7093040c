"""Other scales on which strength is read: specific gravity, and heavy degrees Baumé."""

from __future__ import annotations

from sugarwright.physics.solution import density_kg_m3, search_brix
from sugarwright.physics.valid import valid

BAUME_MODULUS = 145.0
"""Of the scale for liquids heavier than water in North American use, that of syrup laws."""


@valid(brix=(0.0, 85.0), reference_c=(0.0, 30.0))
def specific_gravity(brix: float, reference_c: float) -> float:
    """Compute the density of a sucrose solution against that of water at the same temperature.

    Parameters
    ----------
    brix : strength [mass percent], 0 to 85
    reference_c : temperature of both liquids [°C]: 20 for SG 20/20 °C, 15.556 for 60/60 °F

    Returns
    -------
    True specific gravity (masses in vacuum).

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Definition, with :func:`sugarwright.physics.solution.density_kg_m3`. Found within 1e-4 of a
    beet-sugar handbook's SG 20/20 at 10 and 20 Brix.

    Examples
    --------
    >>> round(specific_gravity(20.0, 20.0), 4)
    1.0829
    """
    return density_kg_m3(brix, reference_c) / density_kg_m3(0.0, reference_c)


@valid(specific_gravity=(0.999, 1.5), reference_c=(0.0, 30.0))
def brix_from_specific_gravity(specific_gravity: float, reference_c: float) -> float:
    """Find the strength of a solution of a specific gravity.

    Parameters
    ----------
    specific_gravity : density against that of water, both at the reference temperature
    reference_c : temperature of both liquids [°C]

    Returns
    -------
    Strength [mass percent].

    Raises
    ------
    RangeError : a value outside its range, or no strength from 0 to 85 has that gravity

    Notes
    -----
    Inverse of :func:`specific_gravity`, by bisection to 1e-12 Brix.

    Examples
    --------
    >>> round(brix_from_specific_gravity(1.0829, 20.0), 1)
    20.0
    """
    return search_brix(specific_gravity * density_kg_m3(0.0, reference_c), reference_c)


@valid(brix=(0.0, 85.0), reference_c=(0.0, 30.0))
def baume_from_brix(brix: float, reference_c: float) -> float:
    """Compute the degrees Baumé (heavy, modulus 145) of a strength.

    Parameters
    ----------
    brix : strength [mass percent], 0 to 85
    reference_c : temperature of the scale [°C]: 15.556 for 60/60 °F, 20 for 20/20 °C

    Returns
    -------
    Degrees Baumé.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    145 - 145 / SG by definition of the scale. Found within 0.06 of Mohos, "Confectionery and
    Chocolate Engineering" (2010), app. 2, at 20 °C. The two reference temperatures part by 0.1 at
    syrup strength, so a reading means little without its own.

    Examples
    --------
    >>> round(baume_from_brix(66.9, 15.556), 2), round(baume_from_brix(66.9, 20.0), 2)
    (36.12, 36.03)
    """
    return BAUME_MODULUS - BAUME_MODULUS / specific_gravity(brix, reference_c)


@valid(baume=(0.0, 47.0), reference_c=(0.0, 30.0))
def brix_from_baume(baume: float, reference_c: float) -> float:
    """Find the strength of a solution of so many degrees Baumé (heavy, modulus 145).

    Parameters
    ----------
    baume : degrees Baumé
    reference_c : temperature of the scale [°C]: 15.556 for 60/60 °F, 20 for 20/20 °C

    Returns
    -------
    Strength [mass percent].

    Raises
    ------
    RangeError : a value outside its range, or no strength from 0 to 85 has so many degrees

    Notes
    -----
    Inverse of :func:`baume_from_brix`.

    Examples
    --------
    >>> round(brix_from_baume(36.0, 15.556), 1)
    66.7
    """
    water = density_kg_m3(0.0, reference_c)
    return search_brix(BAUME_MODULUS / (BAUME_MODULUS - baume) * water, reference_c)


@valid(brix=(0.0, 85.0))
def sugar_concentration_kg_m3(brix: float) -> float:
    """Compute the sugar in a volume of solution at 20 °C.

    Parameters
    ----------
    brix : strength [mass percent], 0 to 85

    Returns
    -------
    Sugar by volume of solution [kg/m³], which is grams in a litre.

    Raises
    ------
    RangeError : strength outside the range

    Notes
    -----
    Definition, with the density at 20 °C. Found within 0.3 g/L of the CRC Handbook to 68 Brix.

    Examples
    --------
    >>> round(sugar_concentration_kg_m3(66.9), 1)
    888.6
    """
    return brix / 100.0 * density_kg_m3(brix, 20.0)
