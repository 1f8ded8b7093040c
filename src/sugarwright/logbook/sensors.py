"""Readings of sensors, apart from what people typed, and thinned: most say what the last one said.

A reading is kept when it moved by more than the sensor's resolution from the last one kept, or
when so much time has passed since that one that silence would look like a broken sensor. So the
last one kept is never farther from any reading left out than the resolution.
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterable, Iterator
from statistics import median

from sugarwright.errors import RangeError

MOST_GAP_S = 600.0
"""Usual longest time between two readings kept of a sensor that is alive."""

QUARTER_S = 900.0
OF_A_QUARTER = 5
"""Readings at the end of a quarter hour that tell it."""

Reading = tuple[float, float]
"""When, in UTC s, and what, in SI."""


def thinned(
    readings: Iterable[Reading], last: Reading | None, resolution: float, most_gap_s: float
) -> Iterator[Reading]:
    """Yield the readings that are kept.

    Parameters
    ----------
    readings : in the order of time
    last : the one kept before them; None without one
    resolution : the step below which the sensor tells nothing, in SI
    most_gap_s : longest time between two that are kept

    >>> list(thinned([(0, 1.0), (60, 1.1), (120, 1.4), (180, 1.4), (721, 1.4)], None, 0.2, 600))
    [(0, 1.0), (120, 1.4), (721, 1.4)]
    """
    for time_s, value in readings:
        if not (math.isfinite(time_s) and math.isfinite(value)):
            raise RangeError("reading of a sensor", value, "is no number")
        if last is not None:
            moved, passed_s = abs(value - last[1]), time_s - last[0]
            if moved <= resolution and passed_s < most_gap_s:
                continue
        last = (time_s, value)
        yield last


def add(
    connection: sqlite3.Connection,
    name: str,
    readings: Iterable[Reading],
    resolution: float,
    most_gap_s: float,
) -> int:
    """Keep readings of a series, thinned; return how many. Of one instant the first one stands."""
    in_order = sorted(readings)
    if not in_order:
        return 0
    connection.execute("INSERT INTO series (name) VALUES (?) ON CONFLICT DO NOTHING", (name,))
    (series,) = connection.execute("SELECT id FROM series WHERE name = ?", (name,)).fetchone()
    last = connection.execute(
        "SELECT time_s, value FROM readings WHERE series = ? AND time_s < ? "
        "ORDER BY time_s DESC LIMIT 1",
        (series, in_order[0][0]),
    ).fetchone()
    cursor = connection.executemany(
        "INSERT INTO readings (series, time_s, value) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
        ((series, *each) for each in thinned(in_order, last, resolution, most_gap_s)),
    )
    return max(0, cursor.rowcount)


def between(
    connection: sqlite3.Connection, name: str, begin_s: float, end_s: float
) -> tuple[Reading, ...]:
    """Return the readings kept from ``begin_s`` to before ``end_s``, in the order of time."""
    rows = connection.execute(
        "SELECT time_s, value FROM readings WHERE series = (SELECT id FROM series WHERE name = ?) "
        "AND time_s >= ? AND time_s < ? ORDER BY time_s",
        (name, begin_s, end_s),
    )
    return tuple(rows.fetchall())


def by_quarters(
    connection: sqlite3.Connection, name: str, begin_s: float, end_s: float
) -> tuple[Reading, ...]:
    """Return one reading of each quarter hour that is over by ``end_s``, from that of ``begin_s``.

    Time and value are the medians of its last readings: one that is out of line does not count, and
    a quarter hour takes two look-ups however many readings it has.
    """
    found_id = connection.execute("SELECT id FROM series WHERE name = ?", (name,)).fetchone()
    if found_id is None:
        return ()
    found: list[Reading] = []
    from_s = begin_s // QUARTER_S * QUARTER_S
    while True:
        first = connection.execute(
            "SELECT time_s FROM readings WHERE series = ? AND time_s >= ? ORDER BY time_s LIMIT 1",
            (*found_id, from_s),
        ).fetchone()
        if first is None or (over_s := (first[0] // QUARTER_S + 1.0) * QUARTER_S) > end_s:
            return tuple(found)
        rows = connection.execute(
            "SELECT time_s, value FROM readings WHERE series = ? AND time_s >= ? AND time_s < ? "
            "ORDER BY time_s DESC LIMIT ?",
            (*found_id, first[0], over_s, OF_A_QUARTER),
        ).fetchall()
        times_s, values = zip(*rows, strict=True)
        found.append((median(times_s), median(values)))
        from_s = over_s


def newest(connection: sqlite3.Connection, name: str) -> Reading | None:
    """Return the last reading kept of a series; None without one."""
    found: Reading | None = connection.execute(
        "SELECT time_s, value FROM readings WHERE series = (SELECT id FROM series WHERE name = ?) "
        "ORDER BY time_s DESC LIMIT 1",
        (name,),
    ).fetchone()
    return found


def names(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Return the names of all series, in the order of the alphabet."""
    rows = connection.execute("SELECT name FROM series ORDER BY name")
    return tuple(name for (name,) in rows)
