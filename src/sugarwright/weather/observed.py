"""Measured hours in a file of their own: ``observed.csv``, one line an hour, gaps allowed.

Each line says where it comes from, since a station's hours and those of a thermometer on the
sugarhouse wall may stand side by side. What stands there stays: new hours only fill in.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from sugarwright.errors import WeatherFileError
from sugarwright.weather.hours import EXTRAS, HOUR_S, PLAUSIBLE, HourlyWeather

_COLUMNS = ("time_utc", *PLAUSIBLE, "source")
_HEADER = ",".join(_COLUMNS)


@dataclass(frozen=True)
class ObservedRow:
    """One measured hour: values in the order of ``PLAUSIBLE``, None where there is none."""

    values: tuple[float | None, ...]
    source: str


Rows = dict[int, ObservedRow]


@dataclass(frozen=True)
class Observed:
    """What the file holds.

    Parameters
    ----------
    rows : UTC s of an hour -> what was measured
    problems : lines that cannot be read, a sentence each
    """

    rows: Rows
    problems: tuple[str, ...]

    def pieces(self) -> tuple[HourlyWeather, ...]:
        """Return the hours as unbroken pieces, oldest first."""
        times = sorted(self.rows)
        if not times:
            return ()
        breaks = [at + 1 for at, (a, b) in enumerate(pairwise(times)) if b - a != HOUR_S]
        ends = pairwise([0, *breaks, len(times)])
        return tuple(_piece({time: self.rows[time] for time in times[a:b]}) for a, b in ends)


def read_observed(path: Path) -> Observed:
    """Read the file of measured hours.

    Raises
    ------
    WeatherFileError : if it cannot be read at all, or is not in this program's own form
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as problem:
        raise WeatherFileError("observed hours", str(path), f"cannot be read ({problem})") from None
    lines = [line for line in csv.reader(io.StringIO(text)) if any(line)]
    if not lines or tuple(lines[0]) != _COLUMNS:
        raise WeatherFileError(
            "observed hours",
            str(path),
            "is not in this program's own form",
            f"a first line {_HEADER}",
            "Give the file another name, and take it in with `sugarwright weather import`",
        )
    rows: Rows = {}
    problems = []
    for number, cells in enumerate(lines[1:], start=2):
        try:
            rows.setdefault(*_row(cells))
        except ValueError as problem:
            problems.append(f"{path} line {number}: {problem}.")
    return Observed(rows, tuple(problems))


def merged(kept: Rows, hours: Sequence[HourlyWeather]) -> Rows:
    """Return the rows kept, and of the new hours those that were not there."""
    rows = dict(kept)
    for piece in hours:
        columns = [getattr(piece, name) for name in PLAUSIBLE]
        for at, time_s in enumerate(piece.time_s.tolist()):
            values = tuple(None if each is None else float(each[at]) for each in columns)
            rows.setdefault(time_s, ObservedRow(values, " ".join(piece.source.split())))
    return rows


def _row(cells: list[str]) -> tuple[int, ObservedRow]:
    if len(cells) != len(_COLUMNS):
        raise ValueError(f"has {len(cells)} cells, not {len(_COLUMNS)}")
    stamp, *texts, source = cells
    moment = datetime.fromisoformat(stamp)
    time_s = round(moment.timestamp())
    if moment.tzinfo is None or time_s % HOUR_S:
        raise ValueError(f'"{stamp}" is no whole hour of UTC')
    values = [float(text) if text else None for text in texts]
    for value, (name, (least, greatest)) in zip(values, PLAUSIBLE.items(), strict=True):
        if value is not None and not least <= value <= greatest:
            raise ValueError(f"{name} {value:g} is nothing that open air can be")
    if values[0] is None:
        raise ValueError("there is no temperature")
    return time_s, ObservedRow(tuple(values), source)


def _piece(rows: Rows) -> HourlyWeather:
    columns = zip(*(row.values for row in rows.values()), strict=True)
    series = dict(zip(PLAUSIBLE, columns, strict=True))
    whole: dict[str, Any] = {
        name: np.array(series[name], dtype=np.float64)
        for name in EXTRAS
        if None not in series[name]
    }
    sources = dict.fromkeys(row.source for row in rows.values() if row.source)
    return HourlyWeather(
        np.array(list(rows)),
        np.array(series["temperature_c"]),
        **whole,
        source=", ".join(sources),
    )
