"""(b) By the rule card, tuned on the training seasons."""

from __future__ import annotations

from .card import card_rows
from .card_file import card_of
from .houses import Case
from .outcome import Outcome, outcome, ready
from .seasons import Season


def rule_card(case: Case, season: Season) -> Outcome:
    """(b) Fixed thresholds, the same every day."""
    plant, truth = ready(case, season)
    card = card_of(case)
    return outcome(plant, truth, lambda _, x: card_rows(card, 2))
