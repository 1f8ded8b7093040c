"""Why an action is in the plan: what would be lost without it, and how much of that by age."""

from __future__ import annotations

from sugarwright.planning.action import Action, Reason
from sugarwright.saying.plan_words import PlanWords as Words

LEAST_SYRUP_M3 = 2e-4  # less makes no difference worth a word
LEAST_SAP_M3 = 0.01
LARGE_SHARE = 1.0 / 3.0  # of the money lost: less is left to `--explain`
MOST_SHARE = 0.9
_MACHINES = {
    "light the fire": "a fire", "keep the fire": "the fire",
    "membrane on": "the membrane", "membrane runs on": "the membrane",
    "gather sap": "trips for sap",
}  # fmt: skip


def why_text(words: Words, action: Action) -> str:
    """Return what would be lost without an action; nothing where that is hardly anything."""
    reason = action.reason
    if reason is None or reason.money < 1.0:
        return ""
    effects = [f"{words.money(reason.money)} less{_by_age(words, reason)}"]
    if reason.syrup_m3 > LEAST_SYRUP_M3:
        effects.append(f"{words.volume(reason.syrup_m3)} less syrup")
    if reason.spilled_m3 > LEAST_SAP_M3:
        lost = f"{words.volume(reason.spilled_m3, 0)} of sap lost"
        effects.append(lost + few_text(reason.spilled_weathers, words.report.weathers))
    if reason.full_probability >= 0.1:
        effects.append(f"a full sap tank {reason.full_probability:.0%} likelier")
    return f"without {left_out_text(words, action, of_day=reason.of_day)}: " + ", ".join(effects)


def few_text(few: int | None, weathers: int) -> str:
    """Return that one or two weathers make most of a mean, in brackets; nothing where none do."""
    return "" if few is None else f" (mostly in {few} of {weathers} weathers)"


def left_out_text(words: Words, action: Action, *, of_day: bool) -> str:
    """Return what a plan is told without: an action, or its machine on that day."""
    if not of_day:
        return "it"
    day = "today" if action.time_s < words.report.days[0].end_s else "that day"
    return f"{_MACHINES[action.kind]} {day}"


def _by_age(words: Words, reason: Reason) -> str:
    """Return what of the money is lost by age, where that is a large part of it.

    Else a reader who knows the price of syrup finds far more money lost than syrup.
    """
    if reason.older_money < LARGE_SHARE * reason.money:
        return ""
    most = reason.older_money >= MOST_SHARE * reason.money
    share = "most" if most else words.money(reason.older_money)
    return f" ({share} of it for older, darker syrup)"
