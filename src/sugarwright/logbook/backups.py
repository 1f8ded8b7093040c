"""Copies of the logbook in ``backups/``: made by themselves, checked after writing, few kept.

One a day, at the first writing of that day (UTC), and anew after a table was taken in; the last
seven days and the last one of each of five weeks stay. One before each change of the file's form;
those stay until a person deletes them.
"""

from __future__ import annotations

import contextlib
import re
import sqlite3
import time
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from sugarwright.errors import LogbookError
from sugarwright.logbook.checking import count_entries, see_that_sound
from sugarwright.logbook.connection import LOGBOOK_FILE, plainly
from sugarwright.logbook.files import passing_file, put_in_place

BACKUPS = "backups"
DAYS, WEEKS = 7, 5
_DAILY = re.compile(r"logbook-(\d{4}-\d\d-\d\d)\.db")
_ANY = re.compile(r"logbook-(\d{4}-\d\d-\d\d)(?:-\d{6}Z-.+)?\.db")
_FORGOTTEN_S = 3600.0


@dataclass(frozen=True)
class Backup:
    """A backup that lies in the folder.

    Parameters
    ----------
    path : of the file
    day : of which it is, UTC
    made_s : when it was written, UTC s
    size_bytes : of the file
    """

    path: Path
    day: date
    made_s: float
    size_bytes: int


def list_backups(folder: str | Path) -> tuple[Backup, ...]:
    """Return the backups of a sugarhouse folder, the newest first."""
    found = []
    for path in (Path(folder) / BACKUPS).glob("logbook-*.db"):
        with contextlib.suppress(ValueError, OSError):  # another day's name, or just deleted
            if match := _ANY.fullmatch(path.name):
                facts = path.stat()
                day = date.fromisoformat(match[1])
                found.append(Backup(path, day, facts.st_mtime, facts.st_size))
    return tuple(sorted(found, key=lambda each: (each.made_s, each.day), reverse=True))


def fullest_first(folder: str | Path) -> tuple[Backup, ...]:
    """Return the backups, those with the most entries first, and of equals the newest.

    Nothing is ever deleted from a logbook: one with fewer entries was begun anew or is damaged.
    """
    found = list_backups(folder)
    return tuple(sorted(found, key=lambda each: _entries_in(each.path), reverse=True))


def way_back(folder: str | Path) -> str:
    """Say which backup would bring a missing logbook back; empty where none has an entry."""
    best = next(iter(fullest_first(folder)), None)
    held = 0 if best is None else _entries_in(best.path)
    if best is None or not held:
        return ""
    kept = f"{BACKUPS}/{best.path.name} holds {held} lines"
    return f"{kept}: `sugarwright log restore` brings them back"


def is_due(folder: Path, now_s: float) -> bool:
    """Tell whether there is no backup of the day yet."""
    return not _daily_path(folder, now_s).exists()


def back_up_daily(folder: Path, connection: sqlite3.Connection, now_s: float) -> Path:
    """Write the day's backup, and take away those too old to be kept.

    One of that day that holds more entries stays as it is.

    Raises
    ------
    LogbookError : it cannot be written, or the logbook is damaged; older backups then stay
    """
    path = _daily_path(folder, now_s)
    with plainly(folder / LOGBOOK_FILE):
        entries = count_entries(connection)
    _copy(connection, path, over=_entries_in(path) <= entries)
    fullest = fullest_first(folder)[0].path
    if _entries_in(fullest) > entries:
        problem = f"has fewer entries than its backup {fullest.name}; no backup was taken away"
        fix = "`sugarwright log restore` brings them back; if it is begun anew, move that backup"
        raise LogbookError("logbook", str(folder / LOGBOOK_FILE), problem, fix=fix)
    _take_old_away(path.parent)
    return path


def back_up_before(folder: Path, connection: sqlite3.Connection, what: str, now_s: float) -> Path:
    """Write a backup that stays: before the file's form is changed from version ``what``.

    Raises
    ------
    LogbookError : it cannot be written, or the logbook is damaged
    """
    return _copy(connection, folder / BACKUPS / f"{_stamp(now_s)}-before-change-of-{what}.db")


def back_up_now(folder: Path, connection: sqlite3.Connection, now_s: float) -> Path:
    """Write a backup because a person asked for one; it stays until a person deletes it.

    Raises
    ------
    LogbookError : it cannot be written, or the logbook is damaged
    """
    return _copy(connection, folder / BACKUPS / f"{_stamp(now_s)}-by-hand.db")


def days_to_keep(days: Iterable[date]) -> set[date]:
    """Return the days whose backups stay: the last seven, and the last one of each of five weeks.

    >>> from datetime import timedelta
    >>> days = [date(2027, 3, 31) - timedelta(days=back) for back in range(60)]
    >>> [day.day for day in sorted(days_to_keep(days))]
    [7, 14, 21, 25, 26, 27, 28, 29, 30, 31]
    """
    newest_first = sorted(set(days), reverse=True)
    weeks: dict[tuple[int, int], date] = {}
    for day in newest_first:
        weeks.setdefault(day.isocalendar()[:2], day)
    return {*newest_first[:DAYS], *list(weeks.values())[:WEEKS]}


def _copy(connection: sqlite3.Connection, path: Path, over: bool = False) -> Path:
    """Copy a logbook as it is at this moment, while others may write to it; check the copy."""
    try:
        path.parent.mkdir(exist_ok=True)
        _take_passing_away(path.parent)
        with passing_file(path.parent) as beside:
            with plainly(path), contextlib.closing(sqlite3.connect(beside)) as copy:
                connection.backup(copy)
                copy.execute("PRAGMA journal_mode = DELETE")  # one file, without companions
                see_that_sound(path, copy)
            put_in_place(beside, path, over)
    except OSError as problem:
        reason = problem.strerror or str(problem)
        fix = "The logbook itself is not touched. Look whether the disk is full"
        raise LogbookError("backup", str(path), f"cannot be made ({reason})", fix=fix) from None
    return path


def _take_old_away(folder: Path) -> None:
    dated = {
        path: date.fromisoformat(match[1])
        for path in folder.glob("logbook-*.db")
        if (match := _DAILY.fullmatch(path.name))
    }
    keep = days_to_keep(dated.values())
    for path, day in dated.items():
        if day not in keep:
            path.unlink(missing_ok=True)


def _take_passing_away(folder: Path) -> None:
    """Take away what a program that was ended left half written."""
    for path in folder.glob(".logbook-*.part*"):
        with contextlib.suppress(OSError):
            if time.time() - path.stat().st_mtime > _FORGOTTEN_S:
                path.unlink()


def _entries_in(path: Path) -> int:
    try:
        address = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        with contextlib.closing(sqlite3.connect(address, uri=True)) as connection:
            return count_entries(connection)
    except (sqlite3.Error, UnicodeDecodeError):
        return 0  # damaged or of another form: no measure


def _daily_path(folder: Path, now_s: float) -> Path:
    return folder / BACKUPS / f"logbook-{_day(now_s)}.db"


def _stamp(now_s: float) -> str:
    return datetime.fromtimestamp(now_s, UTC).strftime("logbook-%Y-%m-%d-%H%M%SZ")


def _day(now_s: float) -> date:
    return datetime.fromtimestamp(now_s, UTC).date()
