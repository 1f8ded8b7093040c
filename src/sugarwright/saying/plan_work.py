"""What a day takes of people's hands beside its actions, in words."""

from __future__ import annotations

from sugarwright.planning.report import ChoreDue, Day
from sugarwright.saying.plan_words import PlanWords as Words
from sugarwright.saying.words import counted
from sugarwright.units import DURATION

CAN_WAIT = ("per syrup volume",)
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
    text += f" {words.show(chore.duration_s, DURATION)}"
    if chore.people > 1:
        text += f", {counted(chore.people)} people"
    due = _DUE.get(chore.when) or f"by {words.day(chore.by_s - 7200)} night"
    return f"{text}, {due}"


def overwork_text(words: Words, day: Day) -> str:
    """Say so where a day asks for more hours of work than people give; else empty."""
    beyond_s = day.work_s.middle - day.given_s
    if beyond_s <= TOO_MUCH_S:
        return ""
    work, given = (words.show(each, DURATION) for each in (day.work_s.middle, day.given_s))
    waits_s = sum(each.duration_s * each.people for each in day.chores if each.when in CAN_WAIT)
    text = f"with the fire and all else that is {work} of work, and you give {given}:"
    if beyond_s <= waits_s:
        return f"{text} some of it has to wait, or it takes another pair of hands"
    return f"{text} that does not fit, even if the syrup waits; it takes another pair of hands"
