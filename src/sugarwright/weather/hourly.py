"""From readings at any times to unbroken hours: averaging, and what to say of gaps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.headers import Column
from sugarwright.weather.hours import HOUR_S, clock_text
from sugarwright.weather.table import Row, Table

MOST_JUMP_K = 25.0  # in an hour; the wildest fronts on record move air by about as much
MOST_FILLED_H = 48  # a straight line across more days than two tells nothing of their nights
_GAPS_NAMED = 4

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Readings:
    """Temperatures (°C, NaN where there is none), their times, rows, and the zone of the clock."""

    table: Table
    rows: list[Row]
    time_s: NDArray[np.int64]
    temperature_c: Floats
    zone: str | None = None

    def row_at(self, time_s: int) -> Row:
        """Return the first row at an instant or after it."""
        return self.rows[min(int(np.searchsorted(self.time_s, time_s)), len(self.rows) - 1)]


def hourly_series(
    readings: Readings,
    column: Column,
    extras: dict[str, Floats | None],
    fill_gaps_h: int,
    notes: list[str],
) -> tuple[NDArray[np.int64], dict[str, Any]]:
    """Average readings to hours, and draw across gaps as far as that was allowed.

    Parameters
    ----------
    readings : of temperature, in the order of time
    column : where they stand
    extras : other quantities at the same times, NaN where there is no value; one that has a longer
        gap than allowed is left out
    fill_gaps_h : longest gap that may be filled [h]
    notes : gets a sentence for everything done here

    Returns
    -------
    (UTC s of the hours, series by name); the temperature is ``temperature_c``, what was left out
    is missing

    Raises
    ------
    WeatherFileError : if there is no temperature, a gap that may not be filled, or a jump
    """
    read = ~np.isnan(readings.temperature_c)
    if not read.any():
        problem = "there is no temperature in any row"
        raise readings.table.error(readings.rows[0], column, problem)
    hour = readings.time_s // HOUR_S
    known = np.unique(hour[read])
    _check_gaps(readings, column, known, fill_gaps_h, notes)
    hours = np.arange(known[0], known[-1] + 1)
    series: dict[str, Any] = {
        "temperature_c": _filled(hours, *_means(hour, readings.temperature_c))
    }
    _check_jumps(readings, column, hours, series["temperature_c"])
    for name, values in extras.items():
        if values is not None:
            series[name] = _whole(hours, *_means(hour, values), fill_gaps_h)
            if series[name] is None:
                notes.append(f"{name.split('_')[0]} has gaps and was left out")
    _note_timing(readings, read, notes)
    return hours * HOUR_S, series


def _means(hour: NDArray[np.int64], values: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Return the hours that have a value, and the mean of each."""
    has = ~np.isnan(values)
    hours, place = np.unique(hour[has], return_inverse=True)
    return hours, np.bincount(place, values[has], len(hours)) / np.bincount(place, None, len(hours))


def _filled(hours: NDArray[np.int64], at: NDArray[np.int64], means: Floats) -> Floats:
    filled: Floats = np.interp(hours, at, means)
    return filled


def _whole(
    hours: NDArray[np.int64], at: NDArray[np.int64], means: Floats, fill_gaps_h: int
) -> Floats | None:
    """Return a series for all the hours, or None if it has a longer gap than may be filled."""
    inside = at[(at >= hours[0]) & (at <= hours[-1])]
    ends = np.concatenate([[hours[0] - 1], inside, [hours[-1] + 1]])
    if len(inside) == 0 or np.diff(ends).max() - 1 > fill_gaps_h:
        return None
    return _filled(hours, at, means)


def _check_gaps(
    readings: Readings,
    column: Column,
    known: NDArray[np.int64],
    fill_gaps_h: int,
    notes: list[str],
) -> None:
    """Refuse gaps that are too long, naming the first; note those that are filled."""
    missing = np.diff(known) - 1
    gaps = [((int(known[at]) + 1) * HOUR_S, int(missing[at])) for at in np.flatnonzero(missing)]
    too_long = [gap for gap in gaps if gap[1] > fill_gaps_h]
    if too_long:
        begin_s, length = too_long[0]
        more = (
            f" (the first of {len(too_long)} gaps: {_listed(too_long, readings.zone)})"
            if too_long[1:]
            else ""
        )
        longest = max(length for _, length in too_long)
        raise readings.table.error(
            readings.row_at(begin_s),
            column,
            f"{_hours(length)} from {clock_text(begin_s, readings.zone)} without a reading{more}",
            fix=_fill_or_add(longest),
        )
    if gaps:
        total = _hours(sum(length for _, length in gaps))
        notes.append(f"{total} without a reading drawn straight: {_listed(gaps, readings.zone)}")


def _fill_or_add(longest_h: int) -> str:
    """What to do about gaps; longer ones than may be filled only readings can close."""
    if longest_h > MOST_FILLED_H:
        return "Add the readings"
    option = f'"--fill-gaps {longest_h}"'
    return f"Add the readings, or draw straight lines across gaps so long with {option}"


def _listed(gaps: list[tuple[int, int]], zone: str | None) -> str:
    named = [_gap(clock_text(begin_s, zone), length) for begin_s, length in gaps[:_GAPS_NAMED]]
    return ", ".join(named) + (" ..." if len(gaps) > _GAPS_NAMED else "")


def _gap(begin: str, length: int) -> str:
    bracketed = begin.endswith(")")
    return f"{begin[:-1]}, {length} h)" if bracketed else f"{begin} ({length} h)"


def _hours(count: int) -> str:
    return f"{count} hour" if count == 1 else f"{count} hours"


def _check_jumps(
    readings: Readings, column: Column, hours: NDArray[np.int64], temperature_c: Floats
) -> None:
    jump_k = np.abs(np.diff(temperature_c))
    jumps = np.flatnonzero(jump_k > MOST_JUMP_K)
    if len(jumps):
        at = int(jumps[0]) + 1
        raise readings.table.error(
            readings.row_at(int(hours[at]) * HOUR_S),
            column,
            f"jumps by {jump_k[at - 1]:.0f} degrees Celsius in an hour",
            f"{MOST_JUMP_K:g}",
            "Look at this reading and the one before; correct it, or leave the cell empty",
        )


def _note_timing(readings: Readings, read: NDArray[np.bool_], notes: list[str]) -> None:
    """Say how readings that are not one on each hour were taken."""
    times = readings.time_s[read]
    counts = np.unique(times // HOUR_S, return_counts=True)[1]
    if counts.max() > 1:
        few = int((counts < counts.max()).sum())
        less = f"; {_hours(few)} had fewer" if few else ""
        notes.append(f"up to {counts.max()} readings an hour were averaged{less}")
    elif (times % HOUR_S).any():
        notes.append("readings off the hour stand for the hour in which they fall")
    empty = int((~read).sum())
    if empty:
        notes.append(f"rows without a temperature: {empty}")
