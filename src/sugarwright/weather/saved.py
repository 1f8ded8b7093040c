"""A file that a person has: an answer saved from a service, or a table, told apart."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from sugarwright.errors import WeatherFileError
from sugarwright.weather.files import read_weather_csv, read_weather_pieces
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_json import FORMAT, forecast_of
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.services.met_norway import MetNorway
from sugarwright.weather.services.nws import NationalWeatherService
from sugarwright.weather.services.open_meteo import OpenMeteo
from sugarwright.weather.services.service import Brought, Place, Service, check_place

_SERVICES: tuple[Service, ...] = (NationalWeatherService(), OpenMeteo(), MetNorway())
_MOST_BYTES = 64 * 1024 * 1024


def read_saved(
    path: str | Path,
    place: Place,
    now_s: int,
    zone: str | None = None,
    temperature_unit: str = "",
    station: str = "",
    fill_gaps_h: int = 0,
) -> Brought:
    """Read a file of weather, whatever it is.

    Parameters
    ----------
    path : JSON as a service sends it or this program keeps it, or a table (CSV, or JSON rows)
    place : of the house; JSON of elsewhere is refused
    now_s : UTC s; a table that goes on behind it, or says when it was issued, is a forecast
    zone, temperature_unit, station, fill_gaps_h : as of :func:`.files.read_weather_csv`

    Returns
    -------
    Brought

    Raises
    ------
    InputError : if nothing in it can be used
    """
    name = Path(path)
    document = _document(name)
    if document is not None:
        brought = _of_service(name, document, place, now_s)
        if brought is not None:
            return brought
    pieces = read_weather_pieces(path, zone, temperature_unit, station, fill_gaps_h)
    notes = tuple(dict.fromkeys(note for piece in pieces for note in piece.notes))
    if pieces[-1].issued_s is None and pieces[-1].end_s <= now_s + HOUR_S:
        return Brought(observed=pieces, notes=notes)
    hours = read_weather_csv(path, zone, temperature_unit, station, fill_gaps_h)
    issued_s = hours.issued_s
    if issued_s is None:
        issued_s = min(now_s, _saved_s(name))
        notes += ("the file does not say when it was issued; it counts as of when it was saved",)
    where = place.latitude_deg, place.longitude_deg
    weather = replace(hours, issued_s=issued_s)
    return Brought((Forecast(issued_s, now_s, hours.source, "", *where, None, weather),), (), notes)


def read_weather_file(
    path: str | Path,
    place: Place,
    zone: str | None = None,
    temperature_unit: str = "",
    station: str = "",
    fill_gaps_h: int = 0,
) -> HourlyWeather:
    """Read a file as the one unbroken weather that it holds; see :func:`read_saved`.

    A table must have no gap here; of a service's answer with measured hours, the longest unbroken
    piece counts.
    """
    document = _document(Path(path))
    if document is not None:
        brought = _of_service(Path(path), document, place, int(time.time()))
        if brought is not None:
            return max((*(each.hours for each in brought.forecasts), *brought.observed), key=len)
    return read_weather_csv(path, zone, temperature_unit, station, fill_gaps_h)


def _document(path: Path) -> Any:
    """Return the JSON object in a file; None for whatever a table's reader must judge."""
    try:
        if not path.is_file() or path.stat().st_size > _MOST_BYTES:
            return None
        found = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _of_service(path: Path, document: Any, place: Place, now_s: int) -> Brought | None:
    if document.get("format") == FORMAT:
        forecast = forecast_of(json.dumps(document), path.name)
        check_place(path.name, place, forecast.latitude_deg, forecast.longitude_deg)
        return Brought((forecast,))
    for service in _SERVICES:
        brought = service.read(document, place, min(now_s, _saved_s(path)))
        if brought is not None:
            return brought
    return None


def _saved_s(path: Path) -> int:
    try:
        return int(path.stat().st_mtime)
    except OSError as problem:
        raise WeatherFileError("weather file", str(path), f"cannot be read ({problem})") from None
