"""One statement: its head, and what each word behind it means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from sugarwright.errors import InputError
from sugarwright.logbook.amounts import is_number, take_amount, units_of
from sugarwright.logbook.entry import Measure
from sugarwright.logbook.forms import Form, form_of_head
from sugarwright.logbook.meaning import tank_at
from sugarwright.logbook.measuring import Drafts
from sugarwright.logbook.places import begin, names_of
from sugarwright.logbook.tokens import Word, longest
from sugarwright.logbook.vocabulary import (
    FILLERS,
    FLAG_WORDS,
    LEVELS,
    NAMED,
    TELLING,
    WITHIN,
    instrument_words,
    value_words,
)
from sugarwright.plant.house import House
from sugarwright.plant.tanks import capacity_m3


@dataclass
class Statement:
    """What one statement says, without when and by whom."""

    form: Form
    place: str
    to_place: str
    measures: tuple[Measure, ...] = ()
    words: dict[str, str] = field(default_factory=dict)
    flags: list[str] = field(default_factory=list)


def read_statement(words: Sequence[Word], house: House) -> Statement:
    """Return what a statement says.

    Raises
    ------
    InputError : a word that has no meaning there, a number that could be several things, or what
        the form cannot do without is missing
    """
    begun = begin(words, house)
    said = Statement(begun.form, begun.place, begun.to_place)
    drafts = Drafts(begun.form, begun.place, house)
    rest, at, name = begun.rest, 0, ""
    while at < len(rest):
        if is_number(rest[at]):
            amount, at = take_amount(rest, at, drafts.kinds)
            drafts.add(amount, name)
            name = ""
        elif rest[at].plain.startswith(WITHIN):
            at = _within(rest, at, drafts)
        elif rest[at].plain in NAMED and not rest[at].quoted and _number_follows(rest, at):
            name, at = rest[at].plain, at + 1
        else:
            at = _take_word(rest, at, said, drafts)
    said.measures = drafts.measures()
    _has_what_it_needs(said)
    return said


def _number_follows(words: Sequence[Word], at: int) -> bool:
    return any(
        is_number(word)
        for word in words[at + 1 : at + 3]
        if is_number(word) or word.plain not in FILLERS
    )


def _within(words: Sequence[Word], at: int, drafts: Drafts) -> int:
    """Read "±0.2" or "±0.2 in" behind a value."""
    typed = words[at].typed
    bare = Word(typed.removeprefix(WITHIN), words[at].plain.removeprefix(WITHIN))
    if not is_number(bare):
        raise InputError("±", typed, "has no number behind it", fix="Write it like 1.9 ±0.2")
    amount, after = take_amount([bare, *words[at + 1 :]], 0, drafts.kinds)
    drafts.set_sd(amount, amount.typed)
    return at + after


def _take_word(words: Sequence[Word], at: int, said: Statement, drafts: Drafts) -> int:
    """Take a word (or several) that is no number; return the place behind it."""
    word = words[at]
    if found := longest(words, at, FLAG_WORDS):
        if FLAG_WORDS[found] not in said.flags:
            said.flags.append(FLAG_WORDS[found])
        return at + len(found)
    if word.plain in TELLING and at + 1 < len(words):
        return _tell(words, at, said)
    if found := longest(words, at, value_words()):
        _set_word(said, *value_words()[found])
        return at + len(found)
    if word.plain == "with" and at + 1 < len(words) and words[at + 1].quoted:
        drafts.set_instrument(words[at + 1].typed)
        return at + 2
    if found := longest(words, at, instrument_words()):
        drafts.set_instrument(instrument_words()[found])
        return at + len(found)
    if word.plain in LEVELS and "volume" in said.form.quantities:
        drafts.add_level(word.plain, _level_m3(word.plain, said, drafts.house))
        return at + 1
    if word.plain in FILLERS and not word.quoted:
        return at + 1
    behind_number = at > 0 and is_number(words[at - 1])
    raise unknown(word, drafts.house, units_of(drafts.kinds) if behind_number else ())


def _tell(words: Sequence[Word], at: int, said: Statement) -> int:
    """Read "taste good", "off-flavour smoky", 'cleaner "label name"'."""
    found = None if words[at + 1].quoted else longest(words, at + 1, value_words())
    text = words[at + 1].typed if found is None else " ".join(found)
    _set_word(said, TELLING[words[at].plain], text)
    return at + 1 + (1 if found is None else len(found))


def _set_word(said: Statement, key: str, text: str) -> None:
    if key in said.words:
        raise InputError(key.replace("_", "-"), text, f'is told twice, first "{said.words[key]}"')
    said.words[key] = text


def _level_m3(level: str, said: Statement, house: House) -> float:
    if level == "empty":
        return 0.0
    tank = tank_at(house, said.place)
    if tank is None:
        raise InputError(said.form.heads[0], level, "says nothing where no tank is described")
    return capacity_m3(tank)


def _has_what_it_needs(said: Statement) -> None:
    quantities = {each.quantity for each in said.measures}
    if said.form.needs and not quantities.intersection(said.form.needs):
        needed = ", ".join(each.replace("_", " ") for each in said.form.needs[:4])
        fix = f"Write it as in: {said.form.example}"
        raise InputError(said.form.heads[0], None, "what of it?", needed, fix)


def unknown(word: Word, house: House, units: Sequence[str] = ()) -> InputError:
    """Return the error about a word that means nothing here, with the nearest that do.

    Parameters
    ----------
    units : those that the number before it could have
    """
    from difflib import get_close_matches

    heads = [" ".join(head) for head in form_of_head()]
    names = [" ".join(name) for name in names_of(house)]
    inside = [" ".join(each) for each in (*FLAG_WORDS, *value_words(), *instrument_words())]
    if word.plain in (*heads, *names):
        fix = f"Write it down by itself: {word.plain} ..."
        return InputError("words", word.typed, "begins something else", fix=fix)
    known = [*heads, *names, *NAMED, *inside, *TELLING, *LEVELS, *units, "yesterday", "today", "by"]
    near = get_close_matches(word.plain, dict.fromkeys(known), n=2, cutoff=0.65)
    told = " or ".join(f'"{each}"' for each in near)
    fix = f"Did you mean {told}?" if near else 'What is no word of its own goes behind "note"'
    return InputError("words", word.typed, "is not understood", ", ".join(units), fix)
