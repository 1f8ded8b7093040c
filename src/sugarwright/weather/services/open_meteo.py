"""Open-Meteo: one forecast with past days, an ensemble's members, and past years.

Shapes: the API documentation at open-meteo.com/en/docs, /docs/ensemble-api and
/docs/historical-weather-api, and the OpenAPI files of github.com/open-meteo/open-meteo (read
2026). ``hourly.time[]`` stands beside ``hourly.temperature_2m[]``. Times are without a zone;
``utc_offset_seconds`` (0 unless a zone is asked for) tells theirs. Members are
``temperature_2m_member01`` and so on beside ``temperature_2m``, the control run. A refusal is
``{"error": true, "reason": ...}``. Nulls stand where a model does not reach. When the model ran
is not told; models run every six hours and reach people some hours later, so that a forecast
counts as issued six hours before it was fetched (from memory).

Data: CC BY 4.0, to be named. The open service is for non-commercial use, below 10,000 calls a day;
who sells syrup wants a key (``apikey``, then other hosts) or a server of their own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

import numpy as np

from sugarwright.errors import ServiceError
from sugarwright.weather.forecast import Floats, Forecast
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.services.document import Document, as_number
from sugarwright.weather.services.series import (
    check_order,
    forecast_hours,
    observed_pieces,
)
from sugarwright.weather.services.service import Asker, Brought, Place, check_place

TITLE = "Open-Meteo"
ATTRIBUTION = "Weather data by Open-Meteo.com (CC BY 4.0)"
PAST_DAYS = 14  # brings the trees up to date
FORECAST_DAYS = 10
MODEL = "ecmwf_ifs025"  # 51 members, 15 days, anywhere
_MODEL_AGE_S = 6 * HOUR_S
_MEMBER = re.compile(r"temperature_2m(?:_member(\d+))?")
_LEAST_MEMBERS = 5
_EXTRAS = {
    "humidity_fraction": ("relative_humidity_2m", {"%": 0.01}),
    "pressure_pa": ("surface_pressure", {"hPa": 100.0}),
    "wind_m_s": ("wind_speed_10m", {"m/s": 1.0, "km/h": 1.0 / 3.6}),
}


class OpenMeteo:
    """One forecast, and the last two weeks as the models took them.

    Parameters
    ----------
    url : of the service; empty for the public one (with a key: the customers' one)
    key : for commercial use; may be empty
    """

    name = "open-meteo"
    title = TITLE

    def __init__(self, url: str = "", key: str = "") -> None:
        self._url, self._key = url, key

    def fetch(self, place: Place, ask: Asker, now_s: int) -> Brought:
        """Ask for the forecast, with two weeks of past hours."""
        query = {
            **_where(place),
            "hourly": "temperature_2m,relative_humidity_2m,surface_pressure,wind_speed_10m",
            "past_days": PAST_DAYS,
            "forecast_days": FORECAST_DAYS,
        }
        url = f"{_base(self._url, '', self._key)}/v1/forecast"
        answer = ask.json(TITLE, url, query, _secret(self._key))
        document = Document(TITLE, answer.document)
        return Brought((_forecast(document, place, answer.fetched_s),), notes=_terms(self._key))

    def read(self, document: Any, place: Place, fetched_s: int) -> Brought | None:
        """Read a saved answer: a forecast, an ensemble, or past years."""
        saved = Document(TITLE, document)
        if saved.get("hourly", "time") is None or saved.get("hourly", "temperature_2m") is None:
            return None
        if _member_names(saved):
            return Brought((_ensemble(saved, place, fetched_s),))
        times = _times(saved)
        if times[-1] + HOUR_S <= fetched_s:
            return Brought(observed=_history(saved, place, times))
        return Brought((_forecast(saved, place, fetched_s),))


class OpenMeteoEnsemble:
    """The members of an ensemble of models: what else the weather may do.

    Parameters
    ----------
    url, key : see :class:`OpenMeteo`
    model : which ensemble
    """

    name = "open-meteo-ensemble"
    title = f"{TITLE} ensemble"

    def __init__(self, url: str = "", key: str = "", model: str = MODEL) -> None:
        self._url, self._key, self._model = url, key, model

    def fetch(self, place: Place, ask: Asker, now_s: int) -> Brought:
        """Ask for all members."""
        query = {
            **_where(place),
            "hourly": "temperature_2m",
            "models": self._model,
            "forecast_days": FORECAST_DAYS,
        }
        url = f"{_base(self._url, 'ensemble-', self._key)}/v1/ensemble"
        answer = ask.json(self.title, url, query, _secret(self._key))
        document = Document(self.title, answer.document)
        return Brought((_ensemble(document, place, answer.fetched_s),), notes=_terms(self._key))

    def read(self, document: Any, place: Place, fetched_s: int) -> Brought | None:
        """Read a saved answer; :class:`OpenMeteo` knows them all."""
        return OpenMeteo().read(document, place, fetched_s)


def fetch_history(
    place: Place, first: date, last: date, ask: Asker, url: str = "", key: str = ""
) -> tuple[HourlyWeather, ...]:
    """Return past hours of a place from the archive (a reanalysis, from 1940 on).

    Parameters
    ----------
    place : of the house
    first, last : days, both included; the archive is some five days behind
    ask : asks
    url, key : see :class:`OpenMeteo`

    Raises
    ------
    ServiceError : if there is no usable answer
    """
    query = {
        **_where(place),
        "hourly": "temperature_2m",
        "start_date": first.isoformat(),
        "end_date": last.isoformat(),
    }
    address = f"{_base(url, 'archive-', key)}/v1/archive"
    answer = ask.json(TITLE, address, query, _secret(key), keep_s=7 * 86400.0)
    document = Document(TITLE, answer.document)
    return _history(document, place, _times(document))


def _base(url: str, kind: str, key: str) -> str:
    customer = "customer-" if key else ""
    return url.rstrip("/") if url else f"https://{customer}{kind}api.open-meteo.com"


def _secret(key: str) -> dict[str, str]:
    return {"apikey": key} if key else {}


def _terms(key: str) -> tuple[str, ...]:
    free = "Open-Meteo without a key is for non-commercial use; see open-meteo.com/en/pricing."
    return () if key else (free,)


def _where(place: Place) -> dict[str, str | int | float]:
    where: dict[str, str | int | float] = {
        "latitude": round(place.latitude_deg, 4),
        "longitude": round(place.longitude_deg, 4),
        "timezone": "GMT",
        "wind_speed_unit": "ms",
    }
    if place.elevation_m is not None:
        where["elevation"] = round(place.elevation_m)
    return where


def _issued_s(fetched_s: int) -> int:
    """Return when the model ran, about [UTC s]."""
    return fetched_s - fetched_s % HOUR_S - _MODEL_AGE_S


def _forecast(document: Document, place: Place, fetched_s: int) -> Forecast:
    issued_s = _issued_s(fetched_s)
    times = _times(document)
    notes = ["when the model ran is not told; some six hours before it was fetched"]
    temperature_c = _column(document, "temperature_2m", times)
    extras = {name: _extra(document, name, times) for name in _EXTRAS}
    hours = forecast_hours(TITLE, temperature_c, extras, issued_s, notes)
    return Forecast(
        issued_s, fetched_s, TITLE, ATTRIBUTION, *_checked_place(document, place), hours
    )


def _ensemble(document: Document, place: Place, fetched_s: int) -> Forecast:
    """Return the members; their mean is the expected weather. Past hours are left out."""
    title = f"{TITLE} ensemble"
    issued_s = _issued_s(fetched_s)
    times = _times(document)
    columns = [_column(document, name, times) for name in _member_names(document, control=True)]
    members = [column for column in columns if column]
    if len(members) < _LEAST_MEMBERS:
        raise ServiceError(title, None, f"sent {len(members)} members", f"{_LEAST_MEMBERS} or more")
    common = [hour for hour in times if hour >= issued_s and all(hour in each for each in members)]
    mean = {hour: sum(each[hour] for each in members) / len(members) for hour in common}
    notes: list[str] = []
    hours = forecast_hours(title, mean, {}, issued_s, notes)
    drawn: Floats = np.array(
        [np.interp(hours.time_s, common, [each[hour] for hour in common]) for each in members]
    )
    where = _checked_place(document, place)
    return Forecast(issued_s, fetched_s, title, ATTRIBUTION, *where, hours, drawn)


def _history(document: Document, place: Place, times: list[int]) -> tuple[HourlyWeather, ...]:
    _checked_place(document, place)
    values = _column(document, "temperature_2m", times)
    pieces = observed_pieces("Open-Meteo archive (reanalysis)", values)
    if not pieces:
        raise ServiceError(TITLE, None, "sent no temperature at all (only nulls)")
    return pieces


def _checked_place(document: Document, place: Place) -> tuple[float, float, float | None]:
    latitude_deg, longitude_deg = document.number("latitude"), document.number("longitude")
    check_place(document.title, place, latitude_deg, longitude_deg)
    return latitude_deg, longitude_deg, as_number(document.get("elevation"))


def _member_names(document: Document, control: bool = False) -> list[str]:
    """Return the columns that are members, in their order."""
    hourly = document.need("hourly")
    matches = [match for name in hourly if (match := _MEMBER.fullmatch(name))]
    numbered = sorted((match for match in matches if match[1]), key=lambda match: int(match[1]))
    names = [match[0] for match in numbered]
    return ["temperature_2m", *names] if control and "temperature_2m" in hourly else names


def _times(document: Document) -> list[int]:
    """Return the instants of the rows, UTC s."""
    offset_s = as_number(document.get("utc_offset_seconds")) or 0.0
    times: list[int] = []
    for each in document.rows("hourly", "time"):
        try:
            if isinstance(each, str):
                moment = datetime.fromisoformat(each)
                zoned = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
                times.append(round(zoned.timestamp() - (0.0 if moment.tzinfo else offset_s)))
            else:
                times.append(int(each))  # timeformat=unixtime, always of UTC
        except (ValueError, TypeError, OverflowError):
            raise document.error(("hourly", "time"), each, "is no time") from None
    check_order(document.title, times)
    for time_s in times:
        if time_s % HOUR_S:
            raise document.error(("hourly", "time"), time_s, "is no whole hour of UTC")
    return times


def _column(document: Document, name: str, times: list[int]) -> dict[int, float]:
    """Return a column of temperatures by hour, in degrees Celsius, nulls left out."""
    unit = document.get("hourly_units", name) or "°C"
    if unit not in ("°C", "°F"):
        raise document.error(("hourly_units", name), unit, "is no unit of temperature known here")
    scale, offset = (1.0, 0.0) if unit == "°C" else (5.0 / 9.0, -160.0 / 9.0)
    return {hour: scale * value + offset for hour, value in _numbers(document, name, times).items()}


def _extra(document: Document, name: str, times: list[int]) -> Mapping[int, float]:
    column, units = _EXTRAS[name]
    scale = units.get(str(document.get("hourly_units", column)))
    if scale is None or document.get("hourly", column) is None:
        return {}
    return {hour: scale * value for hour, value in _numbers(document, column, times).items()}


def _numbers(document: Document, name: str, times: list[int]) -> dict[int, float]:
    values = document.rows("hourly", name)
    if len(values) != len(times):
        problem = f"has {len(values)} values for {len(times)} times"
        raise document.error(("hourly", name), None, problem)
    numbers = zip(times, map(as_number, values), strict=True)
    return {time_s: value for time_s, value in numbers if value is not None}
