"""A forecast as it was issued: never altered afterwards, so that its errors can be learnt from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError
from sugarwright.weather.hours import HOUR_S, HourlyWeather

Floats = NDArray[np.float64]
_TEMPERATURES = ("member_temperature_c", "p10_temperature_c", "p90_temperature_c")


@dataclass(frozen=True, eq=False)
class Forecast:
    """What one source said, at one time, of one place.

    Parameters
    ----------
    issued_s : UTC s at which it was made
    fetched_s : UTC s at which it reached us
    source : who made it, in words ("US National Weather Service")
    attribution : what its licence asks to be shown with it; may be empty
    latitude_deg, longitude_deg : the place it speaks of, as the source names it
    elevation_m : height of that place [m]; None where it is not told
    hours : the expected weather, without a gap. Hours before ``issued_s`` are what the source took
        for past weather
    member_temperature_c : (members, hours) of a real ensemble [°C]; None without one
    p10_temperature_c, p90_temperature_c : (hours,), a tenth of outcomes lie below, or above [°C];
        None where they are not told
    shape_sd_k : error that does not grow with lead, to be added (in squares) to the usual error of
        a forecast [K]: a curve drawn through a typed low and high has one, a service's has none

    Raises
    ------
    InputError : if a series has not the length of the hours, or is no number somewhere
    """

    issued_s: int
    fetched_s: int
    source: str
    attribution: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    hours: HourlyWeather
    member_temperature_c: Floats | None = None
    p10_temperature_c: Floats | None = None
    p90_temperature_c: Floats | None = None
    shape_sd_k: float = 0.0

    def __post_init__(self) -> None:
        for name in _TEMPERATURES:
            values = getattr(self, name)
            if values is not None:
                object.__setattr__(self, name, _series(name, values, len(self.hours)))

    def __eq__(self, other: object) -> bool:
        """Tell whether the other one says the same, whenever it reached us."""
        if not isinstance(other, Forecast):
            return NotImplemented
        plain = ("issued_s", "source", "latitude_deg", "longitude_deg", "elevation_m", "shape_sd_k")
        return (
            all(getattr(self, name) == getattr(other, name) for name in plain)
            and np.array_equal(self.hours.time_s, other.hours.time_s)
            and np.array_equal(self.hours.temperature_c, other.hours.temperature_c)
            and all(_same(getattr(self, name), getattr(other, name)) for name in _TEMPERATURES)
        )

    __hash__ = None  # type: ignore[assignment]  # arrays have no hash

    @property
    def end_s(self) -> int:
        """Instant at which its last hour ends."""
        return self.hours.end_s

    @property
    def lead_h(self) -> Floats:
        """Hours from the issue to the begin of each hour; negative for past weather."""
        lead: Floats = (self.hours.time_s - self.issued_s) / HOUR_S
        return lead

    def age_h(self, now_s: float) -> float:
        """Hours since it was issued."""
        return (now_s - self.issued_s) / HOUR_S


def _series(name: str, values: Floats, hours: int) -> Floats:
    array = np.array(values, dtype=np.float64)
    members = name.startswith("member")
    if array.ndim != (2 if members else 1) or array.shape[-1] != hours or array.size == 0:
        shape = f"(members, {hours})" if members else f"({hours},)"
        raise InputError(name, array.shape, "does not fit the hours of the forecast", shape)
    if not (np.abs(array) <= 60.0).all():
        raise InputError(name, None, "holds what no open air can be", "-60 to 60 degrees Celsius")
    array.setflags(write=False)
    return array


def _same(first: Floats | None, second: Floats | None) -> bool:
    if first is None or second is None:
        return first is second
    return np.array_equal(first, second)
