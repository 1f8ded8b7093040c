"""The small grammar of ``--if``: what a person supposes, in plain words, into values.

One clause supposes one thing ("Ann away Saturday"); clauses joined by ";" or "and" are supposed
together. Little words don't count ("the", "is"); a day stands anywhere, today where none does.
"""

from __future__ import annotations

import re
from difflib import get_close_matches

from sugarwright.errors import InputError
from sugarwright.planning.if_contradictions import Said, check_together
from sugarwright.planning.if_people import AWAY, HOME, LEAVE, read_people
from sugarwright.planning.if_quantities import read_quantity
from sugarwright.planning.if_time import DAY_WORDS, NUMBERS, When, take_time, words_of
from sugarwright.planning.if_today import Today, span_of
from sugarwright.planning.if_wrong import check_words, examples, nobody_named
from sugarwright.planning.suppositions import Forced, Supposition, check_house
from sugarwright.plant.special_hours import Outage

MOST_LETTERS = 200
_JOINTS = re.compile(r"\s*;\s*|\s+and\s+")
_FILLERS = words_of("the a an at is are am be if i we it its of my our by worth only just about")
_MACHINES = {"membrane": "membrane", "ro": "membrane", "pump": "pump", "pumps": "pump",
             "pan": "pan", "evaporator": "pan", "fire": "pan"}  # fmt: skip
_DOWN = words_of("down out broken off frozen stuck")
_OUT_OF_ORDER = re.compile(r"\b(out of (order|action|use)|not working|broken down)\b")
_VOCABULARY = sorted(
    {*_MACHINES, *_DOWN, *HOME, *AWAY, *DAY_WORDS, *NUMBERS, *_FILLERS}
    | words_of("no not light on off start stop wash leave overnight night till until from all day "
          "noon midnight home warmer colder sap stock permeate wood condition brix set-point "
          "setting set hour syrup somebody everybody nobody cord cords gal gallons let go keep "
          "gather gathering fetch trips")
)  # fmt: skip


def read_if(text: str, today: Today) -> tuple[Supposition, ...]:
    """Read what is supposed.

    Parameters
    ----------
    text : one clause, or several to be supposed together
    today : from where it is said

    Returns
    -------
    One or more suppositions for each clause.

    Raises
    ------
    InputError : a clause is not understood, speaks of what the house has not, or of a day beyond
        the plan; or two of them cannot both be
    """
    if len(text) > MOST_LETTERS:
        raise InputError("--if", text[:40] + " ...", "is too long", f"{MOST_LETTERS} letters")
    found: list[Supposition] = []
    said: list[Said] = []
    for clause in _JOINTS.split(text.strip()):
        things = _clause(clause, today)
        if not things:
            raise _not_understood(clause, today)
        for thing in things:
            check_house(today.house, thing, clause)
            _within_plan(thing, today, clause)
        found += things
        said.append((clause, things))
    check_together(said, today.at_s)
    return tuple(found)


def _clause(clause: str, today: Today) -> list[Supposition]:
    quantity = read_quantity(clause, today.house, today.named, today.day)
    if quantity is not None:
        return [quantity]
    when, plain = _plain(clause)
    day = today.day if when.day is None else today.named(when.day)
    for read in (_no, _acts, _machine, read_people):
        found = read(plain, when, day, today)
        if found:
            return found
    return []


def _plain(clause: str) -> tuple[When, list[str]]:
    """Return the times of a clause, and its other words without those that don't count."""
    lower = _OUT_OF_ORDER.sub("down", clause.lower())
    when, left = take_time(re.sub(r"[,.!?'\u2019](?!\d)", " ", lower).split())
    return when, [word for word in left if word not in _FILLERS]


def _not_understood(clause: str, today: Today) -> InputError:
    """Name the wrong part of a clause, else what was probably meant, else what can be said.

    Raises
    ------
    InputError : one word is wrong
    """
    _, plain = _plain(clause)
    check_words(clause, plain)
    meant = _meant(clause, today)
    if len(plain) > 1 and plain[-1] in HOME | AWAY | LEAVE and _MACHINES.keys().isdisjoint(plain):
        return nobody_named(clause, " ".join(plain[:-1]), today.house, meant)
    return InputError("--if", clause, "is not understood", examples(today.house), meant)


