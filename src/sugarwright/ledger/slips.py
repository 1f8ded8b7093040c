"""The slips that people make when they read and type, tried one by one on a reading that is off.

A slip is only told when what would have been typed without it fits what all other readings say.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from sugarwright.errors import InputError
from sugarwright.ledger.readings import CALIBRATED_C, brix_of, volume_of
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import tank_at
from sugarwright.physics.hydrometer import brix_from_hydrometer
from sugarwright.plant.house import House
from sugarwright.units import BRIX, LENGTH, VOLUME, Kind, parse, to_unit

NEAR = 2.5
"""A corrected value fits within so many standard deviations."""
HOT_C = (25.0, 100.0)
_NUMBER = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*([A-Za-z]*)\s*")
_KINDS: dict[str, Kind] = {"volume": VOLUME, "depth": LENGTH}
_MISTAKEN = {
    "gal": ("L", "litres"),
    "L": ("gal", "gallons"),
    "in": ("cm", "cm"),
    "cm": ("in", "in"),
}
_SPELT = {"l": "L", "lit": "L", "liter": "L", "liters": "L", "litre": "L", "litres": "L",
          "gal": "gal", "gallon": "gal", "gallons": "gal", "in": "in", "inch": "in",
          "inches": "in", "cm": "cm"}  # fmt: skip


@dataclass(frozen=True)
class Slip:
    """A likely slip.

    Parameters
    ----------
    kind : "other unit", "decimal point", "digits swapped", "digit left out", "digit too many",
        "read hot", "wrong tank", "entered twice"
    meant : what was meant, as it would be typed ("212 gal"); empty where the entry falls away
    value : the same in SI, as the entry would hold it; None where the entry falls away
    detail : what goes with it: the temperature in °C of a hot reading, the other tank; may be empty
    """

    kind: str
    meant: str
    value: float | None
    detail: str = ""


@dataclass(frozen=True)
class Typed:
    """A number as it was typed.

    Parameters
    ----------
    digits : the number's text
    unit : its unit as units name it; empty for none
    """

    digits: str
    unit: str


def typed_of(measure: Measure, system: str) -> Typed | None:
    """Return what was typed; where nothing was kept, the value in the house's units."""
    kind = _KINDS.get(measure.quantity)
    if measure.typed:
        found = _NUMBER.fullmatch(measure.typed)
        if found is None:
            return None
        unit = _SPELT.get(found[2].lower(), found[2])
        return Typed(found[1], unit)
    if kind is None:
        return Typed(f"{measure.value:.1f}", "")
    unit = {"volume": ("gal", "L"), "depth": ("in", "cm")}[measure.quantity][system == "metric"]
    return Typed(f"{to_unit(measure.value, kind, unit):.4g}", unit)


def candidates(measure: Measure, system: str) -> Iterator[Slip]:
    """Yield what may have been meant, the likeliest kinds of slips first.

    Parameters
    ----------
    measure : as it was entered
    system : "us" or "metric", for what was typed without a text
    """
    typed = typed_of(measure, system)
    if typed is None:
        return
    made = (
        [("other unit", typed.digits, _MISTAKEN[typed.unit][0])] if typed.unit in _MISTAKEN else []
    )
    made += [("decimal point", text, typed.unit) for text in _points(typed.digits)]
    made += [("digits swapped", text, typed.unit) for text in _swaps(typed.digits)]
    made += [("digit too many", text, typed.unit) for text in _shorter(typed.digits)]
    made += [("digit left out", text, typed.unit) for text in _longer(typed.digits)]
    seen = {(typed.digits, typed.unit)}
    for kind, digits, unit in made:
        if (digits, unit) in seen:
            continue
        seen.add((digits, unit))
        text = f"{digits} {unit}".strip()
        try:
            value = parse(text, _KINDS.get(measure.quantity, BRIX))
        except InputError:
            continue
        yield Slip(kind, text, value)


