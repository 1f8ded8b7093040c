"""The way back: a good backup is put in place, with what the damaged file still gives.

First the file is copied aside as it is. Then the backup is filled up beside it with everything that
can still be read of it, and checked. Only then does it take the file's place, at once.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sugarwright.errors import LogbookError
from sugarwright.logbook import schema
from sugarwright.logbook.backups import fullest_first
from sugarwright.logbook.checking import count_entries, see_that_sound
from sugarwright.logbook.connection import LOGBOOK_FILE, UNREADABLE, connect, plainly
from sugarwright.logbook.files import COMPANIONS, passing_file, sync_folder
from sugarwright.logbook.salvage import Salvaged, salvage
from sugarwright.logbook.version import VERSION, version_of

SET_ASIDE = "set-aside"


@dataclass(frozen=True)
class Restored:
    """What was done.

    Parameters
    ----------
    backup : the one that was put in place
    aside : folder in which the former file lies with its companions; None when there was none
    salvaged : entries that were in the former file only, and are in the logbook again
    unread : later entries of the former file that could not be read; None: it does not tell
    entries : lines that the logbook has now
    """

    backup: Path
    aside: Path | None
    salvaged: int
    unread: int | None
    entries: int


def restore(folder: str | Path, backup: str | Path | None = None) -> Restored:
    """Put a backup in the place of the logbook, and keep what the former file still gives.

    Parameters
    ----------
    folder : of the sugarhouse
    backup : a file that ``list_backups`` names; left out: of the sound ones the one with the most
        entries, of equals the newest

    Raises
    ------
    LogbookError : there is no sound backup, another program is writing, or the disk is full; the
        logbook is then as it was
    """
    path = Path(folder) / LOGBOOK_FILE
    try:
        with _nobody_writing(path):
            aside = _copied_aside(path)
            chosen = _sound_backup(path, backup)
            with passing_file(path.parent) as beside:
                shutil.copyfile(chosen, beside)
                found, lines = _filled_up(beside, aside)
                _put_in_its_place(beside, path)
    except OSError as problem:
        reason = problem.strerror or str(problem)
        fix = "The logbook is as it was. Look whether the disk is full"
        raise LogbookError("logbook", str(path), f"not restored ({reason})", fix=fix) from None
    return Restored(chosen, aside, found.entries, found.unread, lines)


@contextlib.contextmanager
def _nobody_writing(path: Path) -> Iterator[None]:
    """Keep others from writing, as far as the file lets that be."""
    held = None
    if path.exists():
        try:
            held = connect(path)
            held.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as problem:
            if problem.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY:
                with plainly(path):
                    raise
        except (LogbookError, *UNREADABLE):
            pass  # too damaged to be locked: nobody else can write to it either
    try:
        yield
    finally:
        if held is not None:
            with contextlib.suppress(sqlite3.Error):
                held.close()


def _copied_aside(path: Path) -> Path | None:
    if not path.exists():
        return None
    stamp = datetime.fromtimestamp(time.time(), UTC).strftime("%Y-%m-%d-%H%M%SZ")
    (path.parent / SET_ASIDE).mkdir(exist_ok=True)
    aside = Path(tempfile.mkdtemp(prefix=f"{stamp}-", dir=path.parent / SET_ASIDE))
    for ending in COMPANIONS:
        source = Path(f"{path}{ending}")
        if source.exists():
            with source.open("rb") as there, (aside / source.name).open("wb") as copy:
                shutil.copyfileobj(there, copy)
                copy.flush()
                os.fsync(copy.fileno())
    sync_folder(aside)
    return aside


def _sound_backup(path: Path, wanted: str | Path | None) -> Path:
    """Return the backup wanted if it is sound, or the fullest sound one, of equals the newest."""
    if wanted is not None:
        _check(Path(wanted))
        return Path(wanted)
    for each in fullest_first(path.parent):
        with contextlib.suppress(LogbookError):
            _check(each.path)
            return each.path
    problem = "cannot be restored: there is no backup that can be read"
    fix = f"The file stays as it is, with a copy in {SET_ASIDE}"
    raise LogbookError("logbook", str(path), problem, fix=fix)


def _check(path: Path) -> None:
    if not path.exists():
        raise LogbookError("backup", str(path), "is not there")
    with (
        plainly(path),
        contextlib.closing(_reading(path, "mode=ro&immutable=1")) as connection,
    ):
        version_of(path, connection)
        see_that_sound(path, connection)


def _filled_up(beside: Path, aside: Path | None) -> tuple[Salvaged, int]:
    """Bring the copy of a backup to today's form and add what the former file still gives.

    Returns what was added, and how many lines there are then.
    """
    with plainly(beside), contextlib.closing(connect(beside)) as copy:
        if version_of(beside, copy) < VERSION:
            schema.migrate(beside)
        found = Salvaged(0, 0)
        if aside is not None:
            with contextlib.closing(_reading(aside / LOGBOOK_FILE, "mode=ro")) as former:
                found = salvage(former, copy)
        see_that_sound(beside, copy)
        lines = count_entries(copy)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, without companions
    return found, lines


def _put_in_its_place(beside: Path, path: Path) -> None:
    with beside.open("rb+") as file:
        os.fsync(file.fileno())
    for ending in COMPANIONS[1:]:  # they belong to the former file and would spoil this one
        Path(f"{path}{ending}").unlink(missing_ok=True)
    beside.replace(path)
    sync_folder(path.parent)


def _reading(path: Path, how: str) -> sqlite3.Connection:
    address = f"{path.absolute().as_uri()}?{how}"
    return sqlite3.connect(address, uri=True, isolation_level=None)
