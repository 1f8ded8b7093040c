"""Why an action is in the plan, with what the money is lost by where that is not plain."""

from __future__ import annotations

from sugarwright.planning.action import Action
from sugarwright.saying.plan_actions import action_texts, reason_texts
from sugarwright.saying.plan_words import PlanWords as Words

LARGE_SHARE = 1.0 / 3.0  # of the money lost: less is left to `--explain`
MOST_SHARE = 0.9


def told_texts(words: Words, action: Action) -> list[str]:
    """Return what is said of an action, its whole reason last."""
    texts, why = action_texts(words, action), why_text(words, action)
    return [*texts[:-1], why] if why else texts


def why_text(words: Words, action: Action) -> str:
    """Return what would be lost without an action, and by age, where that is a large part of it.

    Else a reader who knows the price of syrup finds far more money lost than syrup.
    """
    text = next(iter(reason_texts(words, action)), "")
    reason = action.reason
    if not text or reason is None or reason.older_money < LARGE_SHARE * reason.money:
        return text
    most = reason.older_money >= MOST_SHARE * reason.money
    share = "most" if most else words.money(reason.older_money)
    money, less, rest = text.partition(" less")
    return f"{money}{less} ({share} of it for older, darker syrup){rest}"
