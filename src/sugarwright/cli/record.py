"""The record of a folder as commands use it: what went wrong beside is told at the end."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

from sugarwright.answering.record import record_of
from sugarwright.cli.output import note

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook


def record_in(
    folder: str, make: bool = True, *, needed: bool = True
) -> AbstractContextManager[Logbook]:
    """Open the logbook of a folder, as :func:`~sugarwright.answering.record.record_of` does.

    Raises
    ------
    LogbookError : there is one that cannot be used
    """
    return record_of(folder, make, needed=needed, tell=note)
