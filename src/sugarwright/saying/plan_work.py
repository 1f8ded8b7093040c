"""What a day takes of people's hands beside its actions, in words."""

from __future__ import annotations

from sugarwright.planning.report import ChoreDue, Day
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.saying.words import counted
from sugarwright.units import DURATION

TOO_MUCH_S = 1800.0  # more work than hours by less than this is no matter
_DUE = {
    "each boil": "after the boil",
    "each membrane run": "with the membrane's run",
    "each wash": "with the wash",
    "each sap day": "the same day",
}


def chores_text(words: Words, day: Day) -> str:
    """Say which chores a day brings, how long each takes, and by when; empty without any."""
    return "; ".join(_chore(words, each) for each in day.chores)


def _chore(words: Words, chore: ChoreDue) -> str:
    text = chore.name
    if chore.syrup_m3 is not None:
        text += f", {words.volume(chore.syrup_m3)} of syrup:"
    due = _DUE.get(chore.when) or f"by {_night(words, chore)}"
    return f"{text} {_takes(words, chore)}, {due}"


def _takes(words: Words, chore: ChoreDue) -> str:
    """How long it takes, and how many people where that is more than one."""
    people = f", {counted(chore.people)} people" if chore.people > 1 else ""
    return f"{words.show(chore.duration_s, DURATION)}{people}"


def _night(words: Words, chore: ChoreDue) -> str:
    return f"{words.day(chore.by_s - 7200)} night"  # that begins before the midnight it is due by


def overwork_text(words: Words, day: Day) -> str:
    """Say so where a day asks for more hours of work than people give; else empty."""
    beyond_s = day.work_s.middle - day.given_s
    if beyond_s <= TOO_MUCH_S:
        return ""
    work, given = (words.show(each, DURATION) for each in (day.work_s.middle, day.given_s))
    text = f"with the fire and all else that is {work} of work, and you give {given}:"
    later = [each for each in day.chores if each.by_s > day.end_s]
    if beyond_s <= sum(each.duration_s * each.people for each in later):
        return f"{text} {_left(words, later, 'can wait')}, or it takes another pair of hands"
    even = f", even if {_left(words, later, 'waits')}" if later else ""
    return f"{text} that does not fit{even}; it takes another pair of hands"


def _left(words: Words, chores: list[ChoreDue], waits: str) -> str:
    """Say which chores need not be done that day, and till when each can wait."""
    return ", ".join(
        f"{each.name} ({_takes(words, each)}) {waits} till {_night(words, each)}" for each in chores
    )
