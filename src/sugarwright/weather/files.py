"""Hourly weather from a table that a person, a logger or a weather service wrote, and back.

Gaps and nonsense are named with their line and column, never filled in silence. Readings within
an hour are averaged; a reading on the hour stands for the hour that begins there.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import RangeError, WeatherFileError
from sugarwright.weather.headers import QUANTITIES, Column, Columns
from sugarwright.weather.hourly import MOST_FILLED_H, Readings, hourly_series
from sugarwright.weather.hours import EXTRAS, HOUR_S, PLAUSIBLE, HourlyWeather, utc_text
from sugarwright.weather.table import Row, Table, read_table
from sugarwright.weather.times import read_times
from sugarwright.weather.unit_doubts import unit_doubts

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d{1,3})?", re.I)
_NO_READING = frozenset({"", "na", "n/a", "nan", "null", "none", "m", "-", "--", "---"})
_CODES = frozenset({99.99, 999.0, 999.9, 9999.0, 9999.9})  # either sign; and -99 itself


def read_weather_csv(
    path: str | Path,
    zone: str | None = None,
    temperature_unit: str = "",
    station: str = "",
    fill_gaps_h: int = 0,
) -> HourlyWeather:
    """Read hourly (or finer) weather from a delimited text file.

    Parameters
    ----------
    path : a table whose header names a time and an air temperature with its unit, such as
        ``time_utc,temperature_c`` or ``date;hour;temp (F)``; pressure of the place, humidity and
        wind speed are read too where their titles state a unit
    zone : time zone of times that state none ("America/New_York")
    temperature_unit : "C", "F" or "K", for a title that states none
    station : which one to read, where the file holds several
    fill_gaps_h : gaps of up to this many hours are drawn straight, and reported in ``notes``

    Returns
    -------
    HourlyWeather

    Raises
    ------
    WeatherFileError : names file, line and column of what cannot be used
    InputError : if ``zone`` or ``fill_gaps_h`` makes no sense
    """
    _check_fill(fill_gaps_h)
    read = _read(path, zone, temperature_unit, station, fill_gaps_h > 0)
    return _weather(read, read.readings, read.extras, fill_gaps_h)


def read_weather_pieces(
    path: str | Path,
    zone: str | None = None,
    temperature_unit: str = "",
    station: str = "",
    fill_gaps_h: int = 0,
) -> tuple[HourlyWeather, ...]:
    """Read a table that may have gaps, as unbroken pieces; see :func:`read_weather_csv`."""
    _check_fill(fill_gaps_h)
    read = _read(path, zone, temperature_unit, station, True)
    hour = read.readings.time_s // HOUR_S
    known = np.unique(hour[~np.isnan(read.readings.temperature_c)])
    if len(known) == 0:
        return (_weather(read, read.readings, read.extras, fill_gaps_h),)  # which says so
    breaks = np.flatnonzero(np.diff(known) - 1 > fill_gaps_h)
    begins, ends = known[[0, *(breaks + 1)]], known[[*breaks, -1]]
    pieces = []
    for begin, end in zip(begins, ends, strict=True):
        inside = (hour >= begin) & (hour <= end)
        rows = [read.readings.rows[at] for at in np.flatnonzero(inside)]
        cut = replace(
            read.readings,
            rows=rows,
            time_s=read.readings.time_s[inside],
            temperature_c=read.readings.temperature_c[inside],
        )
        extras = {
            name: None if each is None else each[inside] for name, each in read.extras.items()
        }
        pieces.append(_weather(read, cut, extras, fill_gaps_h))
    return tuple(pieces)


@dataclass(frozen=True)
class _Read:
    """A table's readings, as far as they need no looking at their neighbours."""

    readings: Readings
    column: Column
    extras: dict[str, NDArray[np.float64] | None]
    notes: tuple[str, ...]
    source: str
    issued_s: int | None


def _read(path: str | Path, zone: str | None, unit: str, station: str, gaps_allowed: bool) -> _Read:
    table = read_table(path)
    rows = _of_station(table, station)
    column = _temperature_column(table, unit)
    times = read_times(table, rows, zone)
    _check_order(table, rows, times)
    values = [_temperature(table, row, column, gaps_allowed) for row in rows]
    readings = Readings(table, rows, np.array(times, dtype=np.int64), np.array(values), zone)
    notes = list(table.notes)
    extras = {name: _extra(table, rows, name, notes) for name in EXTRAS}
    source = table.remarks.get("source", Path(path).name)
    return _Read(readings, column, extras, tuple(notes), source, _issued(table))


def _weather(
    read: _Read,
    readings: Readings,
    extras: dict[str, NDArray[np.float64] | None],
    fill_gaps_h: int,
) -> HourlyWeather:
    notes = list(read.notes)
    time_s, series = hourly_series(readings, read.column, extras, fill_gaps_h, notes)
    notes += unit_doubts(time_s, series["temperature_c"], read.column.unit)
    return HourlyWeather(
        time_s, **series, source=read.source, issued_s=read.issued_s, notes=tuple(notes)
    )


def _check_fill(fill_gaps_h: int) -> None:
    if not 0 <= fill_gaps_h <= MOST_FILLED_H:
        allowed = f"0 to {MOST_FILLED_H} hours"
        raise RangeError("fill_gaps_h", fill_gaps_h, "is no gap to draw across", allowed)


