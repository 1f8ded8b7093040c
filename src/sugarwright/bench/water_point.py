"""Where water boils today, known in one of four ways."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.physics.air import standard_pressure_pa, station_pressure_pa
from sugarwright.physics.valid import valid
from sugarwright.physics.water import saturation_pressure_pa, saturation_temperature_c

SLOPE_K_PA = 0.2765e-3
"""Boiling point of water by pressure near one atmosphere [K/Pa]: 1.7 °F for an inch of mercury."""
BAROMETER_SD_PA = 100.0
"""A household barometer that is set, or a weather service's figure for a place nearby."""
WEATHER_SD_PA = 1000.0
"""What weather does to the pressure of a place: most days within 20 hPa of its mean."""
READING_SD_PA = 220.0
"""A thermometer read to 0.06 K in boiling water."""


@dataclass(frozen=True)
class WaterPoint:
    """Where water boils at a place and hour.

    Parameters
    ----------
    boiling_c : boiling point of water [°C]
    pressure_pa : pressure of the air that goes with it [Pa]
    sd_pa : standard deviation of that [Pa]
    source : where it was known from, in words
    same_thermometer : whether the thermometer for the syrup was held in boiling water
    """

    boiling_c: float
    pressure_pa: float
    sd_pa: float
    source: str
    same_thermometer: bool

    @property
    def sd_k(self) -> float:
        """Standard deviation of the boiling point [K]."""
        return self.sd_pa * SLOPE_K_PA


@valid(boiling_c=(81.5, 103.5))
def from_boiling_water(boiling_c: float) -> WaterPoint:
    """Return it as the maker's own thermometer showed it in boiling water.

    Parameters
    ----------
    boiling_c : what the thermometer showed [°C]

    Raises
    ------
    RangeError : water boils so nowhere that syrup is made
    """
    pressure_pa = saturation_pressure_pa(boiling_c)
    words = "your thermometer in boiling water"
    return WaterPoint(boiling_c, pressure_pa, READING_SD_PA, words, True)


@valid(pressure_pa=(50e3, 105e3))
def from_barometer(pressure_pa: float, sd_pa: float = BAROMETER_SD_PA) -> WaterPoint:
    """Return it from the pressure of the air at the place.

    Parameters
    ----------
    pressure_pa : pressure of the air at the place, not reduced to sea level [Pa]
    sd_pa : its standard deviation [Pa]

    Raises
    ------
    RangeError : a pressure outside the range
    """
    boiling_c = saturation_temperature_c(pressure_pa)
    return WaterPoint(boiling_c, pressure_pa, sd_pa, "the barometer", False)


def from_weather_report(
    sea_level_pressure_pa: float, elevation_m: float, temperature_c: float = 2.0
) -> WaterPoint:
    """Return it from the pressure of a weather report, which is reduced to sea level.

    Parameters
    ----------
    sea_level_pressure_pa : as reported [Pa]
    elevation_m : of the sugarhouse above the sea [m]
    temperature_c : of the air outdoors [°C]

    Raises
    ------
    RangeError : a value outside its range
    """
    found = from_barometer(station_pressure_pa(sea_level_pressure_pa, elevation_m, temperature_c))
    words = "the weather report and your elevation"
    return WaterPoint(found.boiling_c, found.pressure_pa, found.sd_pa, words, False)


def from_elevation(elevation_m: float) -> WaterPoint:
    """Return it for the mean pressure at an elevation: a first guess, as weather moves it.

    Parameters
    ----------
    elevation_m : above the sea [m]

    Raises
    ------
    RangeError : an elevation outside the range
    """
    pressure_pa = standard_pressure_pa(elevation_m)
    found = from_barometer(pressure_pa, WEATHER_SD_PA)
    words = "your elevation, for average weather"
    return WaterPoint(found.boiling_c, found.pressure_pa, found.sd_pa, words, False)
