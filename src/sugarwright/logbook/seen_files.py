"""Which files of the folder the logbook has seen, and what was wrong with one of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable

FORECASTS, PLANS, OBSERVED, TREES_FILE = "forecasts", "plans", "observed.csv", "trees.toml"
_SEEN = (
    "INSERT INTO taken_in (name, size_bytes, changed_ns, taken_s, problem) VALUES (?, ?, ?, ?, ?) "
    "ON CONFLICT (name) DO UPDATE SET size_bytes = excluded.size_bytes, "
    "changed_ns = excluded.changed_ns, taken_s = excluded.taken_s, problem = excluded.problem"
)


def facts_seen(connection: sqlite3.Connection) -> dict[str, tuple[int, int]]:
    """Return size and last change of each file as it was when it was seen, by its name."""
    rows = connection.execute("SELECT name, size_bytes, changed_ns FROM taken_in")
    return {name: (size_bytes, changed_ns) for name, size_bytes, changed_ns in rows}


def note_seen(
    connection: sqlite3.Connection, name: str, facts: tuple[int, int], now_s: float, problem: str
) -> None:
    """Note that a file was seen as it is, and what is wrong with it (or an empty text)."""
    connection.execute(_SEEN, (name, *facts, now_s, problem))


def problems_of_files(connection: sqlite3.Connection, beginnings: Iterable[str]) -> list[str]:
    """Return what is wrong with the files whose names begin so, a sentence each."""
    asked = "SELECT problem FROM taken_in WHERE problem <> '' AND name LIKE ? ORDER BY name"
    rows = [row for each in beginnings for row in connection.execute(asked, (f"{each}%",))]
    return [str(problem) for (problem,) in rows]
