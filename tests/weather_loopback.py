"""A weather service on this machine: documented shapes, invented values, and every fault.

Shapes after the services' own documentation: *API Web Service* (weather.gov), *Gridpoint FAQ*
(github.com/weather-gov/api), open-meteo.com/en/docs and its OpenAPI files, *Locationforecast data
model* (api.met.no). The place, Balsam Notch, is invented, and so is its weather.
"""

from __future__ import annotations

import json
import math
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

from sugarwright.weather.services.service import Place

PLACE = Place(44.26, -72.58, 320.0)
NOW = datetime(2027, 3, 9, 11, 20, tzinfo=UTC)
NOW_S = int(NOW.timestamp())
TOP_OF_HOUR = NOW.replace(minute=0)
Answer = tuple[int, dict[str, str], bytes]


def air_c(moment: datetime) -> float:
    """The invented weather: 2 degrees on average, coldest at 10 UTC."""
    return 2.0 - 6.0 * math.cos(2.0 * math.pi * (moment.hour - 10) / 24.0)


def stamp(moment: datetime) -> str:
    return moment.isoformat()


def hours_from(first: datetime, count: int) -> list[datetime]:
    return [first + timedelta(hours=hour) for hour in range(count)]


def grid(values: list[dict[str, Any]] | None = None, uom: str = "wmoUnit:degC") -> dict[str, Any]:
    """A grid square's layers: two hours of equal value are merged, as documented."""
    if values is None:
        values = [
            {"validTime": f"{stamp(at)}/PT1H", "value": round(air_c(at), 2)}
            for at in hours_from(TOP_OF_HOUR - timedelta(hours=3), 150)
        ]
    ring = [[-72.60, 44.25], [-72.57, 44.25], [-72.57, 44.28], [-72.60, 44.28], [-72.60, 44.25]]
    return {
        "type": "Feature",
        "geometry": {"type": "Polygon", "coordinates": [ring]},
        "properties": {
            "updateTime": "2027-03-09T10:05:00+00:00",
            "validTimes": "2027-03-09T08:00:00+00:00/P6DT6H",
            "elevation": {"unitCode": "wmoUnit:m", "value": 341.0},
            "temperature": {"uom": uom, "values": values},
            "relativeHumidity": {
                "uom": "wmoUnit:percent",
                "values": [
                    {"validTime": f"{stamp(TOP_OF_HOUR - timedelta(hours=3))}/P7D", "value": 70}
                ],
            },
        },
    }


def point(base: str) -> dict[str, Any]:
    return {
        "properties": {
            "forecastGridData": f"{base}/gridpoints/XYZ/12,34",
            "observationStations": f"{base}/gridpoints/XYZ/12,34/stations",
        }
    }


def stations() -> dict[str, Any]:
    return {
        "features": [
            {
                "geometry": {"type": "Point", "coordinates": [-72.55, 44.2]},
                "properties": {
                    "stationIdentifier": "KXYZ",
                    "name": "Balsam Notch Airport",
                    "elevation": {"unitCode": "wmoUnit:m", "value": 355.0},
                },
            }
        ]
    }


def reading(moment: datetime, value: float | None, mark: str = "V") -> dict[str, Any]:
    return {
        "geometry": {"type": "Point", "coordinates": [-72.55, 44.2]},
        "properties": {
            "timestamp": stamp(moment),
            "temperature": {"unitCode": "wmoUnit:degC", "value": value, "qualityControl": mark},
        },
    }


def observations(count: int = 48) -> dict[str, Any]:
    """Readings at :53 as stations take them, newest first."""
    moments = [TOP_OF_HOUR - timedelta(hours=back, minutes=7) for back in range(count)]
    return {"features": [reading(at, round(air_c(at), 1)) for at in moments]}


def open_meteo(first: datetime | None = None, count: int = 24 * 24, **other: Any) -> dict[str, Any]:
    moments = hours_from(first or datetime(2027, 2, 23, tzinfo=UTC), count)
    return {
        "latitude": 44.25,
        "longitude": -72.59,
        "elevation": 330.0,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "hourly_units": {"time": "iso8601", "temperature_2m": "°C"},
        "hourly": {
            "time": [at.strftime("%Y-%m-%dT%H:%M") for at in moments],
            "temperature_2m": [round(air_c(at), 1) for at in moments],
        },
        **other,
    }


def ensemble(members: int = 31, days: int = 10, reach_days: int = 9) -> dict[str, Any]:
    """Members beside the control run; nulls where the model does not reach."""
    document = open_meteo(NOW.replace(hour=0, minute=0), 24 * days)
    hourly = document["hourly"]
    control = hourly["temperature_2m"]
    reach = 24 * reach_days
    for number in range(1, members):
        moved = [value + (number - members / 2) * 0.1 for value in control]
        hourly[f"temperature_2m_member{number:02d}"] = [
            *moved[:reach],
            *[None] * (len(control) - reach),
        ]
    return document


