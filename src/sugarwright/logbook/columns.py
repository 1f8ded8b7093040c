"""What the titles of a table of entries mean: "volume (gal)", "temp_f", "Brix", "date", "what"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import QUANTITIES
from sugarwright.logbook.entry_sheet import PARTS, WORD, value_title
from sugarwright.logbook.sheets import Sheet, column_letter
from sugarwright.logbook.vocabulary import NAMED, TELLING, kind_of_quantity
from sugarwright.units import Kind

_ALIKE: dict[str, str] = {
    "date and time": "time",
    "datetime": "time",
    "when": "time",
    "at": "time",
    "to": "time",
    "end": "time",
    "day": "date",
    "clock": "clock",
    "hour": "clock",
    "from": "begin",
    "start": "begin",
    "where": "place",
    "gathering": "place",
    "tank": "place",
    "to place": "to_place",
    "by": "who",
    "person": "who",
    "name": "who",
    "flag": "flags",
    "note": "word_note",
    "notes": "word_note",
    "remarks": "word_note",
    "comment": "word_note",
    "what": "entry",
    "what happened": "entry",
    "words": "entry",
    "text": "entry",
    "entry": "entry",
    **{word: f"word_{key}" for word, key in TELLING.items()},
}
PLAIN = frozenset(
    (
        *("key", "kind", "time", "date", "clock", "begin", "place", "to_place", "flags", "who"),
        *("typed", "source", "entered", "replaces", "stands", "measured", "entry"),
    )
)
_TITLE = re.compile(r"(?P<name>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*")


@dataclass(frozen=True)
class Column:
    """One column.

    Parameters
    ----------
    at : which one, from 0
    name : one of ``PLAIN``, "word_" and a key, or the name of a quantity
    part : of a quantity: "" its value, or "typed", "sd", "instrument"
    unit : of the values, where the title states it; "SI" for the plain numbers of an export
    """

    at: int
    name: str
    part: str = ""
    unit: str = ""


def understand_titles(sheet: Sheet) -> dict[str, Column]:
    """Return the columns by name (and part).

    Raises
    ------
    InputError : a title means nothing here, or two mean the same
    """
    found: dict[str, Column] = {}
    for at, title in enumerate(sheet.titles):
        if not title:
            continue
        column = column_of(at, title)
        place = f"{sheet.name}, column {column_letter(at)}"
        if column is None:
            fix = "Take the column out, or give it one of these titles"
            raise InputError("title", title, "means nothing here", _known(), fix, place)
        key = column.name + column.part
        if key in found:
            raise InputError(
                "title", title, f"means the same as {sheet.titles[found[key].at]}", place=place
            )
        found[key] = column
    return found


def column_of(at: int, title: str) -> Column | None:
    """Return what a title means; None when it is nothing known."""
    if title.startswith(WORD):
        return Column(at, title)
    for quantity in QUANTITIES:
        if title == value_title(quantity):
            return Column(at, quantity, unit="SI")
        for part in PARTS:
            if title == f"{quantity}_{part}":
                return Column(at, quantity, part)
    name, unit = split_title(title)
    plain = name.replace(" ", "_")
    if plain in PLAIN and not unit:
        return Column(at, plain)
    if name in _ALIKE and not unit:
        return Column(at, _ALIKE[name])
    return _quantity(at, name, unit)


def split_title(title: str) -> tuple[str, str]:
    """Return name and unit of a title: "Volume (gal)" is ("volume", "gal")."""
    match = _TITLE.fullmatch(title)
    name, unit = (match["name"], match["unit"].strip()) if match else (title, "")
    return " ".join(name.replace("_", " ").casefold().split()), unit


def _quantity(at: int, name: str, unit: str) -> Column | None:
    """Read "volume", "volume gal", "temp f", "paid", "concentrate flow gal/h"."""
    words = name.split()
    for count in range(len(words), 0, -1):
        quantity = _named("_".join(words[:count]))
        if quantity is None:
            continue
        kind = kind_of_quantity(quantity)
        rest = unit or " ".join(words[count:])
        if count < len(words) and unit:
            continue
        if not rest or (kind is not None and kind.find(rest) is not None):
            return Column(at, quantity, unit=rest)
    return None


def _named(name: str) -> str | None:
    if name in QUANTITIES:
        return name
    return NAMED[name][0] if name in NAMED else None


def kind_and_unit(column: Column) -> tuple[Kind | None, str | None]:
    """Return the kind of a column's values, and the unit of those without one."""
    kind = kind_of_quantity(column.name)
    return kind, column.unit or None


def _known() -> str:
    quantities: Sequence[str] = [each.replace("_", " ") for each in QUANTITIES]
    return ", ".join(["date", "time", "kind", "place", *quantities, "who", "flags", "note"])