def write_weather_csv(weather: HourlyWeather, path: str | Path) -> None:
    """Write weather so that :func:`read_weather_csv` gives the very same numbers back.

    Raises
    ------
    WeatherFileError : if the file cannot be written
    """
    names = [name for name in PLAUSIBLE if getattr(weather, name) is not None]
    remarks = [f"# source: {' '.join(weather.source.split())}"] if weather.source.strip() else []
    if weather.issued_s is not None:
        remarks.append(f"# issued: {_iso(weather.issued_s)}")
    lines = [*remarks, ",".join(["time_utc", *names])]
    columns = [getattr(weather, name).tolist() for name in names]
    for time_s, *values in zip(weather.time_s.tolist(), *columns, strict=True):
        lines.append(",".join([_iso(time_s), *map(repr, values)]))
    try:
        Path(path).write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
    except (OSError, ValueError) as problem:
        raise WeatherFileError(
            "weather file", str(path), f"cannot be written ({problem})"
        ) from None


def _iso(time_s: int) -> str:
    return datetime.fromtimestamp(time_s, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _issued(table: Table) -> int | None:
    """Return when a forecast was issued, if a line "# issued: 2015-03-09T05:10Z" says so."""
    text = table.remarks.get("issued", "")
    if not text:
        return None
    remark = Row(0, [text])
    alone = replace(table, columns=Columns((Column(0, "# issued"),)), rows=[remark])
    return read_times(alone, [remark], None)[0]


def _of_station(table: Table, station: str) -> list[Row]:
    """Return the rows of the station asked for, or all where there is only one."""
    column = table.columns.station
    names = sorted({row.cell(column) for row in table.rows}) if column else []
    listed = ", ".join(names[:8]) + (" ..." if len(names) > 8 else "")
    if column is None or (not station and len(names) == 1):
        if station and column is None:
            raise table.error(None, None, f'has no column of stations to find "{station}" in')
        return table.rows
    if not station:
        problem = f"the file holds several stations: {listed}"
        raise table.error(None, column, problem, fix=f'Choose one, such as station "{names[0]}"')
    rows = [row for row in table.rows if row.cell(column) == station]
    if not rows:
        raise table.error(None, column, f'there is no station "{station}"', listed)
    return rows


def _temperature_column(table: Table, stated: str) -> Column:
    """Return the one column of air temperature, its unit settled."""
    columns = table.columns.found["temperature_c"]
    if len(columns) > 1:
        titles = ", ".join(f'"{each.title}"' for each in columns)
        problem = f"several columns could be the air temperature: {titles}"
        raise table.error(None, columns[1], problem, fix="Rename all but the one that is meant")
    column = columns[0]
    unit = (column.unit or stated).lower()
    if unit not in QUANTITIES["temperature_c"].units:
        fix = "Name the column temperature_f or temperature_c, or state the unit"
        raise table.error(None, column, "its unit is not stated", "C, F or K", fix)
    return Column(column.index, column.title, unit)


def _check_order(table: Table, rows: list[Row], times: list[int]) -> None:
    column = table.columns.time[-1]
    for before, now, row, earlier in zip(times, times[1:], rows[1:], rows, strict=False):
        if now == before:
            raise table.error(row, column, f"is the same time as line {earlier.line}")
        if now < before:
            problem = f"is before line {earlier.line} ({utc_text(now)} after {utc_text(before)})"
            raise table.error(row, column, problem, fix="Sort the rows by time")


def _number(table: Table, row: Row, column: Column) -> float | None:
    """Return a cell's number, NaN for a cell that says "no reading", None for nonsense."""
    text = row.cell(column).replace("\N{MINUS SIGN}", "-")
    if text.lower() in _NO_READING:
        return math.nan
    if table.decimal_comma and "." not in text:
        text = text.replace(",", ".", 1)
    return float(text) if _NUMBER.fullmatch(text) else None


def _temperature(table: Table, row: Row, column: Column, gaps_allowed: bool) -> float:
    """Return a cell's temperature (°C), NaN where there is no reading."""
    number = _number(table, row, column)
    if number is None:
        raise table.error(row, column, "is no number", fix="Correct the cell, or leave it empty")
    if number == -99.0 or abs(number) in _CODES:
        if gaps_allowed:
            return math.nan
        problem = "is what loggers write for no reading"
        raise table.error(row, column, problem, fix="Put the reading there, or allow gaps")
    scale, offset = QUANTITIES["temperature_c"].units[column.unit]
    least, greatest = PLAUSIBLE["temperature_c"]
    temperature_c = scale * number + offset
    if temperature_c < least or temperature_c > greatest:
        fahrenheit = scale == 1.0 and offset == 0.0 and number <= 140.0
        hint = "If it is Fahrenheit, name the column temperature_f" if fahrenheit else ""
        allowed = f"{least:g} to {greatest:g} degrees Celsius"
        raise table.error(row, column, "is no temperature of open air", allowed, hint)
    return temperature_c


def _extra(
    table: Table, rows: list[Row], name: str, notes: list[str]
) -> NDArray[np.float64] | None:
    """Return a quantity that is welcome but not needed; what cannot be believed is NaN."""
    columns = table.columns.found[name]
    stated = [column for column in columns if column.unit]
    if len(stated) != 1:
        if columns:
            why = "its unit is not stated" if not stated else "another column says the same"
            notes.append(f'column "{columns[0].title}" was not read: {why}')
        return None
    scale, offset = QUANTITIES[name].units[stated[0].unit]
    least, greatest = PLAUSIBLE[name]
    numbers = [_number(table, row, stated[0]) for row in rows]
    values = np.array([math.nan if each is None else scale * each + offset for each in numbers])
    believed: NDArray[np.float64] = np.where(
        (values >= least) & (values <= greatest), values, np.nan
    )
    return believed
