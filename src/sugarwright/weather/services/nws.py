"""The US National Weather Service: its forecast grid, and the hours its stations measured.

Shapes: *API Web Service*, weather.gov/documentation/services-web-api; *Gridpoint Frequently Asked
Questions* and *General FAQs*, github.com/weather-gov/api (read 2026). ``/points/{lat},{lon}`` (four
decimals at most) names the grid square, whose layers are a series of ``validTime``, a start and an
ISO 8601 duration: consecutive equal values are merged, so that one value may span many hours, and
a value may be null. ``/stations/{id}/observations`` has at most 500 readings a page, newest first;
their quality marks are those of MADIS (from memory).

Free for any use; who asks must say so (User-Agent), with contact if possible.
"""

from __future__ import annotations

from typing import Any

from sugarwright.errors import ServiceError
from sugarwright.weather.distance import distance_km
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.services.document import Document, as_number, instant, interval, iso
from sugarwright.weather.services.series import (
    averaged,
    check_order,
    forecast_hours,
    observed_pieces,
    spread,
)
from sugarwright.weather.services.service import Asker, Brought, Place, check_place

TITLE = "US National Weather Service"
ATTRIBUTION = "Forecast of the US National Weather Service, weather.gov"
URL = "https://api.weather.gov"
_MONTH_S = 30 * 86400.0  # squares move rarely, says the service
_PAST_S = 14 * 86400
_MOST_READINGS = 500
_MOST_PAGES = 5
_SETTLING_S = 30 * 60  # readings come up to 20 minutes late
_FAILED = frozenset("XQB")  # rejected, questioned, found bad by a person
_FAR_KM = 40.0
_HIGH_M = 150.0

_SCALES = {
    "degc": (1.0, 0.0),
    "degf": (5.0 / 9.0, -160.0 / 9.0),
    "k": (1.0, -273.15),
    "percent": (0.01, 0.0),
    "km_h-1": (1.0 / 3.6, 0.0),
    "m_s-1": (1.0, 0.0),
    "m": (1.0, 0.0),
    "ft": (0.3048, 0.0),
}
"""Units, as they stand behind "wmoUnit:" -> (scale, offset) to SI."""


class NationalWeatherService:
    """The service at ``api.weather.gov``.

    Parameters
    ----------
    url : where it is; another one for tests, or a cache of your own
    """

    name = "nws"
    title = TITLE

    def __init__(self, url: str = URL) -> None:
        self._url = url.rstrip("/")

    def fetch(self, place: Place, ask: Asker, now_s: int) -> Brought:
        """Ask for the grid of the house's square, and for the measured hours of a station near.

        Without the station there is a note and no error: the forecast is what counts.
        """
        where = f"{round(place.latitude_deg, 4)},{round(place.longitude_deg, 4)}"
        point = ask.json(TITLE, f"{self._url}/points/{where}", keep_s=_MONTH_S)
        links = Document(TITLE, point.document)
        grid = ask.json(TITLE, str(links.need("properties", "forecastGridData")))
        forecast = _grid(Document(TITLE, grid.document), place, grid.fetched_s)
        try:
            near = self._observed(links, place, ask, now_s)
        except ServiceError as problem:
            near = Brought(notes=(f"No measured hours: {problem}",))
        return Brought((forecast,), near.observed, near.notes)

    def read(self, document: Any, place: Place, fetched_s: int) -> Brought | None:
        """Read a saved answer: grid data, hourly periods, or observations."""
        saved = Document(TITLE, document)
        if saved.get("properties", "temperature", "values") is not None:
            return Brought((_grid(saved, place, fetched_s),))
        if saved.get("properties", "periods") is not None:
            return Brought((_periods(saved, place, fetched_s),))
        first = Document(TITLE, saved.get("features", 0))
        if first.get("properties", "timestamp") and first.get("properties", "temperature"):
            longitude, latitude = (
                first.get("geometry", "coordinates", 0),
                first.get("geometry", "coordinates", 1),
            )
            if as_number(latitude) is not None and as_number(longitude) is not None:
                check_place(TITLE, place, float(latitude), float(longitude))
            return Brought(observed=_measured([saved], "Weather station", fetched_s))
        return None

    def _observed(self, links: Document, place: Place, ask: Asker, now_s: int) -> Brought:
        """Return the hours measured by the nearest station (the service lists it first)."""
        url = str(links.need("properties", "observationStations"))
        answer = ask.json(TITLE, url, keep_s=_MONTH_S)
        station = Document(TITLE, Document(TITLE, answer.document).rows("features")[0])
        identifier = str(station.need("properties", "stationIdentifier"))
        end_s = now_s - now_s % HOUR_S
        begin_s = end_s - _PAST_S
        pages: list[Document] = []
        for _ in range(_MOST_PAGES):
            query: dict[str, str | int | float] = {
                "start": iso(begin_s),
                "end": iso(end_s),
                "limit": _MOST_READINGS,
            }
            url = f"{self._url}/stations/{identifier}/observations"
            page = Document(TITLE, ask.json(TITLE, url, query).document)
            pages.append(page)
            readings = page.get("features") or []
            times = [time for each in readings if (time := _timestamp(each)) is not None]
            if len(readings) < _MOST_READINGS or not times or min(times) >= end_s:
                break
            end_s = min(times)
        name = str(station.get("properties", "name") or identifier)
        pieces = _measured(pages, f"{name} ({identifier})", now_s)
        return Brought(observed=pieces, notes=_station_notes(station, place, name))


