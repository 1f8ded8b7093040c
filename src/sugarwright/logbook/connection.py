"""One way to the file: how it is opened, how it is written, and its troubles in plain words."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from sugarwright.errors import LogbookError

LOGBOOK_FILE = "logbook.db"
PATIENCE_S = 10.0
"""How long somebody else's writing is waited for."""

UNREADABLE = (sqlite3.DatabaseError, UnicodeDecodeError)
"""What a damaged file raises: the second where SQLite's own words would quote what is damaged."""

RESTORE = "`sugarwright log restore` puts a good backup in place and keeps this file aside"
_NOT_KEPT = "Nothing of this was kept, and nothing kept before is lost"
_LOCKED = ("is being written by another program", f"{_NOT_KEPT}: try again in a moment")
_SHUT = (
    "cannot be opened for writing",
    f"{_NOT_KEPT}. Look whether file and folder may be written to, or are on a full or locked card",
)
_DAMAGED = ("is damaged", f"What can still be read is not lost: {RESTORE}")
_TROUBLES: dict[int, tuple[str, str]] = {
    sqlite3.SQLITE_BUSY: _LOCKED,
    sqlite3.SQLITE_LOCKED: _LOCKED,
    sqlite3.SQLITE_FULL: ("cannot grow: the disk is full", f"{_NOT_KEPT}. Make room and try again"),
    sqlite3.SQLITE_IOERR: (
        "cannot be read or written: the disk does not do it",
        f"{_NOT_KEPT}. Look whether the disk is full or failing, then try again",
    ),
    sqlite3.SQLITE_READONLY: _SHUT,
    sqlite3.SQLITE_CANTOPEN: _SHUT,
    sqlite3.SQLITE_PERM: _SHUT,
    sqlite3.SQLITE_NOTADB: ("is no logbook, or its beginning is damaged", RESTORE),
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
}
_EACH_CONNECTION = (
    "PRAGMA foreign_keys = ON",
    "PRAGMA recursive_triggers = ON",  # so that REPLACE meets the triggers that refuse deletion
    "PRAGMA synchronous = FULL",  # a commit that returned is on the disk
    "PRAGMA fullfsync = ON",  # also where macOS would leave it in the drive's cache
    "PRAGMA trusted_schema = OFF",
    "PRAGMA cell_size_check = ON",
)


def connect(path: Path) -> sqlite3.Connection:
    """Return a connection to a file that is there, with the settings that every one has.

    Where the file cannot be written it is opened for reading.

    Raises
    ------
    LogbookError : it cannot be opened, or is no database
    """
    with plainly(path):
        try:
            return _set_up(_opened(path, "mode=rw"), wal=True)
        except sqlite3.OperationalError as problem:
            if _code(problem) not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY):
                raise
        return _set_up(_opened(path, _read_only(path)), wal=False)


def _opened(path: Path, how: str) -> sqlite3.Connection:
    address = f"{path.absolute().as_uri()}?{how}"
    return sqlite3.connect(address, PATIENCE_S, isolation_level=None, uri=True)


def _set_up(connection: sqlite3.Connection, wal: bool) -> sqlite3.Connection:
    try:
        for text in _EACH_CONNECTION:
            connection.execute(text)
        if wal:
            connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()  # opens it in earnest
    except BaseException:
        connection.close()
        raise
    return connection


def _read_only(path: Path) -> str:
    """Say how to read where nothing can be written: without a lock only if nothing is pending."""
    pending = path.with_name(f"{path.name}-wal")
    with contextlib.suppress(OSError):
        if pending.stat().st_size:
            return "mode=ro"
    return "mode=ro&immutable=1"


@contextlib.contextmanager
def writing(connection: sqlite3.Connection) -> Iterator[None]:
    """Do all of what is inside, on the disk when this returns, or nothing of it."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


@contextlib.contextmanager
def unwaiting(connection: sqlite3.Connection) -> Iterator[None]:
    """Do what is inside without waiting for somebody else's writing."""
    connection.execute("PRAGMA busy_timeout = 0")
    try:
        yield
    finally:
        connection.execute(f"PRAGMA busy_timeout = {round(PATIENCE_S * 1000)}")


@contextlib.contextmanager
def plainly(path: Path) -> Iterator[None]:
    """Tell what SQLite says of a file in plain words, with what is safe and the way back."""
    try:
        yield
    except sqlite3.Error as problem:
        unknown = (f"cannot be used ({problem})", RESTORE)
        what, fix = _TROUBLES.get(_code(problem), unknown)
        raise LogbookError("logbook", str(path), what, fix=fix) from None
    except UnicodeDecodeError:
        raise LogbookError("logbook", str(path), _DAMAGED[0], fix=_DAMAGED[1]) from None


def _code(problem: sqlite3.Error) -> int:
    """Return the first of SQLite's two codes; 0 when the trouble is Python's own."""
    code: int = getattr(problem, "sqlite_errorcode", 0) or 0
    return code & 0xFF


def damaged(path: Path, what: str) -> LogbookError:
    """Return the error for content that SQLite gives back but that cannot be."""
    return LogbookError("logbook", str(path), f"is damaged: {what}", fix=_DAMAGED[1])
