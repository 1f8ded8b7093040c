"""How syrup differs from pure sucrose: invert sugar and minerals.

Sap is sucrose with traces; heat, acid and microbes split some of it into glucose and fructose
("invert sugar": a percent of the solids early, several late in the season), and half a percent to a
percent of the solids are minerals and organic acids (both from memory). What counts particles
(boiling point, freezing point, water activity, osmosis) feels both; what weighs or refracts hardly
does. So a thermometer is the instrument that dark, late syrup misleads, and not by much.

Estimates by mole count. They say how much and where it matters; they are no assay.
"""

from __future__ import annotations

import math

from sugarwright.physics.activity import SUCROSE_KG_MOL, WATER_KG_MOL
from sugarwright.physics.boiling import boiling_point_c, brix_from_boiling_point
from sugarwright.physics.valid import valid

HEXOSE_KG_MOL = 0.180156
"""Glucose or fructose."""
MINERAL_KG_MOL = 0.075
"""Solids for each particle of the salts: potassium malate is 0.070; a judgement."""

# Shifts in Brix, were all solids invert: own fits to D-fructose and D-glucose, CRC Handbook,
# averaged, against sucrose, at 20 °C, 10 to 48 %.
_DENSITY_SQUARE = -2.3e-4
_INDEX_LINEAR, _INDEX_SQUARE = -0.0085, -2.0e-4


@valid(brix=(0.0, 75.0), invert_fraction=(0.0, 0.5), mineral_fraction=(0.0, 0.03))
def activity_factor(brix: float, invert_fraction: float, mineral_fraction: float) -> float:
    """Compute the water activity of syrup against that of sucrose of the same strength.

    Parameters
    ----------
    brix : dissolved solids [mass percent], 0 to 75
    invert_fraction : share of the solids that is invert sugar [kg/kg], 0 to 0.5
    mineral_fraction : share of the solids that is minerals and acids [kg/kg], 0 to 0.03

    Returns
    -------
    Factor on :func:`sugarwright.physics.activity.water_activity`, at most 1.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Water's mole fraction, all particles counted, over that of sucrose; the attraction between sugar
    and water is taken to go by mass, a hexose having half of what sucrose has. So found within 2 %
    of the freezing points of D-glucose and D-fructose in the CRC Handbook to 30 % (0.01 K to 10 %).
    Giving a hexose all of a sucrose's attraction overstates them by 6 % at 10 %, 18 % at 30 %.

    Examples
    --------
    >>> round(activity_factor(66.9, 0.05, 0.0), 4)
    0.9957
    """
    water = (100.0 - brix) / WATER_KG_MOL
    sucrose = brix / SUCROSE_KG_MOL
    invert = invert_fraction * (SUCROSE_KG_MOL / HEXOSE_KG_MOL - 1.0)
    mineral = mineral_fraction * (SUCROSE_KG_MOL / MINERAL_KG_MOL - 1.0)
    return (water + sucrose) / (water + sucrose * (1.0 + invert + mineral))


@valid(
    brix=(0.0, 75.0),
    pressure_pa=(50e3, 105e3),
    invert_fraction=(0.0, 0.5),
    mineral_fraction=(0.0, 0.03),
)
def syrup_boiling_point_c(
    brix: float, pressure_pa: float, invert_fraction: float, mineral_fraction: float
) -> float:
    """Compute the temperature at which syrup with invert sugar and minerals boils.

    Parameters
    ----------
    brix : dissolved solids [mass percent], 0 to 75
    pressure_pa : absolute air pressure [Pa], 50 to 105 kPa
    invert_fraction : share of the solids that is invert sugar [kg/kg], 0 to 0.5
    mineral_fraction : share of the solids that is minerals and acids [kg/kg], 0 to 0.03

    Returns
    -------
    Boiling point [°C].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    As the factor of :func:`activity_factor` does not depend on temperature, syrup boils where
    sucrose would under a pressure that is greater by that factor. At 66.9 Brix a percent of the
    solids inverted is worth 0.04 °F, a percent of minerals 0.18 °F. The published maple anchors
    (104.2 °C at 67 Brix) fit pure sucrose.

    Examples
    --------
    >>> late = syrup_boiling_point_c(66.9, 101325.0, 0.05, 0.0)
    >>> round((late - syrup_boiling_point_c(66.9, 101325.0, 0.0, 0.0)) * 1.8, 2)
    0.22
    """
    return boiling_point_c(
        brix, pressure_pa / activity_factor(brix, invert_fraction, mineral_fraction)
    )


