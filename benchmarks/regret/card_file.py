"""The rule card of a house, tuned once and then kept."""

from __future__ import annotations

from dataclasses import asdict
from functools import cache

from .cache import code_hash, keep, load
from .card import Card, tune
from .houses import Case
from .seasons import season, training


@cache
def card_of(case: Case) -> Card:
    """Return a house's card; the first time this takes minutes."""
    name = ("cards", case.name, code_hash("card"))
    known = load(*name)
    if known is None:
        known = asdict(tune(case, [season(each) for each in training()]))
        keep(known, *name)
    return Card(tuple(known["row"]), known["money"])
