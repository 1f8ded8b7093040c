"""A number with its unit among the words: "14in", "31 gal", "5 ft 3 in", "1 1/2 cord", "$40"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError, QuantityError
from sugarwright.logbook.tokens import Word
from sugarwright.logbook.vocabulary import COUNTED
from sugarwright.units import (
    DURATION,
    FLOW,
    KINDS,
    LENGTH,
    MONEY,
    PRESSURE,
    TEMPERATURE,
    VOLUME,
    WOOD,
    Kind,
    parse,
)
from sugarwright.units.number import take_number

_CURRENCY = re.compile(r"[a-z]{0,3}[$€£]|usd|cad|eur|gbp|aud|nzd|dollars?|euros?|¢|cents?")
_STARTS_NUMBER = re.compile(r"[+-]?\.?[0-9]|[a-z]{0,3}[$€£]-?\.?[0-9]")
_MIXED = re.compile(r"[0-9]+/[0-9]+")
_MOST_UNIT_WORDS = 3


@dataclass(frozen=True)
class Amount:
    """A number as typed.

    Parameters
    ----------
    number : as written
    typed : the number, a space, its unit
    kind : what it is by its unit; None for a bare number, or one that counts
    value : in SI; of a bare number the number
    counted : a word behind it says what it counts ("taps")
    """

    number: float
    typed: str
    kind: Kind | None
    value: float
    counted: bool = False


def is_number(word: Word) -> bool:
    """Tell whether a word starts a number."""
    return not word.quoted and _STARTS_NUMBER.match(word.plain) is not None


def take_amount(words: Sequence[Word], at: int, kinds: Sequence[Kind]) -> tuple[Amount, int]:
    """Return the amount that starts at a place, and the place behind it.

    Parameters
    ----------
    kinds : what it may be, first one first

    Raises
    ------
    InputError : no number, a unit of something else, or no unit at all
    """
    if money := _money(words, at, kinds):
        return money
    text, after = words[at].typed, at + 1
    if text.isdigit() and after < len(words) and _MIXED.match(words[after].plain):
        text, after = f"{text} {words[after].typed}", after + 1
    taken = take_number(text)
    if taken is None:
        raise InputError("number", text, "cannot be read", fix="Write it like 14, 1.9 or 1 1/2")
    number, glued = taken
    digits = text[: len(text) - len(glued)].strip()
    if re.search("[0-9]", glued) and not any(kind.find(glued) for kind in kinds):
        return _in_parts(text, number, after, kinds)
    found = _unit(words, after, glued, kinds)
    if found is None:
        return _bare(words, after, number, digits, glued, kinds)
    kind, unit, end = found
    typed = f"{digits} {unit}"
    longer = _more_parts(words, typed, end, kind)
    if longer is not None:
        typed, end = longer
    return Amount(number, typed, kind, parse(typed, kind, kind.name)), end


def _money(words: Sequence[Word], at: int, kinds: Sequence[Kind]) -> tuple[Amount, int] | None:
    """Read "$40", "40 dollars", "40€"."""
    if MONEY not in kinds:
        return None
    here = words[at]
    text, after = here.typed, at + 1
    if not _CURRENCY.search(here.plain):
        there = words[after].plain if after < len(words) else ""
        if not _CURRENCY.fullmatch(there) or take_number(text) is None:
            return None
        text, after = f"{text} {words[after].typed}", after + 1
    try:
        value = parse(text, MONEY, "money")
    except QuantityError:
        return None
    return Amount(value, text, MONEY, value), after


def _unit(
    words: Sequence[Word], after: int, glued: str, kinds: Sequence[Kind]
) -> tuple[Kind, str, int] | None:
    """Return the longest unit behind a number: its kind, its text, the place behind it."""
    for unit, end in _candidates(words, after, glued):
        kind = next((kind for kind in kinds if kind.find(unit) is not None), None)
        if kind is not None:
            return kind, unit, end
        for kind in kinds:
            if why := kind.why_refused(unit):
                allowed = ", ".join(each.name for each in kind.units if each.name)
                raise InputError("unit", unit, why, allowed)
    return None


def _candidates(words: Sequence[Word], after: int, glued: str) -> list[tuple[str, int]]:
    """Return the texts that may be the unit, longest first."""
    out = []
    for more in range(_MOST_UNIT_WORDS, -1, -1):
        behind = words[after : after + more]
        if len(behind) == more and not any(word.quoted or is_number(word) for word in behind):
            unit = " ".join([glued, *(word.typed for word in behind)]).strip()
            if unit:
                out.append((unit, after + more))
    return out


def _bare(
    words: Sequence[Word],
    after: int,
    number: float,
    digits: str,
    glued: str,
    kinds: Sequence[Kind],
) -> tuple[Amount, int]:
    """Return a number without a unit that is known here; refuse one with a unit that is not."""
    behind = glued or (words[after].plain if after < len(words) else "")
    if behind.casefold() in COUNTED:
        end = after + (not glued)
        return Amount(number, f"{digits} {behind.casefold()}", None, number, True), end
    if glued or _is_foreign(behind):
        return _refused(digits, behind, kinds)
    return Amount(number, digits, None, number), after


def _is_foreign(word: str) -> bool:
    """Tell whether a word is a unit of anything; single letters are too many things."""
    return len(word) > 1 and any(kind.find(word) is not None for kind in KINDS)


def _refused(digits: str, unit: str, kinds: Sequence[Kind]) -> tuple[Amount, int]:
    """Tell why a unit cannot stand here."""
    other = next((kind for kind in KINDS if kind.find(unit) is not None), None)
    wanted = ", ".join(units_of(kinds))
    if other is not None:
        raise InputError(
            "unit", f"{digits} {unit}", f"is a {other.name}, which has no place here", wanted
        )
    from difflib import get_close_matches

    names = {spelling.casefold(): name for kind in kinds for spelling, name in kind.names.items()}
    near = get_close_matches(unit.casefold(), [name for name in names if name], n=1)
    fix = f'Did you mean "{digits} {names[near[0]]}"?' if near else ""
    raise InputError("unit", f"{digits} {unit}", f"{unit} is no unit known here", wanted, fix)


def _in_parts(text: str, number: float, after: int, kinds: Sequence[Kind]) -> tuple[Amount, int]:
    """Read "1h30" and the like, which only kinds in parts know."""
    for kind in kinds:
        if kind.parts:
            try:
                return Amount(number, text, kind, parse(text, kind, kind.name)), after
            except QuantityError:
                continue
    raise InputError("number", text, "cannot be read", ", ".join(units_of(kinds)))


def _more_parts(words: Sequence[Word], typed: str, end: int, kind: Kind) -> tuple[str, int] | None:
    """Join "3 in" to "5 ft"; a number without a unit belongs to what follows."""
    if not kind.parts or end >= len(words) or not words[end].plain[:1].isdigit():
        return None
    taken = take_number(words[end].typed)
    if taken is None:
        return None
    for after in (end + 1, end + 2):
        last = words[after - 1].typed if after <= len(words) else ""
        if not last or last[-1].isdigit():
            continue
        text = " ".join([typed, *(word.typed for word in words[end:after])])
        try:
            parse(text, kind, kind.name)
        except QuantityError:
            continue
        return text, after
    return None


def units_of(kinds: Sequence[Kind], system: str = "") -> list[str]:
    """Return the units to offer for some kinds, of one system of units or of both."""
    systems = [system] if system else ["us", "metric"]
    names = [unit for kind in kinds for each in systems for unit in _offered(kind, each)]
    return list(dict.fromkeys(names))


def _offered(kind: Kind, system: str) -> tuple[str, ...]:
    offered = {
        VOLUME: (("gal",), ("L",)),
        LENGTH: (("in",), ("cm",)),
        TEMPERATURE: (("F",), ("C",)),
        FLOW: (("gal/h", "gal/min"), ("L/h", "L/min")),
        DURATION: (("min", "h"), ("min", "h")),
        PRESSURE: (("psi", "inHg"), ("bar", "kPa")),
    }
    us, metric = offered.get(kind, (tuple(each for each, _ in kind.us),) * 2)
    if kind is WOOD:
        us, metric = ("cord",), ("stere",)
    return tuple(unit for unit in (metric if system == "metric" else us) if unit)