def _grid(document: Document, place: Place, fetched_s: int) -> Forecast:
    """Return the forecast in a grid square's layers."""
    latitude_deg, longitude_deg = _middle(document)
    check_place(TITLE, place, latitude_deg, longitude_deg)
    issued_s = document.instant("properties", "updateTime")
    begin_s = issued_s - issued_s % HOUR_S
    notes: list[str] = []
    temperature_c = _layer(document, "temperature", begin_s)
    extras = {
        "humidity_fraction": _layer(document, "relativeHumidity", begin_s, needed=False),
        "wind_m_s": _layer(document, "windSpeed", begin_s, needed=False),
    }
    hours = forecast_hours(TITLE, temperature_c, extras, issued_s, notes)
    return _forecast(issued_s, fetched_s, (latitude_deg, longitude_deg), _height_m(document), hours)


def _periods(document: Document, place: Place, fetched_s: int) -> Forecast:
    """Return the forecast in hourly periods, which are whole degrees: better than nothing."""
    latitude_deg, longitude_deg = _middle(document)
    check_place(TITLE, place, latitude_deg, longitude_deg)
    issued_s = document.instant("properties", "updateTime")
    spans: list[tuple[int, int, float | None]] = []
    for at in range(len(document.rows("properties", "periods"))):
        part = ("properties", "periods", at)
        begin_s, end_s = document.instant(*part, "startTime"), document.instant(*part, "endTime")
        if end_s - begin_s > HOUR_S:
            raise ServiceError(
                TITLE,
                None,
                "these are half-day periods",
                "hourly periods, or better the grid data (forecastGridData)",
            )
        spans.append((begin_s, end_s, _period_c(Document(TITLE, document.get(*part)))))
    check_order(TITLE, [begin_s for begin_s, _, _ in spans])
    hours = forecast_hours(TITLE, spread(spans), {}, issued_s, ["whole degrees only"])
    return _forecast(issued_s, fetched_s, (latitude_deg, longitude_deg), _height_m(document), hours)


def _period_c(period: Document) -> float | None:
    """Return a period's temperature: a bare number with its unit beside it, or a quantity."""
    if period.get("temperature", "unitCode") is not None:
        value, unit = period.get("temperature", "value"), period.get("temperature", "unitCode")
    else:
        value, unit = period.get("temperature"), f"deg{period.get('temperatureUnit')}"
    scale, offset = _scale(period, unit)
    number = as_number(value)
    return None if number is None else scale * number + offset


def _forecast(
    issued_s: int,
    fetched_s: int,
    where: tuple[float, float],
    elevation_m: float | None,
    hours: HourlyWeather,
) -> Forecast:
    return Forecast(issued_s, fetched_s, TITLE, ATTRIBUTION, *where, elevation_m, hours)


