"""How far a method is from perfect weather, and from habit, house by house."""

from __future__ import annotations

from collections.abc import Mapping

from .figures import Regret, difference, regret
from .known import Known, common, interval, nets
from .markdown import head, row

COLUMNS = [
    "house", "seasons", "perfect over habit", "regret", "share of the gain", "beats habit in",
    "worst against habit",
]  # fmt: skip


def regrets_of(
    known: Known, houses: list[str], seasons: list[str], habit: str, perfect: str, method: str
) -> dict[str, Regret]:
    """Regret of a method in each house where there are seasons of all three."""
    three, found = (habit, perfect, method), {}
    for house in houses:
        here = common(known, house, list(three), seasons)
        if here:
            found[house] = regret(*(nets(known, house, each, here) for each in three))
    return found


def regret_table(found: Mapping[str, Regret]) -> str:
    """One line a house."""
    return "\n".join([*head(COLUMNS), *(row(_cells(house, each)) for house, each in found.items())])


def _cells(house: str, each: Regret) -> list[str]:
    return [
        house,
        str(each.seasons),
        interval(each.gain, " %", 100, 1),
        interval(each.lost, " %", 100, 1),
        interval(each.share, " %", 100),
        interval(each.better, " %", 100),
        f"{each.worst_money:,.0f}",
    ]


def late_table(known: Known, houses: list[str], seasons: list[str]) -> str:
    """What being late costs the planner, and the habit; empty where nothing is known of it."""
    lines = head(["house", "seasons", "costs the plan", "costs the habit", "plan over habit, late"])
    for house in houses:
        here = common(known, house, ["plan", "late", "habit", "habit-late"], seasons)
        if here:
            plan, late, habit, habit_late = (
                nets(known, house, each, here) for each in ("plan", "late", "habit", "habit-late")
            )
            apart = [(plan, late), (habit, habit_late), (late, habit_late)]
            lines.append(
                row([house, str(len(here)), *(interval(difference(*pair)) for pair in apart)])
            )
    return "\n".join(lines) if len(lines) > 2 else ""