def likely_slips(
    house: House, entry: Entry, quantity: str, expected: float, sd: float
) -> list[Slip]:
    """Return the slips that would make a reading fit, likeliest first.

    Parameters
    ----------
    house : for tank shapes and units
    entry : as it stands
    quantity : "volume" or "brix", as the ledger balances it
    expected, sd : what all other readings say of it, m³ or true Brix
    """
    measure = _measure(entry, quantity)
    if measure is None:
        return []
    fits = []
    for slip in candidates(measure, house.site.units):
        assert slip.value is not None
        value = value_of(house, with_value(entry, measure, slip.value), quantity)
        if value is not None and abs(value - expected) <= NEAR * sd:
            fits.append(slip)
    if quantity == "brix" and measure.quantity == "brix":
        fits += _hot(entry, measure, expected, sd)
    order = list(dict.fromkeys(each.kind for each in fits))
    return [next(each for each in fits if each.kind == kind) for kind in order]


def wrong_tank(
    house: House, entry: Entry, others: Sequence[tuple[str, float, float]]
) -> Slip | None:
    """Return the slip of writing a level down for another tank, if it fits one.

    Parameters
    ----------
    house : tanks
    entry : a reading of a level
    others : the other tanks: place, what they held then (m³), and its standard deviation
    """
    measure = _measure(entry, "volume")
    if measure is None or entry.kind != "reading":
        return None
    for place, held_m3, sd_m3 in others:
        if tank_at(house, place) is None:
            continue
        value = value_of(house, replace(entry, place=place), "volume")
        if value is not None and abs(value - held_m3) <= NEAR * sd_m3:
            return Slip("wrong tank", measure.typed, measure.value, place)
    return None


def entered_twice(entry: Entry, others: Sequence[Entry]) -> Slip | None:
    """Return the slip of entering something twice: the same kind, place and number within a day."""
    measure = _measure(entry, "volume")
    if measure is None:
        return None
    for other in others:
        same = other.key != entry.key and other.kind == entry.kind and other.place == entry.place
        twin = _measure(other, "volume")
        near = abs(other.at_s - entry.at_s) <= 86400.0
        if not (same and near) or twin is None or twin.quantity != measure.quantity:
            continue
        if abs(twin.value - measure.value) <= 1e-6 + 0.005 * measure.value:
            return Slip("entered twice", "", None)
    return None


def with_value(entry: Entry, measure: Measure, value: float) -> Entry:
    """Return an entry with another number in place of one of its own."""
    changed = replace(measure, value=value, typed="", sd=measure.sd)
    measures = tuple(changed if each is measure else each for each in entry.measures)
    return replace(entry, measures=measures)


def value_of(house: House, entry: Entry, quantity: str) -> float | None:
    """Return what an entry states, as the ledger balances it; None if it can't be."""
    try:
        found = volume_of(house, entry) if quantity == "volume" else brix_of(entry, quantity)
    except InputError:
        return None
    return None if found is None else found.value


def _measure(entry: Entry, quantity: str) -> Measure | None:
    if quantity == "volume":
        return entry.measure("volume") or entry.measure("depth")
    return entry.measure(quantity)


def _hot(entry: Entry, measure: Measure, expected: float, sd: float) -> list[Slip]:
    """A hydrometer in hot liquid shows too little: at what temperature would it?"""
    if measure.instrument not in ("", "hydrometer") or entry.value("temperature") is not None:
        return []
    if expected < measure.value:
        return []
    low, high = HOT_C
    if not _warm(measure.value, low) - NEAR * sd <= expected <= _warm(measure.value, high):
        return []
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _warm(measure.value, middle) < expected else (low, middle)
    return [Slip("read hot", f"{expected:.1f}", expected, f"{high:.0f}")]


def _warm(shown_brix: float, temperature_c: float) -> float:
    return brix_from_hydrometer(min(shown_brix, 70.0), temperature_c, CALIBRATED_C)


def _points(digits: str) -> Iterator[str]:
    for factor in (10.0, 0.1, 100.0, 0.01):
        yield f"{float(digits) * factor:.6g}"


def _swaps(digits: str) -> Iterator[str]:
    places = [place for place, each in enumerate(digits) if each != "."]
    for one, other in itertools.pairwise(places):
        text = list(digits)
        text[one], text[other] = text[other], text[one]
        yield "".join(text)


def _shorter(digits: str) -> Iterator[str]:
    for place, each in enumerate(digits):
        text = digits[:place] + digits[place + 1 :]
        if each != "." and text.strip("."):
            yield text


def _longer(digits: str) -> Iterator[str]:
    for place in range(len(digits) + 1):
        for new in "0123456789":
            if not (place == 0 and new == "0"):
                yield digits[:place] + new + digits[place:]