def _layer(document: Document, name: str, begin_s: int, needed: bool = True) -> dict[int, float]:
    """Return a layer's value for each hour from ``begin_s``, in SI; nothing if it may lack."""
    path = ("properties", name, "values")
    if not needed and not document.get(*path):
        return {}
    scale, offset = _scale(document, document.get("properties", name, "uom"))
    spans: list[tuple[int, int, float | None]] = []
    for each in document.rows(*path):
        try:
            begin, end = interval(each["validTime"])
        except (ValueError, TypeError, LookupError):
            raise document.error((*path, "validTime"), each, "is no span of time") from None
        value = as_number(each.get("value"))
        spans.append((begin, end, None if value is None else scale * value + offset))
    check_order(f"{TITLE}: {name}", [begin for begin, _, _ in spans])
    return {hour: value for hour, value in spread(spans).items() if hour >= begin_s}


def _scale(document: Document, unit: Any) -> tuple[float, float]:
    key = str(unit).rpartition(":")[2].lower()
    if key not in _SCALES:
        raise document.error(("unit",), unit, "is no unit known here")
    return _SCALES[key]


def _middle(document: Document) -> tuple[float, float]:
    """Return latitude and longitude of the middle of the square."""
    corners: Any = document.need("geometry", "coordinates")
    if document.get("geometry", "type") == "Polygon":
        corners = document.rows("geometry", "coordinates")[0]
    else:
        corners = [corners]
    try:
        longitudes = [float(corner[0]) for corner in corners]
        latitudes = [float(corner[1]) for corner in corners]
        return (
            (min(latitudes) + max(latitudes)) / 2.0,
            (min(longitudes) + max(longitudes)) / 2.0,
        )
    except (TypeError, ValueError, LookupError):
        raise document.error(("geometry", "coordinates"), None, "is no place") from None


def _height_m(document: Document, *path: str) -> float | None:
    found = document.get(*(path or ("properties",)), "elevation")
    if not isinstance(found, dict) or (value := as_number(found.get("value"))) is None:
        return None
    return value * _scale(document, found.get("unitCode", "wmoUnit:m"))[0]


def _timestamp(reading: Any) -> int | None:
    try:
        return instant(Document(TITLE, reading).get("properties", "timestamp"))
    except ValueError:
        return None


def _measured(pages: list[Document], source: str, now_s: int) -> tuple[HourlyWeather, ...]:
    """Return the hours that are over, each the mean of its readings that passed their checks."""
    found: dict[int, float] = {}
    for page in pages:
        for each in page.get("features") or []:
            reading = Document(TITLE, each)
            time_s = _timestamp(each)
            value = as_number(reading.get("properties", "temperature", "value"))
            mark = str(reading.get("properties", "temperature", "qualityControl") or "Z")
            if time_s is None or value is None or mark in _FAILED:
                continue
            unit = reading.get("properties", "temperature", "unitCode")
            scale, offset = _scale(reading, unit)
            found[time_s] = scale * value + offset
    times = sorted(found)
    hours = averaged(times, [found[time_s] for time_s in times])
    over = {hour: each for hour, each in hours.items() if hour + HOUR_S + _SETTLING_S <= now_s}
    return observed_pieces(source, over)


def _station_notes(station: Document, place: Place, name: str) -> tuple[str, ...]:
    """Say so when the station is far off, or at quite another height."""
    notes = []
    longitude = as_number(station.get("geometry", "coordinates", 0))
    latitude = as_number(station.get("geometry", "coordinates", 1))
    if latitude is not None and longitude is not None:
        away_km = distance_km(place.latitude_deg, place.longitude_deg, latitude, longitude)
        if away_km > _FAR_KM:
            notes.append(f"{name}, which measured the past hours, is {away_km:.0f} km away.")
    height_m = _height_m(station, "properties")
    if height_m is not None and place.elevation_m is not None:
        above_m = height_m - place.elevation_m
        if abs(above_m) > _HIGH_M:
            side = "above" if above_m > 0 else "below"
            notes.append(f"{name} lies {abs(above_m):.0f} m {side} the house; its air differs.")
    return tuple(notes)
