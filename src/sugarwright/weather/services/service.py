"""What every weather service is asked, and what it brings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from sugarwright.errors import ServiceError
from sugarwright.weather.distance import distance_km
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HourlyWeather

MOST_KM = 60.0  # half the diagonal of a half-degree cell is 39 km; no service's grid is coarser


@dataclass(frozen=True)
class Place:
    """Where the weather is wanted: of the house, as sugarhouse.toml says."""

    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None = None


@dataclass(frozen=True)
class Answer:
    """A JSON document, and when the service sent it (UTC s)."""

    document: Any
    fetched_s: int


@dataclass(frozen=True)
class Brought:
    """What a service, or a file saved from it, brought.

    Parameters
    ----------
    forecasts : as issued
    observed : measured hours, unbroken pieces
    notes : what the person should know, in sentences
    """

    forecasts: tuple[Forecast, ...] = ()
    observed: tuple[HourlyWeather, ...] = ()
    notes: tuple[str, ...] = ()


class Asker(Protocol):
    """Gets JSON documents; politely (see :mod:`.polite`)."""

    def json(
        self,
        title: str,
        url: str,
        query: Mapping[str, str | int | float] | None = None,
        secret: Mapping[str, str] | None = None,
        keep_s: float = 0.0,
    ) -> Answer:
        """Return the document at an address.

        Parameters
        ----------
        title : of the service, for messages
        url, query : the address
        secret : the rest of the query, which is written nowhere
        keep_s : how long an answer may serve before it is asked for again [s], if the service
            itself does not say longer

        Raises
        ------
        ServiceError : if there is no usable answer
        """


class Service(Protocol):
    """A weather service."""

    name: str
    """Short, as typed: ``nws``."""
    title: str
    """As people know it."""

    def fetch(self, place: Place, ask: Asker, now_s: int) -> Brought:
        """Ask the service. Raises ServiceError when nothing usable comes."""

    def read(self, document: Any, place: Place, fetched_s: int) -> Brought | None:
        """Return what a document of this service says; None if it is none of this service.

        Raises
        ------
        ServiceError : if it is one, and cannot be used
        """


def check_place(title: str, place: Place, latitude_deg: float, longitude_deg: float) -> None:
    """Refuse weather of somewhere else.

    Raises
    ------
    ServiceError : when the answer speaks of a place too far from the house
    """
    away_km = distance_km(place.latitude_deg, place.longitude_deg, latitude_deg, longitude_deg)
    if away_km > MOST_KM:
        raise ServiceError(
            title,
            f"{latitude_deg:.2f}, {longitude_deg:.2f}",
            f"is the weather of a place {away_km:.0f} km from the house",
            f"within {MOST_KM:.0f} km of {place.latitude_deg:.2f}, {place.longitude_deg:.2f}",
            "Look at latitude and longitude in sugarhouse.toml; west is negative",
        )
