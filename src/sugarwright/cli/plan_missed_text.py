"""What a missed action costs, and the plan from now on, in words."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_text import plan_lines
from sugarwright.cli.plan_words import Words, entry
from sugarwright.planning.missed import Missed

LEAST_MONEY = 3.0  # less is lost in what nobody knows of the weather


def missed_lines(missed: Missed) -> Iterator[str]:
    """Yield the lines: what was missed, what to do first now, and the plan."""
    words = Words(missed.plan)
    now_s = missed.plan.begin_s
    due = words.when(missed.due_s, now_s)
    issued = words.when(missed.kept_begin_s, now_s)
    yield from entry(
        "missed", f"{due} {missed.kind}, in the plan of {issued}: {_cost(words, missed)}"
    ).split("\n")
    yield from entry("now", _first(words, missed)).split("\n")
    yield ""
    yield from plan_lines(missed.plan)


def _cost(words: Words, missed: Missed) -> str:
    if missed.cost_money < LEAST_MONEY:
        return "that costs next to nothing if you go on by this plan"
    money = words.money(missed.cost_money)
    return f"that costs about {money}, with what this plan gets back of it"


def _first(words: Words, missed: Missed) -> str:
    actions = [each for each in missed.plan.next_s if each[0] >= missed.plan.begin_s]
    if not actions:
        return "nothing is to be done in these hours"
    time_s, kind = actions[0]
    return f"the next thing is {words.when(time_s, missed.plan.begin_s)} {kind}"
