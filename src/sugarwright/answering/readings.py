"""Entries of the log as all that reckons with them takes them: instruments put right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sugarwright.learning.instrument_keys import INSTRUMENTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sugarwright.logbook.book import Logbook
    from sugarwright.logbook.entry import Entry


def readings(book: Logbook, end_s: float | None = None) -> Sequence[Entry]:
    """Return the entries that stand, readings of instruments that were learnt to be off put right.

    Parameters
    ----------
    book : the sugarhouse's logbook
    end_s : UTC s before which they were so; None: all

    Raises
    ------
    InputError : what was learnt of the instruments is damaged
    """
    entries = book.entries() if end_s is None else book.entries(end_s=end_s)
    document = book.knowledge(INSTRUMENTS)
    if document is None:
        return entries  # and nothing more need be loaded
    from sugarwright.learning.corrected import corrected

    return corrected(entries, document)
