"""The one place where a command gets the record of a sugarhouse folder."""

from __future__ import annotations

from pathlib import Path

from sugarwright.errors import LogbookError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.taking_in import holds_files


def open_store(folder: str | Path, make: bool = True) -> Logbook:
    """Return the logbook of a folder, ready to be read; a context manager.

    Where there is none it is made if something is to be kept or the folder holds files that belong
    into it. Where none is made, or none can be, it is one in memory of what the folder holds:
    everything can be asked of it, and keeping raises LogbookError.

    Parameters
    ----------
    folder : of the sugarhouse
    make : whether something is to be kept

    Raises
    ------
    LogbookError : there is one that cannot be used
    """
    path = Path(folder) / LOGBOOK_FILE
    if path.exists():
        return Logbook.open(folder)
    if make or holds_files(Path(folder)):
        try:
            return Logbook.open(folder)
        except LogbookError:
            if path.exists():
                raise
    return Logbook.of_files(folder)
