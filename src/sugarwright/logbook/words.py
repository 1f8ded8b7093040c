"""What happened, in few words a person would type, made into entries of the logbook.

A text is one statement or several. A statement begins with one of the heads of ``forms.FORMS``, or
with the name of a gathering; what is behind it may stand in any order.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.logbook.amounts import is_number
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.places import head_at
from sugarwright.logbook.possible import Doubt, DoubtError, doubt_of
from sugarwright.logbook.statement import Statement, read_statement, unknown
from sugarwright.logbook.tokens import Word, longest, split_note, split_parts
from sugarwright.logbook.vocabulary import FILLERS, TELLING
from sugarwright.logbook.when import When, take_when, without_when
from sugarwright.plant.house import House

T = TypeVar("T")
SURE_HINT = "If it is so, say it again with --sure"
_MOST_STATEMENTS = 20


def new_key() -> str:
    """Return a key that no other entry has."""
    return uuid.uuid4().hex


@dataclass(frozen=True)
class Understood:
    """What a text was understood as.

    Parameters
    ----------
    entries : in the order in which they were said
    doubts : values beyond what can be, which the person was sure of
    own_time : the text says when it was
    """

    entries: tuple[Entry, ...]
    doubts: tuple[Doubt, ...] = ()
    own_time: bool = False


@dataclass
class _Said:
    """The words of a statement, with its time and person taken out."""

    words: list[Word]
    when: When | None
    who: str


def understand(
    text: str,
    house: House,
    now_s: float,
    *,
    who: str = "",
    sure: bool = False,
    made_s: float | None = None,
    key: Callable[[], str] = new_key,
    sure_hint: str = SURE_HINT,
) -> Understood:
    """Return the entries that a text states.

    Parameters
    ----------
    text : as typed: "sap 14in 1.9", "gather north 120 gal ice, lit at 17:00 by Ann"
    house : whose names, tanks, units and clock are meant
    now_s : UTC s; entries that state no time are of now, none is of later
    who : entered it, where the text does not say
    sure : keep values beyond what can be, flagged "doubtful"
    made_s : UTC s at which it is entered; ``now_s`` if left out
    key : makes the keys
    sure_hint : how a person says that such a value is so

    Raises
    ------
    InputError : what is not understood, and what was probably meant
    DoubtError : a value is beyond what can be and ``sure`` is not said
    """
    before_note, note = split_note(text)
    zone = ZoneInfo(house.site.timezone)
    said = _statements(before_note, house, zone, now_s)
    statements = [read_statement(each.words, house) for each in said if each.words]
    if note:
        statements = _noted(statements, note, house)
        said = said or [_Said([], None, "")]
    if not statements:
        raise InputError("words", text.strip() or None, "say nothing that can be logged",
                         fix="Write what happened, as in: sap 14in 1.9")  # fmt: skip
    whens, people = _shared([each.when for each in said]), _shared([each.who for each in said])
    made = now_s if made_s is None else made_s
    entries, doubts = [], []
    for statement, when, person in zip(statements, whens, people, strict=True):
        found = _doubts(statement, house, sure, sure_hint)
        doubts += found
        entry = _entry(statement, when or When(int(now_s)), person or who, key(), made)
        if found and "doubtful" not in entry.flags:
            entry = replace(entry, flags=(*entry.flags, "doubtful"))
        entries.append(replace(entry, typed=text.strip()))
    return Understood(tuple(entries), tuple(doubts), any(each is not None for each in whens))


def understand_details(text: str, house: House, now_s: float) -> tuple[When | None, str] | None:
    """Return the time and the person of a text that says nothing else; None of any other.

    Raises
    ------
    InputError : the time cannot be
    """
    before_note, note = split_note(text)
    words = [word for _, part in split_parts(before_note) for word in part]
    if note or not words:
        return None
    said = _said(words, house, ZoneInfo(house.site.timezone), now_s)
    return None if said.words else (said.when, said.who)


def _statements(text: str, house: House, zone: ZoneInfo, now_s: float) -> list[_Said]:
    """Return the statements of a text: a part that begins with no head goes on with the one before.

    A time or a person alone at the beginning is for what follows.
    """
    groups: list[list[Word]] = []
    ahead: list[Word] = []
    for sign, words in split_parts(text, (each.name for each in house.gathering)):
        bare = without_when(_without_person(words, house)[1])
        head = head_at(bare, house) if bare else None
        if head is not None and not (groups and head[0] in TELLING):
            groups.append([*ahead, *words])
            ahead = []
        elif groups:
            groups[-1] += [Word(sign, sign)] if sign.isalpha() else []
            groups[-1] += words
        elif bare:
            raise _no_head(bare, house)
        else:
            ahead += words
    if len(groups) > _MOST_STATEMENTS:
        problem = f"say {len(groups)} things at once"
        raise InputError("words", text, problem, f"{_MOST_STATEMENTS} at most")
    said: list[_Said] = []
    for words in groups or ([ahead] if ahead else []):
        before = next((each.when for each in reversed(said) if each.when), None)
        said.append(_said(words, house, zone, now_s, None if before is None else before.at_s))
        if said[-1].words and head_at(said[-1].words, house) is None:
            raise _no_head(said[-1].words, house)
    return said


def _said(
    words: Sequence[Word], house: House, zone: ZoneInfo, now_s: float, day_s: float | None = None
) -> _Said:
    who, rest = _without_person(words, house)
    when, rest = take_when(rest, zone, now_s, day_s)
    return _Said(rest, when, who)


def _no_head(words: Sequence[Word], house: House) -> InputError:
    """Return the error about words of which none says what they are about."""
    telling = next((word for word in words if word.plain not in FILLERS), None)
    if telling is not None and not is_number(telling):
        return unknown(telling, house)
    typed = " ".join(word.typed for word in words)
    fix = (
        "Begin with a word such as sap, stock, draw or a gathering; a time is written 6:00 or 6 pm"
    )
    return InputError("words", typed, "do not say what they are about", fix=fix)


def _without_person(words: Sequence[Word], house: House) -> tuple[str, list[Word]]:
    """Return who is named behind "by", and the words without that."""
    rest: list[Word] = []
    who, at = "", 0
    names = {tuple(each.name.casefold().split()): each.name for each in house.people}
    while at < len(words):
        if words[at].plain != "by" or words[at].quoted:
            rest.append(words[at])
            at += 1
            continue
        if at + 1 == len(words):
            raise InputError("by", None, "who?", fix="Write a name behind it, as in: by Ann")
        found = longest(words, at + 1, names)
        name = words[at + 1].typed if found is None else names[found]
        if who:
            raise InputError("by", name, f"is a second person; the first is {who}")
        who = name
        at += 1 + (1 if found is None else len(found))
    return who, rest


def _noted(statements: list[Statement], note: str, house: House) -> list[Statement]:
    """Put a note to what was said last, or let it stand alone."""
    if not statements:
        statements = [read_statement([Word("note", "note")], house)]
    statements[-1].words["note"] = note
    return statements


def _shared(own: Sequence[T | None]) -> list[T | None]:
    """Return each statement's own (time, person), else that of the one before, else the next."""
    out: list[T | None] = []
    last = next((each for each in own if each), None)
    for each in own:
        last = each or last
        out.append(last)
    return out


def _doubts(statement: Statement, house: House, sure: bool, sure_hint: str) -> list[Doubt]:
    found = []
    for measure in statement.measures:
        form = statement.form
        if measure.value < 0.0 and measure.quantity != "temperature":
            raise InputError(form.heads[0], measure.typed, "is less than nothing", "0 or more")
        doubt = doubt_of(house, form.kind, statement.place, statement.to_place, measure)
        if doubt is not None and not sure:
            raise DoubtError(doubt, form.heads[0], sure_hint)
        found += [] if doubt is None else [doubt]
    return found


def _entry(statement: Statement, when: When, who: str, key: str, made_s: float) -> Entry:
    return Entry(
        key=key,
        kind=statement.form.kind,
        at_s=float(when.at_s),
        made_s=float(made_s),
        begin_s=None if when.begin_s is None else float(when.begin_s),
        place=statement.place,
        to_place=statement.to_place,
        measures=statement.measures,
        words=dict(statement.words),
        flags=tuple(statement.flags),
        who=who,
    )
