"""Air pressure: by elevation, and from the figure that a weather station reports."""

from __future__ import annotations

import math

from sugarwright.physics.valid import valid


@valid(elevation_m=(-500.0, 5000.0))
def standard_pressure_pa(elevation_m: float) -> float:
    """Compute the pressure of the standard atmosphere at an elevation.

    Parameters
    ----------
    elevation_m : height above sea level [m], -500 to 5000

    Returns
    -------
    Pressure [Pa]. Weather moves it by some 2 kPa either way, which is 1 °F at the boil.

    Raises
    ------
    RangeError : elevation outside the range

    Notes
    -----
    ISO 2533:1975, "Standard Atmosphere": a layer with a lapse of 6.5 K/km. Found within 4 Pa of the
    U.S. Standard Atmosphere 1976 to 1500 m (it distinguishes geopotential from geometric height).

    Examples
    --------
    >>> round(standard_pressure_pa(300.0))
    97773
    """
    return 101325.0 * math.pow(1.0 - 2.25577e-5 * elevation_m, 5.25588)


@valid(
    sea_level_pressure_pa=(85e3, 110e3), elevation_m=(-500.0, 5000.0), temperature_c=(-60.0, 60.0)
)
def station_pressure_pa(
    sea_level_pressure_pa: float, elevation_m: float, temperature_c: float
) -> float:
    """Turn the sea-level pressure of a weather report back into the pressure of the place.

    Parameters
    ----------
    sea_level_pressure_pa : pressure "reduced to sea level" as reported [Pa]
    elevation_m : height above sea level of the place where the pressure is wanted [m]
    temperature_c : outdoor air temperature there [°C]; many services use the mean of now and
        12 h ago, which is the better figure to give

    Returns
    -------
    Absolute pressure at the place [Pa].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    World Meteorological Organization, "Guide to Meteorological Instruments and Methods of
    Observation" (WMO-No. 8), part I, chapter 3, the reduction for stations below 750 m, solved for
    the station, without its humidity term (some 20 Pa at 500 m in a March thaw). Found within 6 Pa
    of the standard atmosphere to 750 m. 10 K of error
    in the temperature is 200 Pa at 500 m: 0.1 °F at the boil.

    Examples
    --------
    >>> round(station_pressure_pa(102000.0, 300.0, 4.0))
    98312
    """
    mean_k = temperature_c + 273.15 + 0.5 * 0.0065 * elevation_m
    return sea_level_pressure_pa * math.pow(10.0, -0.0148275 * elevation_m / mean_k)
