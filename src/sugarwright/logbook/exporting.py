"""Tables of the logbook into files."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry_sheet import entry_table
from sugarwright.logbook.paper import template
from sugarwright.logbook.sheets import write_rows
from sugarwright.logbook.tables_csv import ENTRIES, write_table
from sugarwright.plant.house import House

_ALL = 10**9


@dataclass(frozen=True)
class Exported:
    """A table that was written.

    Parameters
    ----------
    file : where
    table : its name
    rows : lines below the titles
    """

    file: str
    table: str
    rows: int


def write_book(book: Logbook, house: House, table: str, file: TextIO) -> int:
    """Write a table of the logbook as CSV; return its lines.

    Raises
    ------
    InputError : there is no such table
    """
    if table != ENTRIES:
        return write_table(book.path.parent, table, file)
    titles, rows = entry_table(book.newest(_ALL), ZoneInfo(house.site.timezone))
    return write_rows(file, titles, rows)


def write_template(house: House, file: TextIO) -> int:
    """Write the empty table of daily totals."""
    return write_rows(file, *template(house))


def write_file(path: Path, write: Callable[[TextIO], int], table: str) -> Exported:
    """Write a table to a file, whole or not at all; one that is there is never overwritten.

    The mark at its begin tells spreadsheets that its letters are UTF-8.

    Raises
    ------
    InputError : the file is there already, or cannot be written
    """
    if path.exists():
        raise InputError("FILE", str(path), "is there already", fix="Choose another name")
    try:
        handle, beside = tempfile.mkstemp(prefix=f".{path.name[:40]}-", dir=path.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8-sig", newline="") as file:
                rows = write(file)
            Path(beside).chmod(0o644)
            Path(beside).replace(path)
        finally:
            Path(beside).unlink(missing_ok=True)
    except OSError as problem:
        reason = problem.strerror or str(problem)
        raise InputError("FILE", str(path), f"cannot be written ({reason})") from None
    return Exported(str(path), table, rows)
