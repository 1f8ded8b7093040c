"""The logbook: what happened, kept so that nothing is lost, twice, or altered afterwards."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from sugarwright.errors import InputError, KeyTakenError, LogbookError
from sugarwright.logbook import kept, schema, sensors
from sugarwright.logbook.backups import back_up_now, is_due, way_back
from sugarwright.logbook.connection import LOGBOOK_FILE, connect, unwaiting
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.entry_rows import SELECT, check, entries_of, insert
from sugarwright.logbook.open_file import OpenFile, noting
from sugarwright.logbook.plans import PlanBook
from sugarwright.logbook.seen_files import TREES_FILE, problems_of_files
from sugarwright.logbook.taking_in import take_in

if TYPE_CHECKING:
    from sugarwright.logbook.forecasts import WeatherBook

# Of all versions of an entry the one entered last stands, unless it says that nothing does.
_STANDING = (
    "e.serial = (SELECT max(serial) FROM entries v WHERE v.family = e.family) "
    "AND e.kind <> 'withdrawn'"
)


Mark = tuple[int | float, ...]
_MARK = """
SELECT (SELECT coalesce(max(serial), 0) FROM entries),
       (SELECT coalesce(max(serial), 0) FROM plans),
       (SELECT coalesce(max(serial), 0) FROM knowledge),
       (SELECT coalesce(max(serial), 0) FROM forecasts),
       (SELECT coalesce(max(serial), 0) FROM houses),
       (SELECT coalesce(max(time_s), 0) FROM observed),
       (SELECT coalesce(max(time_s), 0) FROM (
           SELECT max(time_s) AS time_s FROM readings GROUP BY series))