def _meant(clause: str, today: Today) -> str:
    """Put the nearest known word for each unknown one; ask back if that can be read."""
    known = [*_VOCABULARY, *(person.name.lower() for person in today.house.people)]
    near_to = [word for word in known if word not in _FILLERS]  # "Ann" is no slip of "an"
    words = []
    for word in clause.split():
        near = get_close_matches(word.lower()[:40], near_to, n=1, cutoff=0.6)
        keeps = word.lower() in known or any(c.isdigit() for c in word) or not near
        words.append(word if keeps else near[0])
    guess = " ".join(words)
    try:
        understood = guess != clause and bool(_clause(guess, today))
    except InputError:
        return ""
    return f'Did you mean "{guess}"?' if understood else ""


def _within_plan(thing: Supposition, today: Today, clause: str) -> None:
    begin_s = getattr(thing, "begin_s", None)
    if isinstance(thing, Forced):
        begin_s = today.at_s(thing.day, max(0.0, thing.value) if thing.value >= 1.0 else 0.0)
        if thing.day == today.day and 1.0 <= thing.value < today.minute:
            now = today.local(today.now_s).strftime("%H:%M")
            raise InputError("--if", clause, f"is over: the plan begins at {now}")
    end_s = getattr(thing, "end_s", None)
    if end_s is not None and end_s <= today.now_s:
        now = today.local(today.now_s).strftime("%H:%M")
        raise InputError("--if", clause, f"is over: the plan begins at {now}")
    if begin_s is not None and begin_s >= today.end_s:
        last = today.local(today.end_s).strftime("%A %H:%M")
        raise InputError("--if", clause, f"lies beyond the plan, which ends on {last}")


# --- clauses of words and times ------------------------------------------------------------------


def _no(words: list[str], when: When, day: int, today: Today) -> list[Supposition]:
    """No fire, no membrane, no wash, no trips for sap; nobody."""
    if len(words) == 2 and words[0] in ("no", "without"):
        if words[1] in ("wash", "washing"):
            return [Forced("wash", day, -1.0)]
        if words[1] in ("gathering", "trip", "trips"):
            return [Forced("gather", day, -1.0)]
        if words[1] in _MACHINES:
            return _outage(_MACHINES[words[1]], when, day, today)
    return []


def _machine(words: list[str], when: When, day: int, today: Today) -> list[Supposition]:
    if len(words) == 2 and words[0] in _MACHINES and words[1] in _DOWN:
        return _outage(_MACHINES[words[0]], when, day, today)
    return []


def _outage(machine: str, when: When, day: int, today: Today) -> list[Supposition]:
    begin_s, end_s = span_of(when, day, today, afternoon=False)
    return [Outage(machine, begin_s, end_s)]


def _acts(words: list[str], when: When, day: int, today: Today) -> list[Supposition]:
    """An action at a clock time; and the membrane not overnight."""
    said = " ".join(words)
    if said in ("not overnight", "membrane not overnight", "no night", "not at night"):
        return [Forced("night", day, 0.0)]
    what = _ACTS.get(said)
    if what is None or when.at is None:
        return []
    return [Forced(what, day, float(when.minute(when.at, afternoon=True)))]


_ACTS = {
    said: what
    for what, each in {
        "light": "light, light fire, fire, fire on, fire lit, light up, keep fire",
        "let go": "fire out, let fire go, let go, fire off, stop fire",
        "membrane on": "membrane on, membrane, start membrane, ro on, ro, start ro, membrane start",
        "membrane off": "membrane off, stop membrane, ro off, stop ro, membrane out",
        "wash": "wash, wash membrane",
        "gather": "gather, gather sap, fetch sap, trips",
    }.items()
    for said in each.split(", ")
}
