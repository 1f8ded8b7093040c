"""Readings as they would be had their instruments read true: the log itself stays as it was read.

Learning what an instrument reads off always begins from what was read, else a bias would be seen
once and then never again; all else may begin here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from sugarwright.learning.as_learnt import PLAUSIBLE_SDS
from sugarwright.learning.instrument_keys import INSTRUMENTS, key_of
from sugarwright.learning.instruments import PRIOR_SD, InstrumentLesson
from sugarwright.learning.kept import Figure, Kept, kept_of
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import instrument_of, sd_of

SORTS = {
    "brix": "brix", "feed_brix": "brix", "concentrate_brix": "brix", "permeate_brix": "brix",
    "temperature": "temperature",
}  # fmt: skip
"""Quantity -> the sort of an instrument's bias. Volumes are left: their biases are shares, and a
tank's own shape would be taken for the stick's."""


def instruments_kept(
    lesson: InstrumentLesson, learnt_s: int, until_s: float, before: Mapping[str, Any] | None = None
) -> Kept | None:
    """Return what is to be kept of a lesson: the instruments that surely read off.

    Where none does any more, it is kept that none does: an instrument may have been replaced.

    One that is off by more than such instruments ever are is broken or misread: it is told, and its
    readings stay as they are.

    Parameters
    ----------
    lesson : what the log says of instruments
    learnt_s : UTC s of the lesson
    until_s : UTC s of the last entry that it looked at
    before : what is kept of instruments; None: nothing

    Returns
    -------
    Kept; None where none reads off and nothing else was kept
    """
    sure = [
        each
        for each in lesson.biases
        if each.certain
        and each.quantity in SORTS.values()
        and abs(each.bias) <= PLAUSIBLE_SDS * PRIOR_SD[each.quantity]
    ]
    if not sure and (before is None or not kept_of(INSTRUMENTS, before).figures):
        return None
    figures = tuple(
        Figure(key_of(each.quantity, each.instrument), each.bias, each.sd, False, 0.0)
        for each in sure
    )
    return Kept(INSTRUMENTS, learnt_s, until_s, sum(each.pairs for each in sure), figures)


def corrected(entries: Sequence[Entry], document: Mapping[str, Any] | None) -> list[Entry]:
    """Return entries with the readings of instruments that are known to read off put right.

    A reading that names no instrument is taken to be made with the usual one, as everywhere. Not so
    a temperature: a house has several thermometers, and only one that is named is known to be the
    one that was checked. What a sensor says is left: the twin learns its offset by itself.

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
    known = {each.key: each for each in kept_of(INSTRUMENTS, document).figures}
    return [_put_right(each, known) for each in entries]


def _put_right(entry: Entry, known: Mapping[str, Figure]) -> Entry:
    if entry.source == "sensor":
        return entry
    measures = tuple(_true(each, known) for each in entry.measures)
    return entry if measures == entry.measures else replace(entry, measures=measures)


def _true(measure: Measure, known: Mapping[str, Figure]) -> Measure:
    sort = SORTS.get(measure.quantity)
    if sort is None or (sort == "temperature" and not measure.instrument):
        return measure
    off = known.get(key_of(sort, instrument_of(measure)))
    if off is None:
        return measure
    value = measure.value - off.value
    if sort == "brix":
        value = max(0.0, value)
    return replace(measure, value=value, sd=math.hypot(sd_of(measure), off.sd))
