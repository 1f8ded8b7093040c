"""Whether a logbook file is sound, in sentences."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sugarwright.errors import LogbookError
from sugarwright.logbook.connection import LOGBOOK_FILE, UNREADABLE, connect, damaged, plainly
from sugarwright.logbook.version import version_of

_MOST_TOLD = 5


@dataclass(frozen=True)
class Soundness:
    """What was found in a logbook.

    Parameters
    ----------
    file : looked at
    version : of its form
    entries : lines in it, corrections and what they replace among them
    problems : what is wrong, a sentence each; none when it is sound
    """

    file: str
    version: str
    entries: int
    problems: tuple[str, ...]


def check_logbook(folder: str | Path) -> Soundness:
    """Read a folder's logbook from end to end and look for damage; nothing is altered.

    Raises
    ------
    LogbookError : there is none, or it is so damaged that it cannot be opened
    """
    path = Path(folder) / LOGBOOK_FILE
    if not path.exists():
        fix = "`sugarwright log restore` brings back a backup, where there is one"
        raise LogbookError("logbook", str(path), "is not there", fix=fix)
    with contextlib.closing(connect(path)) as connection:
        version = version_of(path, connection)
        problems = tuple(damage(connection))
        with contextlib.suppress(*UNREADABLE):
            return Soundness(str(path), version, count_entries(connection), problems)
        return Soundness(str(path), version, 0, problems)


def damage(connection: sqlite3.Connection) -> Iterator[str]:
    """Yield what is wrong with a file; nothing when every page and every link is sound."""
    try:
        for (text,) in connection.execute(f"PRAGMA integrity_check({_MOST_TOLD})"):
            if text != "ok":
                yield str(text)
        for table, line, other, _ in connection.execute("PRAGMA foreign_key_check"):
            yield f"line {line} of {table} belongs to a line of {other} that is not there"
    except UNREADABLE as problem:
        yield str(problem)


def count_entries(connection: sqlite3.Connection) -> int:
    """Return how many entries a file holds, replaced ones among them."""
    return int(connection.execute("SELECT count(*) FROM entries").fetchone()[0])


def see_that_sound(path: Path, connection: sqlite3.Connection) -> None:
    """Raise LogbookError when anything is wrong with a file."""
    with plainly(path):
        problems = list(damage(connection))
    if problems:
        raise damaged(path, "; ".join(problems[:_MOST_TOLD]))
