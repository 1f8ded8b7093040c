"""Database files as wholes: finished ones get their names at once, unfinished ones go."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

COMPANIONS = ("", "-wal", "-shm")
"""Endings of the files that SQLite keeps for one database while it is open."""


def remove(path: Path) -> None:
    """Take a database file away, with all that may lie beside it."""
    for ending in (*COMPANIONS, "-journal"):
        with contextlib.suppress(OSError):
            Path(f"{path}{ending}").unlink(missing_ok=True)


@contextlib.contextmanager
def passing_file(folder: Path) -> Iterator[Path]:
    """Give a database file of a passing name, to be filled and put in place; it goes anyway."""
    handle, name = tempfile.mkstemp(prefix=".logbook-", suffix=".part", dir=folder)
    os.close(handle)
    try:
        yield Path(name)
    finally:
        remove(Path(name))


def put_in_place(beside: Path, path: Path, over: bool = False) -> bool:
    """Give a finished file its name, on the disk; tell whether it got it.

    Parameters
    ----------
    over : also where the name is taken; the file that has it goes at the same moment
    """
    with beside.open("rb+") as file:
        os.fsync(file.fileno())
    try:
        beside.replace(path) if over else os.link(beside, path)
    except FileExistsError:
        return False
    except OSError:  # no links on this disk (FAT)
        if path.exists():
            return False
        beside.replace(path)
    sync_folder(path.parent)
    return True


def sync_folder(folder: Path) -> None:
    """Bring the names in a folder to the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
