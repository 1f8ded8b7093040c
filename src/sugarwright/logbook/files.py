"""Finished files get their names at once, and on the disk."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path


def put_in_place(beside: Path, path: Path) -> bool:
    """Give a finished file its name, on the disk, unless that is taken; tell whether it got it."""
    with beside.open("rb+") as file:
        os.fsync(file.fileno())
    try:
        os.link(beside, path)
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
