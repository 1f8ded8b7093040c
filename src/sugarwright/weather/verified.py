"""Forecasts beside the hours that came: what all learning of errors and all scores stand on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HOUR_S, HourlyWeather

Floats = NDArray[np.float64]

DAY_H = 24
LEAST_HOURS = 20  # a day with fewer measured hours tells nothing of its mean


@dataclass(frozen=True, eq=False)
class Measured:
    """Measured hours, with gaps.

    Parameters
    ----------
    first_s : UTC s of the first hour
    temperature_c : (hours,), NaN where nothing was measured
    """

    first_s: int
    temperature_c: Floats

    @property
    def end_s(self) -> int:
        """Instant at which the last hour ends."""
        return self.first_s + len(self.temperature_c) * HOUR_S

    def at(self, time_s: NDArray[np.int64]) -> Floats:
        """Return the temperature of hours, by their begin; NaN outside and in gaps."""
        place = (np.asarray(time_s) - self.first_s) // HOUR_S
        inside = (place >= 0) & (place < len(self.temperature_c))
        found = np.full(place.shape, np.nan)
        found[inside] = self.temperature_c[place[inside]]
        return found


def measured(pieces: Sequence[HourlyWeather]) -> Measured:
    """Lay unbroken pieces of measured hours beside one another; the first of two stands."""
    if not pieces:
        return Measured(0, np.empty(0))
    first_s = min(each.first_s for each in pieces)
    hours = (max(each.end_s for each in pieces) - first_s) // HOUR_S
    temperature_c = np.full(hours, np.nan)
    for piece in reversed(pieces):
        begin = (piece.first_s - first_s) // HOUR_S
        temperature_c[begin : begin + len(piece)] = piece.temperature_c
    return Measured(first_s, temperature_c)


@dataclass(frozen=True, eq=False)
class LeadDay:
    """24 hours of one forecast, with what came.

    Parameters
    ----------
    issued_s : UTC s of the forecast's issue
    day : 0 for the first 24 hours of lead, and so on
    place : (hours,) places of the hours in the forecast
    time_s : (hours,) UTC s; only those that were measured
    lead_h : (hours,)
    forecast_c, observed_c : (hours,)
    """

    issued_s: int
    day: int
    place: NDArray[np.int64]
    time_s: NDArray[np.int64]
    lead_h: Floats
    forecast_c: Floats
    observed_c: Floats

    @property
    def end_s(self) -> int:
        """Instant at which the last of its hours was known."""
        return int(self.time_s[-1]) + HOUR_S


def lead_days(forecast: Forecast, came: Measured) -> Iterator[LeadDay]:
    """Yield the days of a forecast that can be judged, by lead."""
    hours = forecast.hours
    observed_c = came.at(hours.time_s)
    day_of = np.floor(forecast.lead_h / DAY_H).astype(np.int64)
    for day in range(max(int(day_of[-1]) + 1, 0)):
        place = np.flatnonzero((day_of == day) & ~np.isnan(observed_c))
        if len(place) >= LEAST_HOURS:
            yield LeadDay(
                forecast.issued_s,
                day,
                place,
                hours.time_s[place],
                forecast.lead_h[place],
                hours.temperature_c[place],
                observed_c[place],
            )


def all_lead_days(forecasts: Iterable[Forecast], came: Measured) -> list[LeadDay]:
    """Return the days of many forecasts that can be judged, in the order of the forecasts."""
    return [each for forecast in forecasts for each in lead_days(forecast, came)]


def overlap_fraction(days: Sequence[LeadDay]) -> float:
    """Return how many different hours were forecast, against how many forecasts of hours.

    Five forecasts of one afternoon err together, so what they say is weighed by this share (a
    tempered composite likelihood: F. Pauli, W. Racugno and L. Ventura, Stat. Sinica 21 (2011) 149).
    """
    if not days:
        return 1.0
    times = np.concatenate([each.time_s for each in days])
    return len(np.unique(times)) / len(times)
