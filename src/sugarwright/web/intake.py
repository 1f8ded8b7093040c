"""``POST /entries``: what happened, from quick entry and from outboxes, each entry exactly once.

A list of entries comes in the order in which they were made, and each gets its own answer:

- "kept": it is on the disk
- "already there": an entry of that key was kept before; this is no second one
- "questioned": a value is beyond what can be, or what is to be corrected or taken back was changed
  by somebody meanwhile. With ``sure`` the value is kept as doubtful, the newest words are changed
- "refused": it is not understood, or cannot be kept; ``words`` say why
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Header, HTTPException, Request
from pydantic import BaseModel, Field

from sugarwright.answering.folder import description_in
from sugarwright.errors import InputError, KeyTakenError, LogbookError, SugarwrightError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.lines import logged
from sugarwright.logbook.possible import DoubtError
from sugarwright.logbook.undoing import UNDO, correction, undoing
from sugarwright.logbook.words import understand
from sugarwright.plant.house import House
from sugarwright.web.guard.doors import may_log
from sugarwright.web.rendering import shed_of
from sugarwright.web.shed import Shed

MOST_AT_ONCE = 200
MOST_LETTERS = 2000
SURE_HINT = "If it is so, say that you are sure"
CLOCKS_AGREE_S = 90.0
router = APIRouter()


class Said(BaseModel):
    """One thing that happened, as a phone or a form says it.

    ``at`` and ``made_at`` are UTC seconds by the clock of whoever sends; ``undoes`` and
    ``corrects`` are keys of earlier entries.
    """

    key: Annotated[str, Field(min_length=8, max_length=64, pattern=r"^[0-9A-Za-z_-]+$")]
    text: Annotated[str, Field(max_length=MOST_LETTERS)] = ""
    undoes: Annotated[str | None, Field(max_length=64)] = None
    corrects: Annotated[str | None, Field(max_length=64)] = None
    made_at: Annotated[float | None, Field(ge=0.0, le=1e11, allow_inf_nan=False)] = None
    at: Annotated[float | None, Field(ge=0.0, le=1e11, allow_inf_nan=False)] = None
    who: Annotated[str, Field(max_length=100)] = ""
    sure: bool = False


@dataclass(frozen=True)
class Answer:
    """What became of an entry.

    Parameters
    ----------
    key : as it was sent
    state : "kept", "already there", "questioned" or "refused"
    words : what it was understood as, or what is wrong
    hints : what a person should know of it, in sentences
    keys : of the entries in the logbook; several where the text said several things
    meant : of a questioned value, what was probably meant; may be empty
    """

    key: str
    state: str
    words: str
    hints: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    meant: str = ""


class _ChangedError(SugarwrightError):
    """What is to be corrected or taken back does not stand as it was seen."""


@router.post("/entries")
@may_log
def entries(
    request: Request,
    said: Annotated[list[Said], Field(max_length=MOST_AT_ONCE)],
    x_phone_clock: Annotated[float | None, Header(ge=0.0, le=1e11, allow_inf_nan=False)] = None,
) -> list[Answer]:
    """Keep what happened; answer each entry for itself, in the order of the list."""
    shed = shed_of(request)
    ahead_s = 0.0 if x_phone_clock is None else x_phone_clock - shed.now_s()
    try:
        return take_in(shed, said, ahead_s if abs(ahead_s) > CLOCKS_AGREE_S else 0.0)
    finally:
        shed.changed()


def take_in(shed: Shed, said: list[Said], ahead_s: float = 0.0) -> list[Answer]:
    """Keep entries.

    Parameters
    ----------
    shed : whose logbook it is
    said : in the order in which they were made
    ahead_s : how far the clock of whoever sends is ahead of this one, s
    """
    house = shed.house()
    with shed.record(make=True) as book:
        found = [_take(each, book, house, shed.now_s(), ahead_s) for each in said]
        if any(each.state == "kept" for each in found):
            book.keep_house(description_in(shed.folder), shed.now_s())
    return found


def _take(said: Said, book: Logbook, house: House, now_s: float, ahead_s: float) -> Answer:
    try:
        there = book.history(said.key)
        if there:
            return _there(said, there, house)
        new = _entries(said, book, house, now_s, ahead_s)
        book.add(new)
    except DoubtError as doubt:
        return Answer(said.key, "questioned", str(doubt), meant=doubt.doubt.meant)
    except _ChangedError as changed:
        return Answer(said.key, "questioned", str(changed))
    except LogbookError as problem:
        if isinstance(problem, KeyTakenError):
            return Answer(said.key, "refused", str(problem))
        raise HTTPException(503, str(problem)) from None  # whoever sends keeps it, and comes again
    except SugarwrightError as problem:
        return Answer(said.key, "refused", str(problem))
    written = logged(new, house)
    told = "; ".join(line.told for line in written.entries)
    return Answer(said.key, "kept", told, written.hints, tuple(each.key for each in new))


def _there(said: Said, history: tuple[Entry, ...], house: House) -> Answer:
    """Answer for a key that the logbook has: the same once more, or something else."""
    entry = next(each for each in history if each.key == said.key)
    if entry.typed != (UNDO if said.undoes else said.text.strip()):
        problem = "is the key of an entry that says something else, and that stays as it is"
        return Answer(said.key, "refused", str(KeyTakenError("key", said.key, problem)))
    return Answer(said.key, "already there", logged([entry], house).entries[0].told)


def _entries(
    said: Said, book: Logbook, house: House, now_s: float, ahead_s: float
) -> tuple[Entry, ...]:
    """Return what is said as entries of the logbook; nothing was made later than now."""
    made_s = now_s if said.made_at is None else min(said.made_at - ahead_s, now_s)
    at_s = made_s if said.at is None else min(said.at - ahead_s, now_s)
    key = _keys(said.key)
    if said.undoes is not None:
        return _taken_back(book, house, said, made_s, key)
    if said.corrects is not None:
        old, _ = _standing(book, house, "corrects", said.corrects, sure=said.sure)
        return (
            correction(old, said.text, house, at_s, sure=said.sure, sure_hint=SURE_HINT, key=key),
        )
    return understand(
        said.text, house, at_s, who=said.who, sure=said.sure, made_s=made_s, key=key,
        sure_hint=SURE_HINT,
    ).entries  # fmt: skip


def _taken_back(
    book: Logbook, house: House, said: Said, made_s: float, new_key: Callable[[], str]
) -> tuple[Entry, ...]:
    """Take back an entry, and what the same text said besides."""
    of_text = _keys(said.undoes or "")
    found = [_standing(book, house, "undoes", of_text(), sure=said.sure)]
    while history := book.history(beside := of_text()):
        found.append((next(each for each in history if each.key == beside), history))
    return tuple(undoing(entry, history, made_s, new_key) for entry, history in found)


def _standing(
    book: Logbook, house: House, field: str, key: str, *, sure: bool
) -> tuple[Entry, tuple[Entry, ...]]:
    """Return an entry as it stands, with its versions.

    Raises
    ------
    _ChangedError : it was changed since it was seen, and whoever sends was not asked yet
    """
    entry, history = _found(book, field, key)
    newest = history[-1]
    if newest.key == entry.key:
        return entry, history
    if not sure:
        was, now = (logged([each], house).entries[0].told for each in (entry, newest))
        told = "was taken back" if newest.kind == "withdrawn" else f"now says: {now}"
        by = f" by {newest.who}" if newest.who else ""
        raise _ChangedError(
            f'"{was}" was changed{by} since you saw it; it {told}. {SURE_HINT}, and yours counts.'
        )
    return newest, history


def _found(book: Logbook, field: str, key: str) -> tuple[Entry, tuple[Entry, ...]]:
    history = book.history(key)
    found = next((each for each in history if each.key == key), None)
    if found is None:
        raise InputError(field, key, "is the key of no entry in the logbook")
    return found, history


def _keys(first: str) -> Callable[[], str]:
    """Return what gives the keys of a text that says several things: the same ones each time."""
    count = 0

    def key() -> str:
        nonlocal count
        count += 1
        return first if count == 1 else f"{first}-{count}"

    return key
