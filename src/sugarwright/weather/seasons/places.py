"""Published normals of a few places, from which those of a house nearby are guessed.

A guess it stays: a valley is colder at night, a lake shore milder, a south slope warmer by day.
Ten figures of the nearest station, typed into sugarhouse.toml, are better.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.errors import InputError
from sugarwright.weather.distance import distance_km
from sugarwright.weather.seasons.normals import MonthlyNormals

NEAREST = 3
FARTHEST_KM = 400.0
LAPSE_K_PER_M = 0.006  # colder with height; 6.5 K/km in the standard atmosphere, less on slopes


@dataclass(frozen=True)
class Place:
    """A station and its mean daily highs and lows, January to May, as printed."""

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    unit: str
    highs: tuple[float, ...]
    lows: tuple[float, ...]
    source: str

    @property
    def high_c(self) -> tuple[float, ...]:
        """Mean daily highs [°C]."""
        return tuple(_celsius(value, self.unit) for value in self.highs)

    @property
    def low_c(self) -> tuple[float, ...]:
        """Mean daily lows [°C]."""
        return tuple(_celsius(value, self.unit) for value in self.lows)


_NOAA = "NOAA normals 1991-2020, from memory to about 1 F"
_NOAA_OLD = "NOAA normals 1971-2000"
_CANADA = "Environment Canada normals 1981-2010, from memory to about 0.5 C"

# Those from memory agree within 1.5 F with the daily normals 1991-2020 printed in public climate
# reports of the US National Weather Service: Burlington 6 March 37/20; Newark 15 January 40/25,
# 23 February 45/29, 10 April 60/42; Montpelier, whole of January 25.8/7.4.
PLACES = (
    Place("Burlington VT", 44.47, -73.15, 101, "F",
          (29, 32, 40, 54, 68), (13, 14, 23, 35, 47), _NOAA),
    Place("Montpelier VT", 44.20, -72.58, 342, "F",
          (25.8, 29, 37, 51, 65), (7.4, 9, 18, 31, 42), _NOAA),
    Place("Concord NH", 43.20, -71.50, 105, "F",
          (32, 36, 45, 58, 70), (13, 15, 23, 33, 44), _NOAA),
    Place("Amherst MA", 42.38, -72.54, 46, "F",
          (35, 38, 46, 59, 70), (14, 16, 25, 35, 46), _NOAA),
    Place("Newark NJ", 40.68, -74.17, 2, "F",
          (40, 43, 51, 62, 73), (25, 27, 34, 44, 54), _NOAA),
    Place("Albany NY", 42.75, -73.80, 84, "F",
          (32, 35, 45, 59, 71), (16, 18, 26, 37, 48), _NOAA),
    Place("Syracuse NY", 43.11, -76.10, 126, "F",
          (32, 34, 43, 57, 70), (17, 18, 26, 37, 48), _NOAA),
    Place("Akron OH", 40.92, -81.44, 369, "F",
          (34, 37, 47, 61, 71), (20, 22, 29, 39, 50), _NOAA),
    Place("Marquette MI, inland", 46.53, -87.55, 431, "F",
          (22, 25, 36, 48, 63), (6, 7, 15, 28, 40), _NOAA),
    Place("Wausau WI", 44.93, -89.63, 365, "F",
          (23, 28, 40, 54, 68), (6, 9, 21, 34, 46), _NOAA),
    Place("Bangor ME", 44.80, -68.82, 45, "F",
          (27.6, 30.9, 40.2, 52.6, 65.4), (8.3, 11.4, 22.1, 33.2, 43.6), _NOAA_OLD),
    Place("Augusta ME", 44.32, -69.80, 107, "F",
          (28.5, 32.1, 41.2, 53.1, 66.0), (10.5, 13.6, 23.7, 34.3, 44.7), _NOAA_OLD),
    Place("Allagash ME", 47.08, -69.03, 185, "F",
          (18.3, 23.6, 34.9, 46.4, 62.7), (-9.8, -9.3, 5.9, 23.9, 35.1), _NOAA_OLD),
    Place("Quebec QC", 46.79, -71.39, 74, "C",
          (-7.9, -5.6, 0.2, 8.3, 17.0), (-17.7, -15.6, -9.4, -1.0, 5.4), _CANADA),
    Place("Sherbrooke QC", 45.44, -71.69, 241, "C",
          (-5.8, -3.7, 1.9, 9.9, 17.9), (-17.3, -15.7, -9.2, -1.3, 4.4), _CANADA),
    Place("Ottawa ON", 45.38, -75.72, 79, "C",
          (-5.8, -3.1, 2.4, 11.4, 19.0), (-14.4, -12.5, -6.8, 1.5, 8.0), _CANADA),
)  # fmt: skip


def guess_normals(
    latitude_deg: float, longitude_deg: float, elevation_m: float, utc_offset_h: int
) -> MonthlyNormals:
    """Guess a place's monthly normals from the three nearest stations known here.

    Parameters
    ----------
    latitude_deg, longitude_deg, elevation_m : of the place
    utc_offset_h : of its standard time

    Returns
    -------
    MonthlyNormals whose notes call it a guess and name the stations

    Raises
    ------
    InputError : if no station is within 400 km
    """
    far_km = [
        distance_km(latitude_deg, longitude_deg, each.latitude_deg, each.longitude_deg)
        for each in PLACES
    ]
    near = sorted(range(len(PLACES)), key=far_km.__getitem__)[:NEAREST]
    near = [each for each in near if far_km[each] <= FARTHEST_KM]
    if not near:
        raise InputError(
            "normals",
            f"{latitude_deg:g}, {longitude_deg:g}",
            f"no station known here lies within {FARTHEST_KM:g} km",
            fix="Write your place's mean highs and lows, January to May, into [site.normals]",
        )
    weights = np.array([1.0 / (far_km[each] + 20.0) for each in near])
    weights /= weights.sum()
    colder_k = LAPSE_K_PER_M * (elevation_m - np.array([PLACES[each].elevation_m for each in near]))
    high = weights @ (np.array([PLACES[each].high_c for each in near]) - colder_k[:, np.newaxis])
    low = weights @ (np.array([PLACES[each].low_c for each in near]) - colder_k[:, np.newaxis])
    names = ", ".join(f"{PLACES[each].name} ({far_km[each]:.0f} km)" for each in near)
    return MonthlyNormals(
        tuple(high.tolist()),
        tuple(low.tolist()),
        latitude_deg,
        longitude_deg,
        utc_offset_h,
        "guessed monthly normals",
        (
            f"The months' highs and lows are a guess from {names}, corrected for height. Your own, "
            "in [site.normals] of sugarhouse.toml, are better; hourly weather of your place better "
            "still.",
        ),
    )


def _celsius(value: float, unit: str) -> float:
    return (value - 32.0) / 1.8 if unit == "F" else value
