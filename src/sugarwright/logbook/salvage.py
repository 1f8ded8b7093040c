"""What a damaged logbook still gives, line by line."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sugarwright.errors import InputError
from sugarwright.logbook.connection import UNREADABLE, writing
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.entry_rows import SELECT, entries_of, insert

_BESIDE = {
    "houses": "serial",
    "knowledge": "serial",
    "forecasts": "serial",
    "observed": "time_s",
    "plans": "serial",
    "states": "rowid",
    "taken_in": "rowid",
    "series": "id",
    "readings": "series, time_s",
}
"""Tables beside the entries, and the order in which their lines lie."""

_GUESSED = 10_000
"""How many entries are looked for behind the backup's where the file does not tell how many."""


_LEAST_BYTES = 32
"""Of an entry in the file: a serial for which the file is too small was spoilt itself."""


@dataclass(frozen=True)
class Salvaged:
    """How many entries were brought over, and how many later ones could not be read.

    ``unread`` is None where the file does not tell how many there were.
    """

    entries: int
    unread: int | None


def salvage(former: sqlite3.Connection, copy: sqlite3.Connection) -> Salvaged:
    """Bring over everything readable of a damaged file that a sound copy of it does not hold."""
    if not _is_database(former):
        return Salvaged(0, None)
    brought = unread = 0
    with writing(copy):
        known = {key for (key,) in copy.execute("SELECT key FROM entries")}
        there = copy.execute("SELECT coalesce(max(serial), 0) FROM entries").fetchone()[0]
        last = _last_serial(former)
        for serial in range(1, (there + _GUESSED if last is None else last) + 1):
            try:
                entry = _entry(former, serial)
            except (sqlite3.DatabaseError, InputError, ValueError, TypeError):
                unread += serial > there  # what is in the copy is not missed
                continue
            if entry is not None and entry.key not in known:
                is_in = _insert(copy, entry)
                brought += is_in
                unread += not is_in
                known.add(entry.key)
    for table, order in _BESIDE.items():
        _bring_lines(former, copy, table, order)
    return Salvaged(brought, None if last is None else unread)


def _is_database(former: sqlite3.Connection) -> bool:
    with contextlib.suppress(*UNREADABLE):
        return former.execute("SELECT count(*) FROM sqlite_master").fetchone() is not None
    return False


def _last_serial(former: sqlite3.Connection) -> int | None:
    """Return the serial of the last entry, from whatever place still tells it; None if none.

    What was spoilt may tell of thousands of millions: nobody waits until they have been looked for.
    """
    most = _size_bytes(former) // _LEAST_BYTES
    for asked in (
        "SELECT max(serial) FROM entries",
        "SELECT seq FROM sqlite_sequence WHERE name = 'entries'",
        "SELECT max(entry) FROM measures",
    ):
        with contextlib.suppress(*UNREADABLE):
            found = former.execute(asked).fetchone()
            if found is not None and isinstance(found[0], int) and found[0] <= most:
                return found[0]
    return None


def _size_bytes(former: sqlite3.Connection) -> int:
    """Size of the file and of what waits beside it to be written there."""
    path = former.execute("PRAGMA database_list").fetchone()[2]
    beside = Path(f"{path}-wal")
    return Path(path).stat().st_size + (beside.stat().st_size if beside.exists() else 0)


def _entry(former: sqlite3.Connection, serial: int) -> Entry | None:
    rows = former.execute(f"{SELECT} WHERE e.serial = ? ORDER BY m.position", (serial,)).fetchall()
    return next(entries_of(rows), None)


def _insert(copy: sqlite3.Connection, entry: Entry) -> bool:
    """Add an entry; one that corrects an entry that nobody has any more cannot be added."""
    family = entry.key
    if entry.replaces is not None:
        asked = "SELECT family FROM entries WHERE key = ?"
        found = copy.execute(asked, (entry.replaces,)).fetchone()
        if found is None:
            return False
        family = found[0]
    return insert(copy, entry, family)


def _bring_lines(
    former: sqlite3.Connection, copy: sqlite3.Connection, table: str, order: str
) -> None:
    """Bring over the lines of a table from both its ends, up to where they cannot be read."""
    columns = [name for _, name, *_ in copy.execute(f"PRAGMA table_info({table})")]
    listed, marks = ", ".join(columns), ", ".join("?" * len(columns))
    for way in ("DESC", "ASC"):
        ordered = ", ".join(f"{each} {way}" for each in order.split(", "))
        with writing(copy):
            for row in _readable(former, f"SELECT {listed} FROM {table} ORDER BY {ordered}"):
                with contextlib.suppress(sqlite3.IntegrityError):
                    into = f"INSERT INTO {table} ({listed}) VALUES ({marks}) ON CONFLICT DO NOTHING"
                    copy.execute(into, row)


def _readable(former: sqlite3.Connection, asked: str) -> Iterator[tuple[object, ...]]:
    with contextlib.suppress(*UNREADABLE):
        yield from former.execute(asked)
