"""What sensors send, taken into the logbook: each reading judged alone, none of them twice."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sugarwright.errors import InputError, RangeError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.sensor_register import Sensor

MOST_READINGS = 10_000
MOST_BYTES = 1_000_000
AHEAD_S = 300.0
"""How far a sensor's clock may go before ours."""
OLDEST_S = 400 * 86400.0
_SHOWN_REFUSALS = 20


@dataclass(frozen=True)
class Refused:
    """A reading that was not taken.

    Parameters
    ----------
    number : its place in what was sent, from 0
    why : in words
    """

    number: int
    why: str


@dataclass(frozen=True)
class SensorAnswer:
    """What became of readings that were sent.

    Parameters
    ----------
    series : of the sensor
    sent : how many came
    kept : how many are new lines of the logbook
    said_before : how many say what is there already, or what the one before said
    refused : those that were not taken; the first twenty
    refused_count : how many were not taken
    """

    series: str
    sent: int
    kept: int
    said_before: int
    refused: tuple[Refused, ...]
    refused_count: int


def readings_in(payload: bytes) -> list[Any]:
    """Return what a payload holds, as a list: a bare number, one reading or a list of them.

    Raises
    ------
    InputError : it is too long, no JSON, or holds too many
    """
    if len(payload) > MOST_BYTES:
        raise InputError("message", None, "is too long", f"up to {MOST_BYTES} bytes")
    try:
        found = json.loads(payload)
    except (ValueError, RecursionError):
        allowed = '4.2, {"value": 4.2, "unit": "in", "at": "2027-03-09T06:10:00Z"}, or a list'
        raise InputError("message", None, "is no JSON", allowed) from None
    rows = found if isinstance(found, list) else [found]
    if len(rows) > MOST_READINGS:
        raise InputError("message", len(rows), "are too many at once", f"up to {MOST_READINGS}")
    return rows


def take_in(book: Logbook, sensor: Sensor, rows: Sequence[Any], now_s: float) -> SensorAnswer:
    """Keep what can be kept of some readings; when this returns it is on the disk.

    Parameters
    ----------
    book : the house's
    sensor : that sent them
    rows : bare numbers, or {value, unit, at}; without ``at`` it is so now
    now_s : UTC s
    """
    good: list[tuple[float, float]] = []
    refused: list[Refused] = []
    for number, row in enumerate(rows):
        try:
            good.append(_reading(sensor, row, now_s))
        except InputError as problem:
            refused.append(Refused(number, str(problem)))
    kept = book.add_sensor(sensor.series, good, sensor.resolution) if good else 0
    shown = tuple(refused[:_SHOWN_REFUSALS])
    return SensorAnswer(
        sensor.series, len(rows), kept, len(good) - kept, shown, len(refused)
    )  # fmt: skip


def _reading(sensor: Sensor, row: Any, now_s: float) -> tuple[float, float]:
    if not isinstance(row, dict):
        row = {"value": row}
    if unknown := set(row) - {"value", "unit", "at"}:
        raise InputError(sorted(unknown)[0], None, "is not known", "value, unit, at")
    value, unit = row.get("value"), row.get("unit", "")
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError("value", value, "is no number")
    if not isinstance(unit, str):
        raise InputError("unit", unit, "is no text")
    try:
        number = float(value)
    except OverflowError:
        raise RangeError("value", str(value), "is too great") from None
    return _instant(row.get("at"), now_s), sensor.in_si(number, unit)


def _instant(at: Any, now_s: float) -> float:
    """Return UTC s of seconds, or of a text that states its zone."""
    if at is None:
        return now_s
    time_s = _seconds(at)
    if not now_s - OLDEST_S <= time_s <= now_s + AHEAD_S:
        allowed = "from 400 days ago up to 5 minutes from now"
        fix = "Look at the sensor's clock"
        raise RangeError("at", at, "is too old or still to come", allowed, fix)
    return time_s


def _seconds(at: Any) -> float:
    problem = InputError("at", at, "is no instant", 'UTC seconds, or "2027-03-09T06:10:00Z"')
    if isinstance(at, int | float) and not isinstance(at, bool):
        try:
            return float(at)
        except OverflowError:
            raise problem from None
    if not isinstance(at, str):
        raise problem
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        raise problem from None
    if moment.tzinfo is None:
        raise InputError("at", at, "states no time zone", 'with "Z" at its end for UTC')
    return moment.timestamp()
