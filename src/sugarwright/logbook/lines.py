"""Lines of the book as faces show them: plain values that turn into JSON as they are."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import QUANTITIES
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.telling import hints, tell, when_words
from sugarwright.plant.house import House

SHORTEST_KEY = 4


@dataclass(frozen=True)
class LineMeasure:
    """One measured value.

    Parameters
    ----------
    quantity : what was measured
    value : in the SI unit that ``unit`` names
    unit : ending of the names of such values ("_m3"); empty for a bare number
    sd : standard uncertainty, in the same unit; null: what is usual for the instrument
    typed : number and unit as the person wrote them
    instrument : what it was read with; may be empty
    """

    quantity: str
    value: float
    unit: str
    sd: float | None
    typed: str
    instrument: str


@dataclass(frozen=True)
class BookLine:
    """One entry of the logbook.

    Parameters
    ----------
    key : of the entry, never given to another
    short_key : as much of it as names the entry among those shown
    told : what it says, in one sentence
    when : its clock time in words
    kind : what sort of entry it is
    at_s : when it was so; of a span its end
    begin_s : begin of the span; null for a moment
    made_s : when it was entered
    place, to_place : where, and where it went
    measures : what was measured
    words : what is told in words, by name
    flags : doubts and circumstances
    who : entered it
    source : person, import or sensor
    typed : the whole text as typed
    replaces : key of the entry that it corrects; null when it corrects none
    earlier : versions that it replaces, in sentences, the oldest first
    stands : whether it counts: it is neither corrected nor taken back
    """

    key: str
    short_key: str
    told: str
    when: str
    kind: str
    at_s: float
    begin_s: float | None
    made_s: float
    place: str
    to_place: str
    measures: tuple[LineMeasure, ...]
    words: dict[str, str]
    flags: tuple[str, ...]
    who: str
    source: str
    typed: str
    replaces: str | None
    earlier: tuple[str, ...]
    stands: bool


@dataclass(frozen=True)
class Logged:
    """What was written into the logbook.

    Parameters
    ----------
    entries : as they are in the book now
    hints : what a person should know of them, in sentences
    """

    entries: tuple[BookLine, ...]
    hints: tuple[str, ...]


@dataclass(frozen=True)
class Undone:
    """What was taken back.

    Parameters
    ----------
    entries : those that no longer stand, as they were
    stands_again : what stands for them now, where a correction was taken back
    """

    entries: tuple[BookLine, ...]
    stands_again: tuple[BookLine, ...]


@dataclass(frozen=True)
class Book:
    """A part of the logbook.

    Parameters
    ----------
    lines : in order of time
    older : how many that fit lie before those shown
    timezone, units, currency : in which the house wants to read it
    """

    lines: tuple[BookLine, ...]
    older: int
    timezone: str
    units: str
    currency: str


def line_of(
    entry: Entry,
    house: House,
    short_key: str = "",
    earlier: Sequence[Entry] = (),
    stands: bool = True,
) -> BookLine:
    """Return an entry as a line of the book.

    Parameters
    ----------
    earlier : the versions that it replaces, oldest first
    """
    return BookLine(
        key=entry.key,
        short_key=short_key or entry.key[:SHORTEST_KEY],
        told=tell(entry, house),
        when=when_words(entry, house),
        kind=entry.kind,
        at_s=entry.at_s,
        begin_s=entry.begin_s,
        made_s=entry.made_s,
        place=entry.place,
        to_place=entry.to_place,
        measures=tuple(
            LineMeasure(
                each.quantity,
                each.value,
                QUANTITIES[each.quantity].suffix,
                each.sd,
                each.typed,
                each.instrument,
            )
            for each in entry.measures
        ),
        words=dict(entry.words),
        flags=entry.flags,
        who=entry.who,
        source=entry.source,
        typed=entry.typed,
        replaces=entry.replaces,
        earlier=tuple(_as_it_was(each, entry, house) for each in earlier),
        stands=stands,
    )


def _as_it_was(earlier: Entry, entry: Entry, house: House) -> str:
    """Return an earlier version in a sentence, with its time where that was another."""
    moved = (earlier.begin_s, earlier.at_s) != (entry.begin_s, entry.at_s)
    told = tell(earlier, house)
    return f"{when_words(earlier, house)}  {told}" if moved else told


def logged(entries: Sequence[Entry], house: House, earlier: Sequence[Entry] = ()) -> Logged:
    """Return what was just written, with what each corrects."""
    told = dict.fromkeys(hint for entry in entries for hint in hints(entry, house))
    lines = tuple(line_of(each, house, earlier=earlier) for each in entries)
    return Logged(lines, tuple(told))


def short_keys(keys: Iterable[str]) -> dict[str, str]:
    """Return for each key as many of its first letters as no other begins with.

    >>> short_keys(["3fa9c0", "3fa91b", "77"])
    {'3fa91b': '3fa91', '3fa9c0': '3fa9c', '77': '77'}
    """
    order = sorted(set(keys))
    shared = [_shared(a, b) for a, b in itertools.pairwise(order)]
    return {
        key: key[: max(SHORTEST_KEY, before + 1, after + 1)]
        for key, before, after in zip(order, [0, *shared], [*shared, 0], strict=False)
    }


def find_entry(entries: Sequence[Entry], key: str) -> Entry:
    """Return the entry whose key begins with some letters.

    Raises
    ------
    InputError : none does, or several
    """
    wanted = key.strip().casefold()
    found = [each for each in entries if each.key.casefold().startswith(wanted)] if wanted else []
    exact = [each for each in found if each.key.casefold() == wanted]
    if len(found) == 1 or exact:
        return (exact or found)[0]
    fix = "`sugarwright log show` shows the keys"
    if not found:
        raise InputError("KEY", key, "is the key of no entry", fix=fix)
    keys = ", ".join(sorted(short_keys(each.key for each in found).values())[:6])
    raise InputError("KEY", key, "begins the keys of several entries", keys, fix)


def _shared(a: str, b: str) -> int:
    """Return how many first letters two keys share."""
    return next(
        (i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), min(len(a), len(b))
    )
