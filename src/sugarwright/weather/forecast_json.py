"""A kept forecast as a JSON text, and back.

Instants are written as people read them, temperatures to a hundredth of a degree: a forecast knows
no more, and fifty members stay small.
"""

from __future__ import annotations

import json
import math
from datetime import UTC, datetime
from typing import Any

import numpy as np

from sugarwright.errors import InputError, WeatherFileError
from sugarwright.weather.forecast import Floats, Forecast
from sugarwright.weather.hours import EXTRAS, HOUR_S, HourlyWeather

FORMAT = "sugarwright forecast 1"
_DECIMALS = {"temperature_c": 2, "pressure_pa": 0, "humidity_fraction": 3, "wind_m_s": 2}


def json_of(forecast: Forecast) -> str:
    """Return a forecast as a JSON text."""
    hours = forecast.hours
    series = {
        name: _rounded(getattr(hours, name), places)
        for name, places in _DECIMALS.items()
        if getattr(hours, name) is not None
    }
    document = {
        "format": FORMAT,
        "issued": _iso(forecast.issued_s),
        "fetched": _iso(forecast.fetched_s),
        "source": forecast.source,
        "attribution": forecast.attribution,
        "latitude_deg": forecast.latitude_deg,
        "longitude_deg": forecast.longitude_deg,
        "elevation_m": forecast.elevation_m,
        "shape_sd_k": forecast.shape_sd_k,
        "first_hour": _iso(hours.first_s),
        **series,
        "p10_temperature_c": _rounded(forecast.p10_temperature_c, 2),
        "p90_temperature_c": _rounded(forecast.p90_temperature_c, 2),
        "notes": list(hours.notes),
        "member_temperature_c": _rounded(forecast.member_temperature_c, 2),
    }
    lines = ",\n".join(f'"{key}": {json.dumps(value)}' for key, value in document.items())
    return f"{{\n{lines}\n}}\n"


def forecast_of(text: str | bytes, name: str) -> Forecast:
    """Return the forecast that :func:`json_of` wrote.

    Parameters
    ----------
    text : of the file
    name : of the file, for the message

    Raises
    ------
    WeatherFileError : if it holds no such forecast, whole
    """
    try:
        document = json.loads(text, parse_constant=_refuse)
        if document["format"] != FORMAT:
            raise ValueError(f"its format is {document['format']!r}")
        return _forecast(document)
    except InputError as problem:
        why = f"is no forecast that can be used ({str(problem).rstrip('.')})"
    except (ValueError, TypeError, LookupError, OverflowError, RecursionError) as problem:
        why = f"is damaged, or no forecast kept by this program ({problem})"
    raise WeatherFileError("forecast", None, why, "", "Move it out of the folder", name) from None


def _forecast(document: dict[str, Any]) -> Forecast:
    first_s = _instant(document["first_hour"])
    temperature_c = np.array(document["temperature_c"], dtype=np.float64)
    issued_s = _instant(document["issued"])
    hours = HourlyWeather(
        first_s + HOUR_S * np.arange(len(temperature_c)),
        temperature_c,
        **{name: _floats(document.get(name)) for name in EXTRAS},
        source=str(document["source"]),
        issued_s=issued_s,
        notes=tuple(str(each) for each in document["notes"]),
    )
    elevation_m = document["elevation_m"]
    return Forecast(
        issued_s,
        _instant(document["fetched"]),
        str(document["source"]),
        str(document["attribution"]),
        _number(document["latitude_deg"]),
        _number(document["longitude_deg"]),
        None if elevation_m is None else _number(elevation_m),
        hours,
        _floats(document["member_temperature_c"]),
        _floats(document["p10_temperature_c"]),
        _floats(document["p90_temperature_c"]),
        _number(document["shape_sd_k"]),
    )


def _iso(time_s: int) -> str:
    return datetime.fromtimestamp(time_s, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _instant(text: str) -> int:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError(f"{text} states no time zone")
    return round(moment.timestamp())


def _rounded(values: Floats | None, places: int) -> Any:
    return None if values is None else np.round(values, places).tolist()


def _floats(values: Any) -> Floats | None:
    return None if values is None else np.array(values, dtype=np.float64)


def _number(value: Any) -> float:
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{value} is no number")
    return number


def _refuse(text: str) -> None:
    raise ValueError(f"{text} is no number")
