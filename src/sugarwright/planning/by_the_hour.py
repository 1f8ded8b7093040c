"""Which of a day's actions are planned for an hour: those that a clock can call for."""

from __future__ import annotations

from collections.abc import Sequence

from sugarwright.planning.action import Action


def by_the_hour(actions: Sequence[Action]) -> list[Action]:
    """Return what of a day's actions is planned for an hour.

    What is done only at need is not, nor is the end of a fire that is lit only at need.
    """
    unplanned = {"membrane at need", "fire at need", "gather at need"}
    if any(each.kind == "fire at need" for each in actions):
        unplanned.add("let the fire go")
    return [each for each in actions if each.kind not in unplanned]
