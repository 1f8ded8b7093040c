"""The record of a folder as questions use it: what went wrong beside is told at the end."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from sugarwright.errors import LogbookError
from sugarwright.logbook.book import Logbook

Tell = Callable[[str], None]


def tell_nobody(_text: str) -> None:
    """Take a remark that nobody asked for."""


@contextmanager
def record_of(
    folder: str, make: bool = True, *, needed: bool = True, tell: Tell = tell_nobody
) -> Iterator[Logbook]:
    """Open the logbook of a folder, as :func:`~sugarwright.logbook.store.open_store` does.

    Parameters
    ----------
    folder : of the sugarhouse
    make : whether something is to be kept
    needed : else one that cannot be used is told and left alone: what the folder holds in files
        must do
    tell : is told what went wrong beside

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
        tell(str(problem))
        opened = Logbook.of_files(folder)
    with opened as book:
        try:
            yield book
        finally:
            for trouble in book.troubles:
                tell(trouble)
