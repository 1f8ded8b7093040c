"""Where it was: a tank, a gathering by the house's own name, the pan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError
from sugarwright.logbook.amounts import is_number
from sugarwright.logbook.catalogue import GATHERING
from sugarwright.logbook.forms import Form, form_of_head
from sugarwright.logbook.tokens import Word, longest, plain_words
from sugarwright.logbook.vocabulary import COUNTED, FILLERS, FLAG_WORDS, LEVELS, NAMED, TELLING
from sugarwright.plant.house import House

_TANKS = ("sap", "stock", "permeate")
_BEFORE = ("the", "from", "to", "of", "at", "in", "into")


@dataclass(frozen=True)
class Begun:
    """How a statement begins: its form, its places, and the words behind them."""

    form: Form
    place: str
    to_place: str
    rest: list[Word]


def names_of(house: House) -> dict[tuple[str, ...], str]:
    """Return the words of each gathering's name with the name."""
    return {plain_words(each.name): each.name for each in house.gathering}


def head_at(words: Sequence[Word], house: House) -> tuple[str, ...] | None:
    """Return the head (or the gathering's name, where it is longer) that some words begin with."""
    head = longest(words, 0, form_of_head())
    name = _name_at(words, 0, house)
    if name is not None and (head is None or name[1] > len(head)):
        return ("gather",)
    return head


def begin(words: Sequence[Word], house: House) -> Begun:
    """Return how a statement begins.

    Raises
    ------
    InputError : with no known word, or it does not say where and could mean several places
    """
    head = longest(words, 0, form_of_head())
    name = _name_at(words, 0, house)
    if name is not None and (head is None or name[1] > len(head)):
        found, at = name
        is_tank = at < len(words) and words[at].plain == "tank"
        form = form_of_head()[("tank",) if is_tank else ("gather",)]
        return Begun(form, GATHERING + found, "", list(words[at + is_tank :]))
    if head is None:
        raise ValueError("a statement begins with a head")
    form = form_of_head()[head]
    _has_what_it_speaks_of(form, house)
    at = 0 if head[0] in TELLING else len(head)  # "off-flavour" needs its own word behind it
    if form.asks in ("gathering", "gathering?"):
        place, at = _gathering(words, at, house, form)
        return Begun(form, place, "", list(words[at:]))
    if form.asks:
        place, at = _tank(words, at, house, form)
        to_place = ""
        if form.asks == "tanks":
            to_place, at = _tank(words, at, house, form)
        if to_place and to_place == place:
            raise InputError(form.heads[0], words[at - 1].typed, "goes to where it comes from")
        return Begun(form, place, to_place, list(words[at:]))
    return Begun(form, form.place, "", list(words[at:]))


def place_words(place: str) -> str:
    """Return a place as it is written back among the words."""
    return f'"{place.removeprefix(GATHERING)}"' if place.startswith(GATHERING) else place


def _has_what_it_speaks_of(form: Form, house: House) -> None:
    lacks = house.membrane is None and (form.place in ("membrane", "stock", "permeate"))
    if lacks or (form.place == "stock" and house.stock_tank is None):
        what = "membrane" if house.membrane is None else "stock tank"
        raise InputError(
            form.heads[0], None, f"the house has no {what}", fix="Describe it in sugarhouse.toml"
        )


def _name_at(words: Sequence[Word], at: int, house: House) -> tuple[str, int] | None:
    """Return the gathering named at a place, and the place behind its name."""
    names = names_of(house)
    if at < len(words) and words[at].quoted:
        return next(
            ((name, at + 1) for name in names.values() if name.casefold() == words[at].plain), None
        )
    found = longest(words, at, names)
    return None if found is None else (names[found], at + len(found))


def _gathering(words: Sequence[Word], at: int, house: House, form: Form) -> tuple[str, int]:
    after = at
    while after < len(words) and words[after].plain in (*_BEFORE, "gathering"):
        after += 1
    name = _name_at(words, after, house)
    if name is not None:
        return GATHERING + name[0], name[1]
    names = [each.name for each in house.gathering]
    if after < len(words) and not _goes_on(words, after):
        raise _unknown(form, words[after:], names, "names no gathering of this house")
    if form.asks == "gathering?":
        return "", at
    if len(names) == 1:
        return GATHERING + names[0], at
    raise _unknown(form, (), names, "does not say which gathering")


def _goes_on(words: Sequence[Word], at: int) -> bool:
    """Tell whether a word can be anything but a misspelt name."""
    plain = words[at].plain
    known = plain in (*FILLERS, *TELLING, *LEVELS, *NAMED) or longest(words, at, FLAG_WORDS)
    return bool(known) or is_number(words[at]) or plain in COUNTED


def _tank(words: Sequence[Word], at: int, house: House, form: Form) -> tuple[str, int]:
    explicit = False
    while at < len(words) and words[at].plain in (*_BEFORE, "gathering"):
        explicit = explicit or words[at].plain == "gathering"
        at += 1
    plain = words[at].plain if at < len(words) and not words[at].quoted else ""
    own = _name_at(words, at, house)
    own = None if own is not None and own[1] == at + 1 and plain in _TANKS else own
    if explicit or own is not None:
        own = _name_at(words, at, house)
        if own is not None:
            after = own[1]
            after += after < len(words) and words[after].plain == "tank"
            return GATHERING + own[0], after
    known = [*_TANKS, "pan"] if form.asks == "tank" else list(_TANKS)
    if plain in known and not explicit:
        at += 1
        return plain, at + (at < len(words) and words[at].plain == "tank")
    said = [] if at >= len(words) or is_number(words[at]) else words[at:]
    names = [*known, *(each.name for each in house.gathering)]
    raise _unknown(form, said, names, "is no tank" if said else "does not say which tank")


def _unknown(form: Form, said: Sequence[Word], names: list[str], problem: str) -> InputError:
    """Return the error about a place: what was said instead, and the name that is nearest."""
    from difflib import get_close_matches

    folded = {name.casefold(): name for name in names}
    tries = [" ".join(word.plain for word in said[:count]) for count in (3, 2, 1)]
    near = [found for text in tries if text for found in get_close_matches(text, folded, n=1)]
    fix = f'Did you mean "{folded[near[0]]}"?' if near else ""
    shown = said[0].typed if said else None
    return InputError(form.heads[0], shown, problem, ", ".join(names), fix)