@valid(
    boiling_point_c=(80.0, 125.0),
    pressure_pa=(50e3, 105e3),
    invert_fraction=(0.0, 0.5),
    mineral_fraction=(0.0, 0.03),
)
def brix_of_boiling_syrup(
    boiling_point_c: float, pressure_pa: float, invert_fraction: float, mineral_fraction: float
) -> float:
    """Find the solids of syrup from the temperature at which it boils.

    Parameters
    ----------
    boiling_point_c : temperature of the boiling syrup [°C]
    pressure_pa : absolute air pressure [Pa], 50 to 105 kPa
    invert_fraction : share of the solids that is invert sugar [kg/kg], 0 to 0.5
    mineral_fraction : share of the solids that is minerals and acids [kg/kg], 0 to 0.03

    Returns
    -------
    Dissolved solids [mass percent], 0 to 70.

    Raises
    ------
    RangeError : a value outside its range, or no syrup to 75 Brix boils there

    Notes
    -----
    Inverse of :func:`syrup_boiling_point_c`: the strength of sucrose under the pressure that the
    last strength asks for, over and over, each time at least three times closer.

    Examples
    --------
    >>> round(brix_of_boiling_syrup(104.17, 101325.0, 0.05, 0.0), 1)
    66.3
    """
    brix = brix_from_boiling_point(boiling_point_c, pressure_pa)
    for _ in range(30):
        factor = activity_factor(min(brix, 75.0), invert_fraction, mineral_fraction)
        brix = brix_from_boiling_point(boiling_point_c, pressure_pa / factor)
    return brix if brix <= 75.0 + 1e-9 else math.nan


@valid(brix=(0.0, 75.0), invert_fraction=(0.0, 0.5))
def hydrometer_shift_brix(brix: float, invert_fraction: float) -> float:
    """Compute how much a hydrometer is misled by invert sugar.

    Parameters
    ----------
    brix : dissolved solids [mass percent], 0 to 75
    invert_fraction : share of the solids that is invert sugar [kg/kg], 0 to 0.5

    Returns
    -------
    Reading less true solids [Brix]: negative, and hardly ever worth correcting.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Our own quadratic through the CRC Handbook's densities of D-fructose and D-glucose at 20 °C, 10
    to 48 %, against sucrose; extrapolated above 48. Minerals weigh more than sugar and shift it the
    other way, some 0.3 Brix for each percent of the solids (from memory of their volumes).

    Examples
    --------
    >>> round(hydrometer_shift_brix(66.9, 0.05), 2)
    -0.05
    """
    return _DENSITY_SQUARE * brix * brix * invert_fraction


@valid(brix=(0.0, 75.0), invert_fraction=(0.0, 0.5))
def refractometer_shift_brix(brix: float, invert_fraction: float) -> float:
    """Compute how much a refractometer is misled by invert sugar.

    Parameters
    ----------
    brix : dissolved solids [mass percent], 0 to 75
    invert_fraction : share of the solids that is invert sugar [kg/kg], 0 to 0.5

    Returns
    -------
    Reading less true solids [Brix]: negative.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Our own quadratic through the CRC Handbook's indices of D-fructose and D-glucose at 20 °C, 10
    to 48 %, against sucrose; extrapolated above 48, where it gives three quarters of the sugar
    trade's 0.02 Brix for each percent of invert (from memory).

    Examples
    --------
    >>> round(refractometer_shift_brix(66.9, 0.05), 2)
    -0.07
    """
    return brix * (_INDEX_LINEAR + _INDEX_SQUARE * brix) * invert_fraction
