"""The logbook: what happened, kept so that nothing is lost, twice, or altered afterwards."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from sugarwright.errors import InputError, KeyTakenError, LogbookError
from sugarwright.logbook import backups, kept, schema
from sugarwright.logbook.connection import LOGBOOK_FILE, connect, damaged, plainly, writing
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.entry_rows import SELECT, check, entries_of, insert

# Of all versions of an entry the one entered last stands, unless it says that nothing does.
_STANDING = (
    "e.serial = (SELECT max(serial) FROM entries v WHERE v.family = e.family) "
    "AND e.kind <> 'withdrawn'"
)


@dataclass(frozen=True)
class Added:
    """What became of entries that were handed in.

    Parameters
    ----------
    kept : keys of those that are new
    repeated : keys of those that were there already, word for word
    """

    kept: tuple[str, ...]
    repeated: tuple[str, ...]


class Logbook:
    """``logbook.db`` of one sugarhouse folder. A context manager; of one thread.

    Whatever adds has its addition on the disk when it returns, or raises LogbookError and has
    kept nothing of it. Two programs may use the same file.
    """

    def __init__(
        self, path: Path, connection: sqlite3.Connection, clock: Callable[[], float] = time.time
    ) -> None:
        self._path = path
        self._connection = connection
        self._clock = clock
        self.backup_problem: LogbookError | None = None
        """Why the day's backup could not be made; to be told, though what was added is kept."""

    @classmethod
    def open(cls, folder: str | Path, create: bool = True) -> Self:
        """Open the logbook of a folder; one of an older version is brought up to date.

        Parameters
        ----------
        folder : of the sugarhouse
        create : make one where there is none

        Raises
        ------
        LogbookError : there is none, it is damaged, of a newer version, or cannot be read
        """
        path = Path(folder) / LOGBOOK_FILE
        if not path.exists():
            if not create:
                fix = "It is made with the first entry: `sugarwright log`"
                raise LogbookError("logbook", str(path), "is not there", fix=fix)
            schema.make_new(path)
        connection = connect(path)
        try:
            schema.bring_up_to_date(path, connection)
        except BaseException:
            connection.close()
            raise
        return cls(path, connection)

    def close(self) -> None:
        """Close the file. What was added is on the disk already."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return self._path

    def back_up(self) -> Path:
        """Write a backup now, beside the daily ones, check it, and return its file.

        Raises
        ------
        LogbookError : it cannot be written, or the logbook is damaged
        """
        return backups.back_up_now(self._path.parent, self._connection, self._clock())

    def add(self, entries: Iterable[Entry]) -> Added:
        """Keep entries, all or none of them; when this returns they are on the disk.

        An entry handed in again is known by its key and kept once. A correction names the key
        that it ``replaces``; the older version stays in :meth:`history`. Of two corrections of
        the same entry the one that came last stands.

        Raises
        ------
        KeyTakenError : a key is there with different content
        InputError : an entry replaces one that is not there, or holds what cannot be written
        LogbookError : the file cannot be written
        """
        new = list(entries)
        for entry in new:
            check(entry)
        new_keys: list[str] = []
        repeated: list[str] = []
        with self._writing():
            for entry in new:
                is_new = insert(self._connection, entry, self._family(entry))
                if not is_new:
                    self._see_that_same(entry)
                (new_keys if is_new else repeated).append(entry.key)
        return Added(tuple(new_keys), tuple(repeated))

    def entries(
        self,
        begin_s: float | None = None,
        end_s: float | None = None,
        kinds: Sequence[str] | None = None,
        places: Sequence[str] | None = None,
    ) -> tuple[Entry, ...]:
        """Return the entries that stand, in the order of ``at_s``, then of entering.

        Parameters
        ----------
        begin_s, end_s : ``at_s`` from begin to before end, UTC s; None: without that bound
        kinds, places : of the entry; None: all. A transfer has two places
        """
        conditions = [_STANDING]
        values: list[Any] = []
        for condition, value in (("e.at_s >= ?", begin_s), ("e.at_s < ?", end_s)):
            if value is not None:
                conditions.append(condition)
                values.append(value)
        if kinds is not None:
            conditions.append(f"e.kind IN ({_marks(kinds)})")
            values += kinds
        if places is not None:
            marks = _marks(places)
            conditions.append(f"(e.place IN ({marks}) OR e.to_place IN ({marks}))")
            values += [*places, *places]
        where = " AND ".join(conditions)
        return self._read(f"WHERE {where} ORDER BY e.at_s, e.serial, m.position", values)

    def history(self, key: str) -> tuple[Entry, ...]:
        """Return all versions of an entry, the oldest first; ``key`` may be that of any."""
        family = "e.family = (SELECT family FROM entries WHERE key = ?)"
        return self._read(f"WHERE {family} ORDER BY e.serial, m.position", [key])

    def newest(self, count: int) -> tuple[Entry, ...]:
        """Return the entries entered last, the newest first, whether they stand or not."""
        last = "e.serial IN (SELECT serial FROM entries ORDER BY serial DESC LIMIT ?)"
        return self._read(f"WHERE {last} ORDER BY e.serial DESC, m.position", [max(0, count)])

    def keep_house(self, text: str, now_s: float) -> bool:
        """Keep the description of the house unless it is as before; tell whether it was new."""
        with self._writing():
            return kept.keep_house(self._connection, text, now_s)

    def house_at(self, time_s: float) -> str | None:
        """Return the description as it was then; before the first one kept, the first."""
        with self._reading():
            return kept.house_at(self._connection, time_s)

    def keep_knowledge(self, name: str, document: dict[str, Any], now_s: float) -> None:
        """Keep what was learnt of something ("trees") as its newest version."""
        with self._writing():
            kept.keep_knowledge(self._connection, name, document, now_s)

    def knowledge(self, name: str) -> dict[str, Any] | None:
        """Return what was learnt of something, the newest version that stands; None without."""
        with self._reading():
            return kept.newest_knowledge(self._connection, name)

    def knowledge_versions(self, name: str) -> tuple[kept.Version, ...]:
        """Return all that was ever learnt of something, the oldest first."""
        with self._reading():
            return kept.versions(self._connection, name)

    def undo_knowledge(self, name: str, now_s: float) -> None:
        """Take back the newest version; it stays among :meth:`knowledge_versions`.

        Raises
        ------
        InputError : there is none
        """
        with self._writing():
            kept.undo_knowledge(self._connection, name, now_s)

    def keep_state(self, name: str, time_s: float, content: bytes, made_s: float) -> None:
        """Keep a state of the twin, which the entries can make again: the newest hundred stay."""
        with self._writing():
            kept.keep_state(self._connection, name, time_s, content, made_s)

    def state(self, name: str, before_s: float | None = None) -> tuple[float, bytes] | None:
        """Return the newest state kept, of those before an instant: its time_s and content."""
        with self._reading():
            return kept.newest_state(self._connection, name, before_s)

    def _read(self, where: str, values: Sequence[Any]) -> tuple[Entry, ...]:
        with self._reading():
            rows = self._connection.execute(f"{SELECT} {where}", values).fetchall()
            return tuple(entries_of(rows))

    def _family(self, entry: Entry) -> str:
        if entry.replaces is None:
            return entry.key
        found = self._connection.execute(
            "SELECT family FROM entries WHERE key = ?", (entry.replaces,)
        ).fetchone()
        if found is None:
            raise InputError("replaces", entry.replaces, "is the key of no entry in the logbook")
        return str(found[0])

    def _see_that_same(self, entry: Entry) -> None:
        """Raise KeyTakenError unless the entry of that key says the same, word for word."""
        (there,) = self._read("WHERE e.key = ? ORDER BY m.position", [entry.key])
        if there != entry:
            problem = "is the key of another entry that says something else"
            fix = "Nothing was kept. Give the new entry a key of its own, or correct the older one"
            raise KeyTakenError("key", entry.key, problem, fix=fix)

    @contextmanager
    def _reading(self) -> Iterator[None]:
        """Read; what SQLite gives back but cannot be is damage as well."""
        try:
            with plainly(self._path):
                yield
        except LogbookError:
            raise
        except (InputError, ValueError, TypeError) as problem:
            raise damaged(self._path, f"something in it cannot be read ({problem})") from None

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with plainly(self._path), writing(self._connection):
            yield
        self._back_up_if_due()

    def _back_up_if_due(self) -> None:
        """Make the day's backup. What was written is safe already, so its failing is no error."""
        now_s = self._clock()
        if self.backup_problem is None and backups.is_due(self._path.parent, now_s):
            try:
                backups.back_up_daily(self._path.parent, self._connection, now_s)
            except LogbookError as problem:
                self.backup_problem = problem


def _marks(values: Sequence[str]) -> str:
    return ", ".join("?" * len(values))
