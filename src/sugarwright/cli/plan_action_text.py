"""One thing to do, in lines: its clock and gauge first, its reason last."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_words import Words, hanging
from sugarwright.planning.action import Action
from sugarwright.saying.plan_actions import action_texts

Numbered = tuple[int, Action]


def action_lines(
    words: Words, number: int | None, action: Action, end: Numbered | None = None, *, day_s: int
) -> Iterator[str]:
    """Yield the lines of an action, and those of its end where that stands with it.

    One without a number cannot be asked for by it: it is not of the day that a plan is for.

    Parameters
    ----------
    words, number, action, end : what is said
    day_s : UTC s of the day in whose list it stands: what falls after its midnight names its own
    """
    first, *rest = action_texts(words, action)
    yield hanging(f"{number or '':>2}  {short_when(words, action.time_s, day_s)}  ", first)
    for text in rest:
        yield hanging(" " * 11, text)
    if end is not None:
        clock, texts = (
            short_when(words, end[1].time_s, day_s),
            "; ".join(action_texts(words, end[1])),
        )
        yield hanging(" " * 11, f"{clock} ({end[0]}) {texts}")


def short_when(words: Words, time_s: int, day_s: int) -> str:
    """Return a clock time, with the first letters of its day where that is another ("Fri 00:30").

    Parameters
    ----------
    words : of the house
    time_s, day_s : UTC s, and of the day talked of
    """
    day, _, clock = words.when(time_s, day_s).rpartition(" ")
    return f"{day[:3]} {clock}" if day else clock
