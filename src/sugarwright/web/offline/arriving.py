"""Entries that waited in a phone's outbox, written into the logbook: each once, each answered.

A phone sends an entry until it has an answer, so the same key may come again; the logbook knows it.
What is questioned or refused is not kept: the phone holds it until somebody decides.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Literal

from sugarwright.errors import InputError, LogbookError, RangeError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.possible import DoubtError
from sugarwright.logbook.telling import hints, tell, when_words
from sugarwright.logbook.undoing import correction, undoing
from sugarwright.logbook.words import understand
from sugarwright.plant.house import House

SURE_HINT = "If it is so, send it anyway"
CLOCK_SLACK_S = 120.0
"""By so much a phone's clock may differ before it is put right and told: its seconds say nothing."""
LONGEST_TEXT = 2000
State = Literal["kept", "already there", "questioned", "refused"]


@dataclass(frozen=True)
class Sent:
    """An entry as a phone sends it.

    Parameters
    ----------
    key : random, made with the entry
    text : in words of the logbook; empty where another entry is taken back
    undoes : key of an entry to take back
    corrects : key of an entry that ``text`` corrects
    made_at : UTC s by the phone's clock
    who : entered it, where the text does not say
    sure : the person was asked, and says that it is so
    """

    key: str
    text: str = ""
    undoes: str | None = None
    corrects: str | None = None
    made_at: float | None = None
    who: str = ""
    sure: bool = False


@dataclass(frozen=True)
class Answer:
    """What became of an entry.

    Parameters
    ----------
    key : of the entry
    state : kept, already there, questioned (with the doubt), or refused
    words : what was understood, or why it is not kept
    entries : keys in the logbook, the first being the entry's own; empty unless it is there
    """

    key: str
    state: State
    words: str
    entries: tuple[str, ...] = ()


class _Question(Exception):  # noqa: N818  what a person is asked is no error
    """Something a person should decide before it is kept."""


@dataclass(frozen=True)
class Desk:
    """Where entries arrive.

    Parameters
    ----------
    house : whose names, tanks and clock are meant
    book : its logbook
    now_s : UTC s by the computer's clock
    phone_s : UTC s by the phone's clock as it sent; None: it did not say
    """

    house: House
    book: Logbook
    now_s: float
    phone_s: float | None = None

    def take(self, sent: Iterable[Sent]) -> list[Answer]:
        """Write entries into the logbook, in order; return what became of each.

        Raises
        ------
        LogbookError : the logbook cannot be written; the phone keeps the entries and tries again
        """
        return [self._take(each) for each in sent]

    def _take(self, sent: Sent) -> Answer:
        there = self._there(sent.key)
        if there:
            return self._answer(sent, "already there", there)
        try:
            new = self._entries(sent)
            self.book.add(new)
        except _Question as question:
            return Answer(sent.key, "questioned", str(question))
        except DoubtError as doubt:
            return Answer(sent.key, "questioned", str(doubt))
        except LogbookError:
            raise
        except InputError as problem:
            return Answer(sent.key, "refused", str(problem))
        return self._answer(sent, "kept", new)

    def _answer(self, sent: Sent, state: State, there: list[Entry]) -> Answer:
        told = [f"{when_words(each, self.house)}  {tell(each, self.house)}" for each in there]
        told += dict.fromkeys(hint for each in there for hint in hints(each, self.house))
        if state == "kept":
            told += self._clock_words()
        words = ". ".join(told) if told else "It never came to the logbook: nothing to take back"
        return Answer(sent.key, state, words, tuple(each.key for each in there))

    def _entries(self, sent: Sent) -> list[Entry]:
        made_s = self._made_s(sent)
        if sent.undoes is not None:
            return self._taken_back(sent, made_s)
        if len(sent.text) > LONGEST_TEXT:
            raise RangeError("words", len(sent.text), "are too many letters", f"{LONGEST_TEXT}")
        if sent.corrects is not None:
            return [self._corrected(sent, made_s)]
        said = understand(sent.text, self.house, made_s, who=sent.who, sure=sent.sure,
                          key=_keys(sent.key), sure_hint=SURE_HINT)  # fmt: skip
        return list(said.entries)

    def _taken_back(self, sent: Sent, made_s: float) -> list[Entry]:
        key = _keys(sent.key)
        new = []
        for entry in self._there(sent.undoes or ""):
            history = self.book.history(entry.key)
            if history[-1].kind == "withdrawn":
                continue
            self._see_newest(sent, entry, history)
            new.append(undoing(history[-1], history, made_s, key))
        return [replace(each, who=sent.who) for each in new]

    def _corrected(self, sent: Sent, made_s: float) -> Entry:
        history = self.book.history(sent.corrects or "")
        if not history:
            raise InputError("entry", sent.corrects, "is not in the logbook")
        old = next(each for each in history if each.key == sent.corrects)
        self._see_newest(sent, old, history)
        new = correction(history[-1], sent.text, self.house, made_s, sure=sent.sure,
                         sure_hint=SURE_HINT, key=_keys(sent.key))  # fmt: skip
        return replace(new, who=sent.who or new.who)

    def _see_newest(self, sent: Sent, entry: Entry, history: tuple[Entry, ...]) -> None:
        """Ask when somebody else has changed an entry since the phone saw it."""
        newest = history[-1]
        if newest.key == entry.key or sent.sure:
            return
        who = f" by {newest.who}" if newest.who else ""
        raise _Question(
            f"It was changed since{who}; now it says: {tell(newest, self.house)}. {SURE_HINT}."
        )

    def _there(self, key: str) -> list[Entry]:
        """Return what one sent entry made, if the logbook has it: it may have said several things.

        What another phone corrected since is returned as it was sent.
        """
        found: list[Entry] = []
        make = _keys(key)
        while True:
            own = make()
            versions = self.book.history(own) if own else ()
            entry = next((each for each in versions if each.key == own), None)
            if entry is None:
                return found
            found.append(entry)

    def _made_s(self, sent: Sent) -> float:
        """Return UTC s by the computer's clock at which an entry was made; never of later."""
        if sent.made_at is None:
            return self.now_s
        if not (math.isfinite(sent.made_at) and sent.made_at > 0.0):
            raise RangeError("made_at", sent.made_at, "is no instant")
        return min(sent.made_at + self._clock_off_s, self.now_s)

    @property
    def _clock_off_s(self) -> float:
        """By how much the phone's clock is slow, where that matters; else 0."""
        if self.phone_s is None or not math.isfinite(self.phone_s):
            return 0.0
        off_s = self.now_s - self.phone_s
        return off_s if abs(off_s) > CLOCK_SLACK_S else 0.0

    def _clock_words(self) -> list[str]:
        off_s = self._clock_off_s
        if not off_s:
            return []
        which = "slow" if off_s > 0.0 else "fast"
        minutes = round(abs(off_s) / 60.0)
        by = f"{minutes} min" if minutes < 120 else f"{minutes / 60.0:.0f} h"
        return [f"This phone's clock is {by} {which} by the computer's: the time was put right"]


def _keys(first: str) -> Callable[[], str]:
    """Return what makes the keys of all that one sent entry says: its own, then with a number."""
    made = 0

    def key() -> str:
        nonlocal made
        made += 1
        return first if made == 1 else f"{first}-{made}"

    return key
