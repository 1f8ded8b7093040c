"""Entries as lines of two tables, and back."""

from __future__ import annotations

import json
import math
import sqlite3
from collections.abc import Iterable, Iterator
from itertools import groupby
from operator import itemgetter
from typing import Any

from sugarwright.errors import InputError, RangeError
from sugarwright.logbook.entry import NO_WORDS, Entry, Measure

_ENTRY = (
    *("key", "kind", "at_s", "made_s", "begin_s", "place", "to_place"),
    *("words", "flags", "who", "source", "typed", "replaces"),
)
_MEASURE = ("quantity", "value", "sd", "typed", "instrument")

SELECT = (
    f"SELECT serial, {', '.join(f'e.{name}' for name in _ENTRY)}, "
    f"{', '.join(f'm.{name}' for name in _MEASURE)} "
    "FROM entries e LEFT JOIN measures m ON m.entry = e.serial"
)
"""Every line holds an entry and one of its measures; :func:`entries_of` puts them together."""

_INSERT = (
    f"INSERT INTO entries (family, {', '.join(_ENTRY)}) VALUES ({', '.join('?' * 14)}) "
    "ON CONFLICT (key) DO NOTHING"
)
_INSERT_MEASURE = (
    f"INSERT INTO measures (entry, position, {', '.join(_MEASURE)}) VALUES ({', '.join('?' * 7)})"
)


def insert(connection: sqlite3.Connection, entry: Entry, family: str) -> bool:
    """Write an entry; return False, and write nothing, when its key is there already."""
    values = {**vars(entry), "words": _json(dict(entry.words)), "flags": _json(entry.flags)}
    cursor = connection.execute(_INSERT, (family, *(values[name] for name in _ENTRY)))
    if cursor.rowcount == 0:
        return False
    connection.executemany(
        _INSERT_MEASURE,
        [
            (cursor.lastrowid, at, *(getattr(measure, name) for name in _MEASURE))
            for at, measure in enumerate(entry.measures)
        ],
    )
    return True


def entries_of(rows: Iterable[tuple[Any, ...]]) -> Iterator[Entry]:
    """Yield the entries of the lines that :data:`SELECT` gives, those of one entry together.

    Raises
    ------
    InputError, ValueError, TypeError : a line holds what no entry can
    """
    for _, lines in groupby(rows, itemgetter(0)):
        whole = list(lines)
        yield _entry(whole[0][1:14], [line[14:] for line in whole if line[14] is not None])


def check(entry: Entry) -> None:
    """See that an entry can be written as it is.

    Raises
    ------
    InputError, RangeError : a time that is no number, words that are no text
    """
    for name in ("at_s", "made_s", "begin_s"):
        value = getattr(entry, name)
        if value is not None and not math.isfinite(value):
            raise RangeError(name, value, "is no instant")
    texts = (*(str(each) for each in vars(entry).values()), *entry.words, *entry.words.values())
    for text in texts:
        try:
            text.encode()
        except UnicodeEncodeError:
            raise InputError("text", text, "holds what is no letter of any script") from None


def _entry(cells: tuple[Any, ...], measures: list[tuple[Any, ...]]) -> Entry:
    values = dict(zip(_ENTRY, cells, strict=True))
    values["words"] = json.loads(values["words"]) or NO_WORDS
    values["flags"] = tuple(json.loads(values["flags"]))
    return Entry(measures=tuple(Measure(*each) for each in measures), **values)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)
