"""What is usually logged at a house, its last value and what it can be: for three-tap entries."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sugarwright.errors import SugarwrightError
from sugarwright.logbook.catalogue import GATHERING
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import tank_at
from sugarwright.logbook.places import place_words
from sugarwright.logbook.possible import DoubtError, range_text
from sugarwright.logbook.words import understand
from sugarwright.plant.house import House

LEVEL = ("depth", "volume")
_US = {
    **{"depth": "in", "volume": "gal", "temperature": "F", "pressure": "psi"},
    **{"concentrate_flow": "gal/h", "permeate_flow": "gal/h"},
    **dict.fromkeys(("brix", "feed_brix", "concentrate_brix"), "Brix"),
}
_METRIC = _US | {
    **{"depth": "cm", "volume": "L", "temperature": "C", "pressure": "bar"},
    **{"concentrate_flow": "L/h", "permeate_flow": "L/h"},
}
_RUNNING = (
    ("temperature", "Sap temperature", ""),
    ("pressure", "Pressure at the valve", ""),
    ("concentrate_flow", "Concentrate flow", "concentrate"),
    ("permeate_flow", "Permeate flow", "permeate"),
    ("feed_brix", "Brix of the sap", "feed"),
    ("concentrate_brix", "Brix of the concentrate", "concentrate"),
)


@dataclass(frozen=True)
class Unit:
    """A unit that a number may be typed in.

    Parameters
    ----------
    name : as it stands in the words of an entry
    allowed : what can be, in words
    """

    name: str
    allowed: str


@dataclass(frozen=True)
class Ask:
    """One thing that is often logged.

    Parameters
    ----------
    name : tells it from the others; of letters and hyphens
    label : on its button
    words : that its entry begins with; number and unit follow
    kind, place : of the entry
    quantities : that its number may be; none: it has no number
    units : of the number, the usual one first
    needs : the entry says nothing without the number
    last : the last such entry; None without
    measure : its number; None where it had none
    """

    name: str
    label: str
    words: str
    kind: str
    place: str
    quantities: tuple[str, ...]
    units: tuple[Unit, ...]
    needs: bool
    last: Entry | None = None
    measure: Measure | None = None


def asks_of(house: House, entries: Sequence[Entry]) -> tuple[Ask, ...]:
    """Return what is logged at a house, the most used of its logbook first.

    Parameters
    ----------
    entries : that stand, the oldest first
    """
    found = []
    for name, label, words, kind, place, quantities, needs in _rows(house):
        like = [each for each in entries if _is_such(each, kind, place, quantities, needs)]
        units = _units(house, kind, place, quantities)
        last = like[-1] if like else None
        numbers = () if last is None else last.measures
        measure = next((each for each in numbers if each.quantity in quantities), None)
        ask = Ask(
            name, label, words, kind, place, tuple(quantities), units, needs, last, measure
        )  # fmt: skip
        found.append((-len(like), ask))
    return tuple(ask for _, ask in sorted(found, key=lambda each: each[0]))


@dataclass(frozen=True)
class Part:
    """One number of an entry that has several.

    Parameters
    ----------
    quantity, label : what it is
    before : words that stand before the number
    unit : of the number, with what can be
    last : as it was typed last; empty where it never was
    """

    quantity: str
    label: str
    before: str
    unit: Unit
    last: str


def running_parts(house: House, entries: Sequence[Entry]) -> tuple[Part, ...]:
    """Return what is read of a membrane while it runs: the numbers behind the word "running".

    Parameters
    ----------
    entries : that stand, the oldest first
    """
    found = []
    for quantity, label, before in _RUNNING:
        unit = _units(house, "reading", "membrane", (quantity,))[0]
        typed = (each.measure(quantity) for each in reversed(entries) if each.place == "membrane")
        last = next((each.typed for each in typed if each is not None), "")
        found.append(Part(quantity, label, before, unit, last))
    return tuple(found)


def likely_text(text: str, house: House, now_s: float) -> str:
    """Return what was probably meant by words with a value beyond what can be; else nothing.

    The one place where the value stands is changed, and the rest must then be understood.
    """
    try:
        understand(text, house, now_s)
    except DoubtError as found:
        doubt = found.doubt
    except SugarwrightError:
        return ""
    else:
        return ""
    number, _, unit = doubt.measure.typed.partition(" ")
    pattern = rf"(?<![\w.]){re.escape(number)}(?:\s*{re.escape(unit)}(?!\w))?(?![\d.])"
    changed, count = re.subn(pattern, lambda _: doubt.meant, text)
    if not doubt.meant or count != 1:
        return ""
    try:
        understand(changed, house, now_s)
    except SugarwrightError:
        return ""
    return changed


_Row = tuple[str, str, str, str, str, Sequence[str], bool]


def _rows(house: House) -> Iterator[_Row]:
    yield from _tank_rows("sap", "Sap", "sap", "sap", house)
    if house.membrane is not None:
        if house.stock_tank is not None:
            yield from _tank_rows("stock", "Stock", "stock", "stock", house)
        if house.permeate_tank is not None:
            yield next(_tank_rows("permeate", "Permeate", "permeate", "permeate", house))
        yield "membrane-on", "Membrane on", "membrane on", "membrane_on", "membrane", (), False
        yield "membrane-off", "Membrane off", "membrane off", "membrane_off", "membrane", (), False
        yield "wash", "Membrane wash", "wash", "wash", "membrane", ("volume",), False
    yield "lit", "Fire lit", "lit", "fire_lit", "pan", (), False
    yield "stoke", "Stoked", "stoke", "stoke", "pan", (), False
    yield "draw", "Draw-off", "draw", "draw", "pan", ("volume",), False
    yield "pan-brix", "Pan Brix", "pan", "reading", "pan", ("brix",), True
    yield "out", "Fire out", "fire out", "fire_out", "pan", (), False
    yield from _gathering_rows(house)
    yield "dump-sap", "Dump sap", "dump sap", "dump", "sap", ("volume",), False
    if house.stock_tank is not None:
        yield "dump-stock", "Dump stock", "dump stock", "dump", "stock", ("volume",), False
    yield "air", "Air", "air", "reading", "air", ("temperature",), True


def _tank_rows(name: str, label: str, words: str, place: str, house: House) -> Iterator[_Row]:
    tank = tank_at(house, place)
    level = LEVEL if tank is not None and tank.shape != "plain" else ("volume",)
    yield f"{name}-level", f"{label} level", words, "reading", place, level, True
    yield f"{name}-brix", f"{label} Brix", words, "reading", place, ("brix",), True


def _gathering_rows(house: House) -> Iterator[_Row]:
    for number, each in enumerate(house.gathering, start=1):
        place = GATHERING + each.name
        said = place_words(place)
        label = each.name[:1].upper() + each.name[1:]
        gathered = f"gather {said}"
        yield (
            f"gather-{number}",
            f"Gathered, {label}",
            gathered,
            "gather",
            place,
            ("volume",),
            False,
        )
        if tank_at(house, place) is not None:
            yield next(_tank_rows(f"tank-{number}", label, f"tank {said}", place, house))


def _units(house: House, kind: str, place: str, quantities: Sequence[str]) -> tuple[Unit, ...]:
    names = _METRIC if house.site.units == "metric" else _US
    return tuple(Unit(names[each], range_text(house, kind, place, each)) for each in quantities)


def _is_such(entry: Entry, kind: str, place: str, quantities: Sequence[str], needs: bool) -> bool:
    if (entry.kind, entry.place) != (kind, place):
        return False
    return not needs or any(each.quantity in quantities for each in entry.measures)
