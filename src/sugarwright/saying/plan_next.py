"""The next times that matter of a plan, in one line: each its hour and what is due then."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from sugarwright.planning.action import Action
from sugarwright.planning.by_the_hour import by_the_hour
from sugarwright.planning.membrane_hands import RUNS
from sugarwright.planning.stops import STOP, with_stops
from sugarwright.saying.plan_fire_ends import chance_text, if_stays_text
from sugarwright.saying.plan_words import PlanWords as Words


def next_text(words: Words) -> str:
    """Say the next times that matter, a day named where it is another than that of the one before.

    Empty where nothing is due.
    """
    return "; ".join(_parts(words))


def _parts(words: Words) -> Iterator[str]:
    begin_s, due = words.report.begin_s, _due(words)
    for (before_s, kind_before), (time_s, kind) in pairwise([(begin_s, ""), *words.report.next_s]):
        clock = words.when(time_s, before_s)
        if kind == STOP and kind_before in RUNS:
            yield f"{clock} stop it"
        else:
            action = due.get((time_s, kind))
            yield f"{clock} {kind}" + ("" if action is None else _on_what(action))


def _due(words: Words) -> dict[tuple[int, str], Action]:
    """Return what is due by its time and kind, the first of two alike."""
    actions = [
        each for day in words.report.days for _, each in with_stops(by_the_hour(day.actions))
    ]
    return {(each.time_s, each.kind): each for each in reversed(actions)}


def _on_what(action: Action) -> str:
    """Say where it is to be done, on whom it hangs, and how likely it is."""
    text = if_stays_text(action) + (f" ({action.point})" if action.point else "")
    if chance_text(action):
        return f"{text} ({chance_text(action)})"
    waits = action.expected_s is None and action.trigger is not None
    return f"{text} (by the forecast the tank won't have it)" if waits else text
