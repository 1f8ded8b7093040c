"""Boiling: when is it syrup? The boiling point by strength and barometer, and back."""

from __future__ import annotations

import math

from sugarwright.physics.activity import water_activity
from sugarwright.physics.solution import GREATEST_BRIX
from sugarwright.physics.valid import valid
from sugarwright.physics.water import saturation_pressure_pa, saturation_temperature_c


@valid(brix=(0.0, 85.0), pressure_pa=(50e3, 115e3))
def boiling_point_c(brix: float, pressure_pa: float) -> float:
    """Compute the temperature at which a sucrose solution boils.

    Parameters
    ----------
    brix : strength [mass percent], 0 to 85
    pressure_pa : absolute air pressure [Pa], 50 to 115 kPa; not the sea-level figure of a
        weather report (:func:`sugarwright.physics.air.station_pressure_pa` turns that back)

    Returns
    -------
    Boiling point [°C].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    T = Tsat(P / a(b, T)): water's vapour pressure, lowered by the water activity, equals the air's.
    Fixed-point steps from water's boiling point, each some 40 times closer at syrup strength.
    Found within 0.15 K of the sugar handbooks' table (after Claassen, from memory) to 70 Brix,
    0.3 K to 80; above 82 do not trust it. Sucrose only: what invert sugar and minerals add is in
    :mod:`sugarwright.physics.maple_solids`, some 0.12 K for each 5 % of the solids inverted.

    Examples
    --------
    >>> round(boiling_point_c(66.9, 101325.0), 2)
    104.17
    """
    temperature = saturation_temperature_c(pressure_pa)
    for _ in range(6):
        temperature = saturation_temperature_c(pressure_pa / water_activity(brix, temperature))
    return temperature


@valid(brix=(0.0, 85.0), pressure_pa=(50e3, 115e3))
def boiling_point_rise_k(brix: float, pressure_pa: float) -> float:
    """Compute how much hotter than water a sucrose solution boils.

    Parameters
    ----------
    brix : strength [mass percent], 0 to 85
    pressure_pa : absolute air pressure [Pa], 50 to 115 kPa

    Returns
    -------
    Boiling point less that of water under the same pressure [K].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Difference of :func:`boiling_point_c` and water's boiling point.

    Examples
    --------
    Syrup of 66.9 Brix, in degrees Fahrenheit above boiling water:

    >>> round(boiling_point_rise_k(66.9, 101325.0) * 1.8, 2)
    7.56
    """
    return boiling_point_c(brix, pressure_pa) - saturation_temperature_c(pressure_pa)


@valid(brix=(0.0, 85.0), temperature_c=(-5.0, 150.0), pressure_pa=(50e3, 115e3))
def superheat_k(brix: float, temperature_c: float, pressure_pa: float) -> float:
    """Tell how far a solution is above its boiling point: above 0 it is superheated.

    The formulas of density, viscosity, heat and conductivity go on to 110 °C whatever the pressure,
    and so answer for liquid that could not stand open to the air. This says when.

    Parameters
    ----------
    brix : strength [mass percent], 0 to 85
    temperature_c : temperature of the liquid [°C], -5 to 150
    pressure_pa : absolute air pressure [Pa], 50 to 115 kPa

    Returns
    -------
    Temperature less boiling point [K]: below 0 it does not boil; above 0 it is superheated and
    would flash into steam at a touch.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Difference to :func:`boiling_point_c`.

    Examples
    --------
    At 104 °C water is superheated at sea level, syrup is not:

    >>> round(superheat_k(0.0, 104.0, 101325.0), 2), round(superheat_k(66.9, 104.0, 101325.0), 2)
    (4.03, -0.17)
    """
    return temperature_c - boiling_point_c(brix, pressure_pa)


@valid(boiling_point_c=(80.0, 125.0), pressure_pa=(50e3, 115e3))
def brix_from_boiling_point(boiling_point_c: float, pressure_pa: float) -> float:
    """Find the strength of a solution from the temperature at which it boils.

    Parameters
    ----------
    boiling_point_c : temperature of the boiling liquid [°C]
    pressure_pa : absolute air pressure [Pa], 50 to 115 kPa

    Returns
    -------
    Strength [mass percent], 0 to 85.

    Raises
    ------
    RangeError : a value outside its range, or no solution boils there (below water's boiling
        point: then the thermometer or the pressure is wrong)

    Notes
    -----
    The water activity at the boil is P / Psat(T); bisection of :func:`water_activity` for it.
    At syrup strength 0.1 °F is a quarter of a Brix, so measure water's boiling point the same day.

    Examples
    --------
    >>> round(brix_from_boiling_point(104.17, 101325.0), 1)
    66.9
    """
    wanted = pressure_pa / saturation_pressure_pa(boiling_point_c)
    # Water's own boiling point may miss an activity of 1 by the rounding of the two curves.
    if wanted > 1.0 + 1e-9 or wanted < water_activity(GREATEST_BRIX, boiling_point_c) - 1e-9:
        return math.nan
    low, high = 0.0, GREATEST_BRIX
    for _ in range(47):
        middle = 0.5 * (low + high)
        if water_activity(middle, boiling_point_c) > wanted:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
