"""Kept weather in the logbook: forecasts as they were issued, and the hours that came."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from sugarwright.errors import WeatherFileError
from sugarwright.logbook.open_file import OpenFile
from sugarwright.logbook.seen_files import FORECASTS, OBSERVED, problems_of_files
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_json import forecast_of, json_of
from sugarwright.weather.hours import PLAUSIBLE, HourlyWeather
from sugarwright.weather.observed import Observed, ObservedRow, Rows, merged

_HOUR = ("time_s", *PLAUSIBLE, "source")


class WeatherBook:
    """The :class:`~sugarwright.weather.store.WeatherStore` of a logbook."""

    def __init__(self, file: OpenFile) -> None:
        self._file = file
        self._read: dict[int, Forecast | None] = {}
        self._problems: dict[int, str] = {}

    def keep(self, forecast: Forecast) -> bool:
        """Keep a forecast; tell whether it was new. Nothing kept is ever altered.

        Raises
        ------
        LogbookError : it cannot be written
        """
        with self._file.writing() as connection:
            return keep_forecast(connection, forecast)

    def newest(self, now_s: float) -> Forecast | None:
        """Return the forecast issued last, of those issued by ``now_s``."""
        asked = (
            "SELECT serial FROM forecasts WHERE issued_s <= ? ORDER BY issued_s DESC, serial DESC"
        )
        with self._file.reading() as connection:
            serials = [serial for (serial,) in connection.execute(asked, (now_s,))]
            return next(filter(None, map(self._forecast, serials)), None)

    def between(self, begin_s: float, end_s: float) -> list[Forecast]:
        """Return the forecasts issued from ``begin_s`` to before ``end_s``, oldest first."""
        asked = (
            "SELECT serial FROM forecasts WHERE issued_s >= ? AND issued_s < ? "
            "ORDER BY issued_s, fetched_s, serial"
        )
        with self._file.reading() as connection:
            serials = [serial for (serial,) in connection.execute(asked, (begin_s, end_s))]
            return [each for each in map(self._forecast, serials) if each is not None]

    def holds_forecasts(self) -> bool:
        """Tell whether any forecast came here, be it one that cannot be read."""
        asked = (
            "SELECT EXISTS (SELECT 1 FROM forecasts) "
            "OR EXISTS (SELECT 1 FROM taken_in WHERE name LIKE 'forecasts/%')"
        )
        with self._file.reading() as connection:
            return bool(connection.execute(asked).fetchone()[0])

    def keep_observed(self, hours: Sequence[HourlyWeather]) -> int:
        """Keep hours that were measured; return how many are new. Those kept before stand.

        Raises
        ------
        LogbookError : they cannot be written
        """
        with self._file.writing() as connection:
            return keep_hours(connection, merged({}, hours))

    def observed(self) -> tuple[HourlyWeather, ...]:
        """Return the measured hours: unbroken pieces, oldest first."""
        with self._file.reading() as connection:
            found = connection.execute(f"SELECT {', '.join(_HOUR)} FROM observed").fetchall()
        return Observed({row[0]: ObservedRow(row[1:-1], row[-1]) for row in found}, ()).pieces()

    def damaged(self) -> tuple[str, ...]:
        """Return what cannot be read: of the files taken in, and come across here so far."""
        with self._file.reading() as connection:
            files = problems_of_files(connection, (FORECASTS, OBSERVED))
        return (*files, *self._problems.values())

    def _forecast(self, serial: int) -> Forecast | None:
        """Return a forecast; None, and the problem noted, when it is damaged."""
        if serial not in self._read:
            asked = "SELECT content FROM forecasts WHERE serial = ?"
            (content,) = self._file.connection.execute(asked, (serial,)).fetchone()
            try:
                self._read[serial] = forecast_of(content, f"logbook, forecast {serial}")
            except WeatherFileError as problem:
                self._read[serial] = None
                self._problems[serial] = str(problem)
        return self._read[serial]


def keep_forecast(connection: sqlite3.Connection, forecast: Forecast) -> bool:
    """Add a forecast unless one of the same issue and source says the same."""
    text = json_of(forecast)
    as_kept = forecast_of(text, forecast.source)
    there = connection.execute(
        "SELECT content FROM forecasts WHERE issued_s = ? AND source = ?",
        (forecast.issued_s, forecast.source),
    )
    if any(_says(content, as_kept) for (content,) in there):
        return False
    connection.execute(
        "INSERT INTO forecasts (issued_s, fetched_s, source, content) VALUES (?, ?, ?, ?)",
        (forecast.issued_s, forecast.fetched_s, forecast.source, text),
    )
    return True


def keep_hours(connection: sqlite3.Connection, rows: Rows) -> int:
    """Add measured hours where there is none yet; return how many were new."""
    marks = ", ".join("?" * len(_HOUR))
    cursor = connection.executemany(
        f"INSERT INTO observed ({', '.join(_HOUR)}) VALUES ({marks}) ON CONFLICT DO NOTHING",
        [(time_s, *row.values, row.source) for time_s, row in sorted(rows.items())],
    )
    return max(0, cursor.rowcount)


def _says(content: str, forecast: Forecast) -> bool:
    try:
        return forecast_of(content, "") == forecast
    except WeatherFileError:
        return False
