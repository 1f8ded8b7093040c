"""One thing to do, in lines: its clock and gauge first, its reason last."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_words import Words, hanging
from sugarwright.planning.action import Action
from sugarwright.saying.plan_actions import action_texts

Numbered = tuple[int, Action]


def action_lines(
    words: Words, number: int | None, action: Action, end: Numbered | None = None
) -> Iterator[str]:
    """Yield the lines of an action, and those of its end where that stands with it.

    One without a number cannot be asked for by it: it is not of the day that a plan is for.
    """
    first, *rest = action_texts(words, action)
    yield hanging(f"{number or '':>2}  {words.clock(action.time_s)}  ", first)
    for text in rest:
        yield hanging(" " * 11, text)
    if end is not None:
        clock, texts = words.clock(end[1].time_s), "; ".join(action_texts(words, end[1]))
        yield hanging(" " * 11, f"{clock} ({end[0]}) {texts}")
