"""An entry written back in the words that make the same entry again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.logbook.amounts import take_amount
from sugarwright.logbook.catalogue import QUANTITIES
from sugarwright.logbook.clock import stamp
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.forms import Form, form_of
from sugarwright.logbook.places import place_words
from sugarwright.logbook.tokens import Word
from sugarwright.logbook.vocabulary import (
    LEVELS,
    NAMED,
    TELLING,
    WITHIN,
    flag_word,
    kind_of_quantity,
)
from sugarwright.plant.house import House

_NAME = {
    "concentrate_flow": "concentrate",
    "permeate_flow": "permeate",
    "feed_brix": "feed",
    "concentrate_brix": "concentrate",
    "permeate_brix": "permeate",
    "money": "paid",
    "light": "light",
    "count": "count",
}
"""The word before a quantity that its unit alone does not tell; the others need none."""
_SI_UNIT = {"_m3": "m3", "_m": "m", "_brix": "Brix", "_c": "C", "_pa": "Pa", "_m3_s": "m3/s",
            "_wood_m3": "stere", "_s": "s", "_money": "", "": ""}  # fmt: skip


def retell(entry: Entry, house: House) -> str:
    """Return the words of an entry, with its time and person.

    Parameters
    ----------
    entry : one that words can say: its places are the house's own
    house : whose clock and names are used

    Raises
    ------
    InputError : no form of words says such an entry
    """
    form = form_of(entry.kind, entry.place)
    if form is None or (entry.place and not (form.place or form.asks)):
        problem = "cannot be said in words"
        raise InputError("entry", f"{entry.kind} at {entry.place}", problem)
    parts = [_when(entry, house), *([f'by "{entry.who}"'] if entry.who else []), _head(form, entry)]
    parts += _measures(entry)
    parts += [f'{_telling(key)} "{text}"' for key, text in entry.words.items() if key != "note"]
    parts += [flag_word(each) for each in entry.flags]
    if note := entry.words.get("note"):
        parts.append(f"note {note}")
    return " ".join(part for part in parts if part)


def retell_bare(entry: Entry, house: House) -> str:
    """Return the words of an entry of a moment without its time and person.

    In a correction those of the old entry stay.

    Raises
    ------
    InputError : no form of words says such an entry, or it has a span
    """
    if entry.begin_s is not None:
        raise InputError("entry", entry.kind, "has a span")
    return retell(replace(entry, who=""), house).removeprefix(f"{_when(entry, house)} ")


def head_of(entry: Entry) -> str:
    """Return the words that such an entry begins with, its places among them; empty of a note."""
    form = form_of(entry.kind, entry.place)
    if form is None or (entry.place and not (form.place or form.asks)):
        return ""
    return _head(form, entry)


def _when(entry: Entry, house: House) -> str:
    zone = ZoneInfo(house.site.timezone)
    end = stamp(entry.at_s, zone)
    return f"at {end}" if entry.begin_s is None else f"from {stamp(entry.begin_s, zone)} to {end}"


def _head(form: Form, entry: Entry) -> str:
    if form.kind == "note":
        return ""  # its words begin the statement themselves
    places = [place_words(each) for each in (entry.place, entry.to_place) if each and form.asks]
    return " ".join([form.heads[0], *places])


def _telling(key: str) -> str:
    return next(word for word, each in TELLING.items() if each == key)


def _measures(entry: Entry) -> Iterator[str]:
    """Yield what was measured, named where its number would be read with the one before it.

    "paid 0 volume 1/4 gal": without the name "0 1/4 gal" is said.
    """
    before = ""
    for each in entry.measures:
        text = _measure(each)
        if before[-1:].isdigit() and text[:1].isdigit():
            text = f"{_name_of(each.quantity)} {text}".strip()
        yield text
        before = text


def _name_of(quantity: str) -> str:
    """Return a word for a quantity that is not its unit: "80 brix 2.1" has 80 Brix first."""
    kind = kind_of_quantity(quantity)
    unit = "" if kind is None else kind.units[0].name.casefold()
    names = (name for name, means in NAMED.items() if quantity in means)
    return next((name for name in names if name != unit), "")


def _measure(measure: Measure) -> str:
    name = _NAME.get(measure.quantity, "")
    if measure.typed.endswith(tuple("abcdefghijklmnopqrstuvwxyz")) and measure.quantity == "count":
        name = ""  # "3 jars"
    typed = measure.typed if _means_the_same(measure) else _in_si(measure)
    within = "" if measure.sd is None else _within(measure)
    read = f'with "{measure.instrument}"' if measure.instrument else ""
    return " ".join(part for part in (name, typed, within, read) if part)


def _means_the_same(measure: Measure) -> bool:
    """Tell whether what was typed still says the value; it may come from another program."""
    if measure.typed in LEVELS:
        return True
    kind = kind_of_quantity(measure.quantity)
    words = [Word(each, each.casefold()) for each in measure.typed.split()]
    try:
        amount, after = take_amount(words, 0, [] if kind is None else [kind])
    except (InputError, IndexError):
        return False
    return after == len(words) and amount.value == measure.value and amount.typed == measure.typed


def _in_si(measure: Measure) -> str:
    unit = _SI_UNIT[QUANTITIES[measure.quantity].suffix]
    return f"{measure.value!r} {unit}".strip()


def _within(measure: Measure) -> str:
    """The uncertainty in SI: it needs no rounding to come back as it was."""
    kind = kind_of_quantity(measure.quantity)
    unit = _SI_UNIT[QUANTITIES[measure.quantity].suffix]
    return f"{WITHIN}{measure.sd!r} {unit}".strip() if kind else f"{WITHIN}{measure.sd!r}"
