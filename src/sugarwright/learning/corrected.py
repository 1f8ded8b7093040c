"""Readings as they would be had their instruments read true: the log itself stays as it was read.

Learning what an instrument reads off always begins from what was read; all else may begin here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sugarwright.learning.as_learnt import PLAUSIBLE_SDS
from sugarwright.learning.instrument_pairs import instrument_of
from sugarwright.learning.instruments import PRIOR_SD, InstrumentLesson
from sugarwright.learning.kept import Figure, Kept, kept_of
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import sd_of

INSTRUMENTS = "instruments"
"""Name under which it is kept what instruments read off."""

SORTS = {
    "brix": "brix", "feed_brix": "brix", "concentrate_brix": "brix", "permeate_brix": "brix",
    "temperature": "temperature",
}  # fmt: skip
"""Quantity -> the sort of an instrument's bias. Volumes are left: their biases are shares, and a
tank's own shape would be taken for the stick's."""


@dataclass(frozen=True)
class Known:
    """How far one instrument reads off.

    Parameters
    ----------
    bias, sd : of its readings, and how sure: Brix or K
    """

    bias: float
    sd: float


def instruments_kept(lesson: InstrumentLesson, learnt_s: int, until_s: float) -> Kept | None:
    """Return what is to be kept of a lesson: the instruments that surely read off; None: none does.

    One that is off by more than such instruments ever are is broken or misread: it is told, and its
    readings stay as they are.

    Parameters
    ----------
    lesson : what the log says of instruments
    learnt_s : UTC s of the lesson
    until_s : UTC s of the last entry that it looked at
    """
    sure = [
        each
        for each in lesson.biases
        if each.certain
        and each.quantity in SORTS.values()
        and abs(each.bias) <= PLAUSIBLE_SDS * PRIOR_SD[each.quantity]
    ]
    if not sure:
        return None
    figures = tuple(
        Figure(f"{each.quantity}.{each.instrument}", each.bias, each.sd, False, 0.0)
        for each in sure
    )
    return Kept(INSTRUMENTS, learnt_s, until_s, sum(each.pairs for each in sure), figures)


def corrected(entries: Sequence[Entry], document: Mapping[str, Any] | None) -> list[Entry]:
    """Return entries with the readings of instruments that are known to read off put right.

    Parameters
    ----------
    entries : as read
    document : what was kept under ``INSTRUMENTS``; None: nothing was learnt

    Returns
    -------
    Entries in the same order; a value that was put right is as unsure as reading and bias together

    Raises
    ------
    InputError : the document is damaged
    """
    if document is None:
        return list(entries)
    known = {
        each.key: Known(each.value, each.sd) for each in kept_of(INSTRUMENTS, document).figures
    }
    return [_put_right(each, known) for each in entries]


def _put_right(entry: Entry, known: Mapping[str, Known]) -> Entry:
    measures = tuple(_true(each, known) for each in entry.measures)
    return entry if measures == entry.measures else replace(entry, measures=measures)


def _true(measure: Measure, known: Mapping[str, Known]) -> Measure:
    sort = SORTS.get(measure.quantity)
    off = None if sort is None else known.get(f"{sort}.{instrument_of(measure)}")
    if off is None:
        return measure
    value = measure.value - off.bias
    if sort == "brix":
        value = max(0.0, value)
    return replace(measure, value=value, sd=math.hypot(sd_of(measure), off.sd))
