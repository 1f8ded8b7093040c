"""What a missed action costs, and the plan from now on, in words."""

from __future__ import annotations

from collections.abc import Iterator

from sugarwright.cli.plan_text import plan_lines
from sugarwright.cli.plan_words import Words, entry
from sugarwright.planning.missed import Missed
from sugarwright.saying.plan_fire_ends import if_stays_text

_DO_NOW = {
    "let the fire go": "look at the pan at once. Keep it fed, with sap or water if the stock is "
    "out; put no more wood on; stay until it has stopped boiling. If it still burns, tell "
    "--fire-on",
    "drain before the frost": "drain now what is not frozen. Leave shut off what is, until it has "
    "thawed by itself; look for cracks before it runs again. Never thaw with a flame",
    "dump what has spoiled": "put nothing fresh on top of it. Smell it, taste a cup boiled down; "
    "what has turned goes out, and the tank is rinsed",
    "membrane on again": "what a later run of a day costs is not reckoned by itself; what is still "
    "worth it stands below",
}
_BY_ITS_GAUGE = "it waited for its tank, not for an hour; what is still worth it stands below"
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
    if missed.cost_money is None:
        return _DO_NOW.get(missed.kind, _BY_ITS_GAUGE)
    if missed.cost_money < LEAST_MONEY:
        return "that costs next to nothing by now, with what can still be got back of it"
    money, end = words.money(missed.cost_money), words.day(missed.kept_end_s)
    return (
        f"not done until now, that costs about {money} to {end}, counting what can still be got "
        "back"
    )


def _first(words: Words, missed: Missed) -> str:
    actions = [each for each in missed.plan.next_s if each[0] >= missed.plan.begin_s]
    if not actions:
        return "nothing is to be done in these hours"
    time_s, kind = actions[0]
    due = f"{words.when(time_s, missed.plan.begin_s)} {kind}{_if_stays(missed, time_s, kind)}"
    return f"that first; then {due}" if missed.kind in _DO_NOW else f"the next thing is {due}"


def _if_stays(missed: Missed, time_s: int, kind: str) -> str:
    """Return what a fire hangs on that nobody is there for by the house's own hours."""
    told = (each for day in missed.plan.days for each in day.actions)
    action = next((each for each in told if (each.time_s, each.kind) == (time_s, kind)), None)
    return "" if action is None else if_stays_text(action)