"""


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

    def __init__(self, file: OpenFile) -> None:
        self._file = file

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
        lost = "" if path.exists() else way_back(folder)
        if not path.exists():
            if not create:
                fix = lost or "It is made with the first entry: `sugarwright log`"
                raise LogbookError("logbook", str(path), "is not there", fix=fix)
            schema.make_new(path)
        connection = connect(path)
        try:
            schema.bring_up_to_date(path, connection)
            file = OpenFile(path, connection)
            if lost and not is_due(path.parent, file.clock()):  # else the day's backup tells
                file.troubles.append(f"{path.name} was not there and was begun anew. {lost}, too.")
            with noting(file):
                take_in(file)
                file.troubles += problems_of_files(connection, (TREES_FILE,))
        except BaseException:
            connection.close()
            raise
        return cls(file)

    @classmethod
    def of_files(cls, folder: str | Path) -> Self:
        """Return a logbook in memory of what a folder holds in files; nothing can be added to it.

        For a folder that has none yet and from which is only read.
        """
        connection = sqlite3.connect(":memory:", isolation_level=None)
        file = OpenFile(Path(folder) / LOGBOOK_FILE, connection, backed_up=False)
        schema.fill(file.path, connection)
        take_in(file)
        connection.execute("PRAGMA query_only = ON")
        return cls(file)

    def close(self) -> None:
        """Close the file. What was added is on the disk already."""
        self._file.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return self._file.path

    @property
    def troubles(self) -> tuple[str, ...]:
        """What went wrong beside what was asked, such as the day's backup: to be told."""
        return tuple(self._file.troubles)

    @cached_property
    def weather(self) -> WeatherBook:
        """Kept weather: forecasts as they were issued, and the hours that came."""
        from sugarwright.logbook.forecasts import WeatherBook  # needs NumPy

        return WeatherBook(self._file)

    @cached_property
    def plans(self) -> PlanBook:
        """Plans as issued."""
        return PlanBook(self._file)

    def mark(self) -> Mark:
        """Return numbers that change when anything is added but states, which can be made again."""
        with self._file.reading() as connection:
            return tuple(connection.execute(_MARK).fetchone())

    def back_up(self) -> Path:
        """Write a backup now, beside the daily ones, check it, and return its file.

        Raises
        ------
        LogbookError : it cannot be written, or the logbook is damaged
        """
        return back_up_now(self._file.folder, self._file.connection, self._file.clock())

    def renew_backup(self) -> None:
        """Write the day's backup anew, after much was added at once; a failing is a trouble."""
        self._file.back_up(again=True)

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
        with self._file.writing() as connection:
            for entry in new:
                is_new = insert(connection, entry, self._family(entry))
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
        with self._file.writing() as connection:
            return kept.keep_house(connection, text, now_s)

    def house_at(self, time_s: float) -> str | None:
        """Return the description as it was then; before the first one kept, the first."""
        with self._file.reading() as connection:
            return kept.house_at(connection, time_s)

    def keep_knowledge(self, name: str, document: dict[str, Any], now_s: float) -> None:
        """Keep what was learnt of something ("trees") as its newest version."""
        with self._file.writing() as connection:
            kept.keep_knowledge(connection, name, document, now_s)

    def knowledge(self, name: str) -> dict[str, Any] | None:
        """Return what was learnt of something, the newest version that stands; None without."""
        with self._file.reading() as connection:
            return kept.newest_knowledge(connection, name)

    def knowledge_versions(self, name: str) -> tuple[kept.Version, ...]:
        """Return all that was ever learnt of something, the oldest first."""
        with self._file.reading() as connection:
            return kept.versions(connection, name)

    def undo_knowledge(self, name: str, now_s: float) -> None:
        """Take back the newest version; it stays among :meth:`knowledge_versions`.

        Raises
        ------
        InputError : there is none
        """
        with self._file.writing() as connection:
            kept.undo_knowledge(connection, name, now_s)

    def keep_state(self, name: str, time_s: float, content: bytes, made_s: float) -> None:
        """Keep a state of the twin, which the entries can make again: the newest hundred stay.

        Raises
        ------
        LogbookError : it cannot be written, or another program is writing: that is not waited for
        """
        with unwaiting(self._file.connection), self._file.writing() as connection:
            kept.keep_state(connection, name, time_s, content, made_s)

    def state(self, name: str, before_s: float | None = None) -> tuple[float, bytes] | None:
        """Return the newest state kept, of those before an instant: its time_s and content."""
        with self._file.reading() as connection:
            return kept.newest_state(connection, name, before_s)

    def add_sensor(
        self,
        series: str,
        readings: Iterable[sensors.Reading],
        resolution: float = 0.0,
        most_gap_s: float = sensors.MOST_GAP_S,
    ) -> int:
        """Keep readings of a sensor, thinned (see :mod:`sugarwright.logbook.sensors`).

        Parameters
        ----------
        series : name of what is measured, such as "sap level"
        readings : (UTC s, value in SI); in any order
        resolution : a step of the value below which nothing is told, in SI
        most_gap_s : after so long one is kept although nothing moved

        Returns
        -------
        How many were kept
        """
        with self._file.writing() as connection:
            return sensors.add(connection, series, readings, resolution, most_gap_s)

    def sensor(self, series: str, begin_s: float, end_s: float) -> tuple[sensors.Reading, ...]:
        """Return the readings kept from begin to before end, in the order of time."""
        with self._file.reading() as connection:
            return sensors.between(connection, series, begin_s, end_s)

    def sensor_levels(
        self, series: str, begin_s: float, end_s: float
    ) -> tuple[sensors.Reading, ...]:
        """Return one reading of each quarter hour of a sensor that is over by the end."""
        with self._file.reading() as connection:
            return sensors.by_quarters(connection, series, begin_s, end_s)

    def newest_sensor(self, series: str) -> sensors.Reading | None:
        """Return the last reading kept of a sensor; None without one."""
        with self._file.reading() as connection:
            return sensors.newest(connection, series)

    def sensor_names(self) -> tuple[str, ...]:
        """Return the names of all series of sensors."""
        with self._file.reading() as connection:
            return sensors.names(connection)

    def _read(self, where: str, values: Sequence[Any]) -> tuple[Entry, ...]:
        with self._file.reading() as connection:
            rows = connection.execute(f"{SELECT} {where}", values).fetchall()
            return tuple(entries_of(rows))

    def _family(self, entry: Entry) -> str:
        if entry.replaces is None:
            return entry.key
        found = self._file.connection.execute(
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


def _marks(values: Sequence[str]) -> str:
    return ", ".join("?" * len(values))
