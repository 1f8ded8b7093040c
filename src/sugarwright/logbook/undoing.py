"""Taking back and correcting: what to add to the book, in which nothing is ever overwritten."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from sugarwright.errors import InputError
from sugarwright.logbook.amounts import is_number
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.retell import head_of
from sugarwright.logbook.tokens import Word
from sugarwright.logbook.words import (
    SURE_HINT,
    new_key,
    understand,
    understand_details,
)
from sugarwright.plant.house import House

UNDO = "undo"
"""What an entry bears as its typed text that was made by taking another back."""
_LEVEL = {"volume", "depth"}
WITHDRAW_WORDS = ("withdraw", "withdrawn", "nothing", "delete", "remove", "take back", "wrong")
"""Words of a correction after which nothing stands for the entry."""


def what_was_last(newest: Sequence[Entry]) -> tuple[Entry, ...]:
    """Return what was entered last and not taken back yet: all that one command entered.

    Parameters
    ----------
    newest : entries, the newest first, those that no longer stand among them
    """
    taken_back = {each.replaces for each in newest if each.typed == UNDO}
    left = [each for each in newest if each.typed != UNDO and each.key not in taken_back]
    if not left:
        return ()
    last = left[0]
    together = [each for each in left if (each.made_s, each.source) == (last.made_s, last.source)]
    return tuple(reversed(together))


def undoing(
    entry: Entry, history: Sequence[Entry], now_s: float, key: Callable[[], str] = new_key
) -> Entry:
    """Return the entry to add so that it is again as before another was entered.

    Parameters
    ----------
    entry : the one to take back
    history : all versions of it, the oldest first
    now_s : UTC s
    """
    at = next(i for i, each in enumerate(history) if each.key == entry.key)
    before = history[at - 1] if at > 0 else None
    if before is None or before.kind == "withdrawn":
        return withdrawal(entry, now_s, UNDO, key)
    return replace(before, key=key(), made_s=now_s, typed=UNDO, replaces=entry.key)


def withdrawal(
    entry: Entry, now_s: float, typed: str, key: Callable[[], str] = new_key, who: str = ""
) -> Entry:
    """Return the entry after which nothing stands for another."""
    return Entry(key(), "withdrawn", entry.at_s, now_s, who=who, typed=typed, replaces=entry.key)


def correction(
    old: Entry,
    text: str,
    house: House,
    now_s: float,
    *,
    sure: bool = False,
    sure_hint: str = SURE_HINT,
    key: Callable[[], str] = new_key,
) -> Entry:
    """Return the entry that corrects another.

    Parameters
    ----------
    old : the one that is wrong
    text : how it was, as typed; without a time or a person those of the old entry stay. Only a
        time, a person, or values that begin with a number: all else stays. One of
        ``WITHDRAW_WORDS``: nothing stands for it

    Raises
    ------
    InputError : the words are not understood, or say several things
    """
    if " ".join(text.casefold().split()) in WITHDRAW_WORDS:
        return withdrawal(old, now_s, text.strip(), key)
    details = understand_details(text, house, now_s)
    if details is not None:
        when, who = details
        if old.kind == "withdrawn":
            raise InputError("KEY", old.key, "was taken back", fix="Write what it is to say")
        begin_s = old.begin_s if when is None else when.begin_s
        return replace(
            old,
            key=key(),
            at_s=old.at_s if when is None else float(when.at_s),
            begin_s=begin_s,
            who=who or old.who,
            made_s=now_s,
            typed=text.strip(),
            replaces=old.key,
            source="person",
        )
    alone = _values_alone(old, text)
    said = understand(
        f"{head_of(old)} {text}" if alone else text, house, now_s, who=old.who, sure=sure, key=key,
        sure_hint=sure_hint,
    )  # fmt: skip
    if len(said.entries) > 1:
        raise InputError("words", text, "say several things", fix="Correct one entry at a time")
    (new,) = said.entries
    if alone:
        new = replace(_put_right(old, new), typed=text.strip())
    if said.own_time:
        return replace(new, replaces=old.key)
    return replace(new, at_s=old.at_s, begin_s=old.begin_s, replaces=old.key)


def _values_alone(old: Entry, text: str) -> bool:
    """Tell whether a correction begins with a number: it then says what old values should be."""
    words = text.split()
    return bool(words and head_of(old)) and is_number(Word(words[0], words[0].casefold()))


def _put_right(old: Entry, new: Entry) -> Entry:
    """Return an old entry with the values of a new one; a depth stands for a volume and back."""
    told = {each.quantity: each for each in new.measures}
    gone = _LEVEL - told.keys() if _LEVEL & told.keys() else set()
    kept = [told.pop(m.quantity, m) for m in old.measures if m.quantity not in gone]
    flags = tuple(dict.fromkeys([*(f for f in old.flags if f != "doubtful"), *new.flags]))
    return replace(
        new,
        measures=(*kept, *told.values()),
        words={**old.words, **new.words},
        flags=flags,
    )
