"""The record of a folder as commands use it: what went wrong beside is told at the end."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sugarwright.cli.output import note
from sugarwright.errors import LogbookError
from sugarwright.logbook.book import Logbook


@contextmanager
def record_in(folder: str, make: bool = True, *, needed: bool = True) -> Iterator[Logbook]:
    """Open the logbook of a folder, as :func:`~sugarwright.logbook.store.open_store` does.

    Where it is not ``needed``, one that cannot be used is told and left alone: what the folder
    holds in files must do.

    Raises
    ------
    LogbookError : there is one that cannot be used
    """
    from sugarwright.logbook.store import open_store

    try:
        opened = open_store(folder, make)
    except LogbookError as problem:
        if needed:
            raise
        note(str(problem))
        opened = Logbook.of_files(folder)
    with opened as book:
        try:
            yield book
        finally:
            for trouble in book.troubles:
                note(trouble)