def met_norway(percentiles: bool = False) -> dict[str, Any]:
    """Hourly steps for 58 h, then every six hours with the extremes between."""
    moments = hours_from(TOP_OF_HOUR, 58)
    first_coarse = datetime(2027, 3, 11, 18, tzinfo=UTC) + timedelta(hours=6)
    moments += [first_coarse + timedelta(hours=6 * step) for step in range(20)]
    series = []
    for at in moments:
        details = {"air_temperature": round(air_c(at), 1)}
        if percentiles:
            details["air_temperature_percentile_10"] = round(air_c(at) - 1.5, 1)
            details["air_temperature_percentile_90"] = round(air_c(at) + 1.5, 1)
        between = [air_c(at + timedelta(hours=hour)) for hour in range(7)]
        extremes = {
            "air_temperature_max": round(max(between), 1),
            "air_temperature_min": round(min(between), 1),
        }
        data = {"instant": {"details": details}, "next_6_hours": {"details": extremes}}
        series.append({"time": at.strftime("%Y-%m-%dT%H:%M:%SZ"), "data": data})
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-72.58, 44.26, 338]},
        "properties": {
            "meta": {
                "updated_at": "2027-03-09T10:41:00Z",
                "units": {"air_temperature": "celsius"},
            },
            "timeseries": series,
        },
    }


@dataclass
class Loopback:
    """The service: what it answers by path, and what it was asked.

    ``answers`` may hold a document, or a function that gets (path, query, headers) and returns
    status, headers and body.
    """

    url: str = ""
    answers: dict[str, Any] = field(default_factory=dict)
    asked: list[tuple[str, dict[str, str], dict[str, str]]] = field(default_factory=list)
    delay_s: float = 0.0
    cut: bool = False

    def count(self, path: str = "") -> int:
        return sum(1 for asked, _, _ in self.asked if asked.startswith(path))

    def usual(self) -> Loopback:
        """Answer everything as documented."""
        self.answers |= {
            "/points/": point(self.url),
            "/gridpoints/XYZ/12,34/stations": stations(),
            "/gridpoints/XYZ/12,34": grid(),
            "/stations/KXYZ/observations": observations(),
            "/v1/forecast": open_meteo(),
            "/v1/ensemble": ensemble(),
            "/v1/archive": open_meteo(datetime(2015, 1, 1, tzinfo=UTC), 24 * 200),
            "/weatherapi/locationforecast/2.0/complete": met_norway(),
        }
        return self

    def answer(self, path: str, query: dict[str, str], headers: dict[str, str]) -> Answer:
        self.asked.append((path, query, headers))
        match = max((each for each in self.answers if path.startswith(each)), key=len, default="")
        if not match:
            return 404, {}, b'{"title": "Not Found", "detail": "no such thing"}'
        found = self.answers[match]
        if callable(found):
            result: Answer = found(path, query, headers)
            return result
        return 200, {"Content-Type": "application/json"}, json.dumps(found).encode()


def fresh(loopback: Loopback) -> None:
    """Answer as documented, about now."""
    loopback.usual()
    square = grid()
    square["properties"]["updateTime"] = (TOP_OF_HOUR - timedelta(hours=1)).isoformat()
    loopback.answers["/gridpoints/XYZ/12,34"] = square
    today = NOW.replace(hour=0, minute=0, second=0, microsecond=0)
    loopback.answers["/v1/forecast"] = open_meteo(today - timedelta(days=14))
    met = met_norway()
    met["properties"]["meta"]["updated_at"] = TOP_OF_HOUR.isoformat()
    met["properties"]["timeseries"] = met["properties"]["timeseries"][:58]
    loopback.answers["/weatherapi/locationforecast/2.0/complete"] = met


@contextmanager
def serving() -> Iterator[Loopback]:
    """Run the service on a free port of this machine."""
    loopback = Loopback()

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            parts = urlsplit(self.path)
            query = {key: values[0] for key, values in parse_qs(parts.query).items()}
            status, headers, body = loopback.answer(parts.path, query, dict(self.headers.items()))
            time.sleep(loopback.delay_s)
            self.send_response(status)
            for name, text in headers.items():
                self.send_header(name, text)
            self.send_header("Content-Length", str(len(body) + (1000 if loopback.cut else 0)))
            self.send_header("Connection", "close")
            self.end_headers()
            self.close_connection = True
            with suppress(OSError):  # who asked has gone
                self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    loopback.url = f"http://127.0.0.1:{server.server_address[1]}"
    try:
        yield loopback
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def refusing(
    status: int, headers: dict[str, str] | None = None, body: bytes = b""
) -> Callable[..., Answer]:
    """Return an answer that refuses."""
    return lambda path, query, asked: (status, headers or {}, body)
