"""What two ways are worth beside each other, as tables; and what more of a limit would be worth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sugarwright.cli.plan_words import Words, hanging
from sugarwright.planning.explanation import Explanation
from sugarwright.planning.explanation_parts import MoneyLine, More
from sugarwright.saying.plan_ifs import more_text
from sugarwright.units import MONEY

LEAST_MONEY = 0.005  # shown as nothing
_LINES = {
    "syrup": "syrup drawn, if of fresh sap", "older": "older, darker syrup",
    "hours": "hours of people", "wood": "wood", "power": "power",
    "washes": "washes, done and due", "light_ups": "light-ups",
    "left": "left in tanks and pan, if fresh",
    "crowding": "charge for a crowded sap tank", "net": "net",
    "broken": "a rule broken, beyond price",
}  # fmt: skip
_WAYS = {
    "plan": "this plan",
    "habit": "your usual way",
    "longer fires": "this plan with fires that burn as long as they find feed",
    "other setting": "this plan with such long fires and the membrane set to the next flow",
}


def money_table(
    words: Words, lines: Sequence[MoneyLine], one: str, other: str, *, changed: bool = False
) -> Iterator[str]:
    """Yield a row for each line of two ways: what each is worth, and the difference.

    Parameters
    ----------
    words : of the plan
    lines : of both, the net last
    one, other : what the ways are called
    changed : leave out what is the same in both
    """
    yield f"  {'':<31}{one:>14}{other:>14}{'difference':>14}"
    for line in lines:
        cells = (line.plan_money, line.other_money, line.plan_money - line.other_money)
        if changed and line.name != "net" and abs(cells[2]) < LEAST_MONEY:
            continue
        shown = "".join(f"{words.show(cell, MONEY, 2):>14}" for cell in cells)
        yield f"  {_LINES[line.name]:<31}{shown}"


def more_lines(words: Words, found: Explanation) -> Iterator[str]:
    """Yield what more of each limit would be worth, and the lines that make the difference."""
    count = len(found.more[0].by_weather) if found.more else 0
    yield hanging(
        "",
        f"The plan, and a few plain variants of it that could use more room, run with more of each "
        f"limit and without, in the first {count} of the plan's weathers: the best with it against "
        "the best without it. These are fewer weathers than those of the plan's own worth, so its "
        "net here is not the one that --explain money shows. Lines that stay the same are left "
        "out:",
    )
    for more in found.more:
        yield ""
        yield hanging("", _of_limit(words, more))
        yield from money_table(words, more.lines, "with it", "without", changed=True)


def _of_limit(words: Words, more: More) -> str:
    text = f"{more_text(words, more.limit)}: {words.show(more.limit.money, MONEY, 2)}"
    if more.difference_money < -LEAST_MONEY:
        text += ", for nobody needs to use it"
    wins = sum(gain > LEAST_MONEY for gain in more.by_weather)
    text += f"; it gains in {wins} of {len(more.by_weather)} weathers"
    ways = _WAYS[more.plan_way], _WAYS[more.other_way]
    if ways[0] == ways[1]:
        return f"{text}. With it and without, the best is {ways[0]}."
    return f"{text}. With it the best is {ways[0]}; without it, {ways[1]}."
