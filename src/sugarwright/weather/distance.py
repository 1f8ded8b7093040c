"""How far two places are from each other."""

from __future__ import annotations

import math

_EARTH_KM = 6371.0  # mean radius


def distance_km(
    latitude_deg: float,
    longitude_deg: float,
    other_latitude_deg: float,
    other_longitude_deg: float,
) -> float:
    """Return the distance of two places along the ground (great circle on a sphere) [km].

    >>> round(distance_km(44.0, -72.0, 45.0, -72.0))
    111
    """
    here, there = math.radians(latitude_deg), math.radians(other_latitude_deg)
    east = math.radians(other_longitude_deg - longitude_deg)
    half = math.sin((there - here) / 2.0) ** 2
    half += math.cos(here) * math.cos(there) * math.sin(east / 2.0) ** 2
    return 2.0 * _EARTH_KM * math.asin(min(1.0, math.sqrt(half)))
