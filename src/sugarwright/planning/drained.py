"""What a house's own chores before a frost drain, and the same without the membrane."""

from __future__ import annotations

import re
from collections.abc import Iterable

from sugarwright.plant.house import Chore, House

BEFORE_FROST = "before a frost"  # ``when`` of the chores that are draining
_MEMBRANE = re.compile(r"\b(membranes?|reverse osmosis|r\.?o\.?)(?!\w)", re.IGNORECASE)
_BETWEEN = re.compile(r"\s*(?:,\s*and\b|,|\band\b|&|\+)\s*", re.IGNORECASE)


def frost_chores(house: House) -> list[Chore]:
    """Return the house's own chores of draining."""
    return [each for each in house.chores if each.when == BEFORE_FROST]


def draining_work_s(house: House) -> float:
    """Return the work of all who drain, s, by the house's chores; 0 where they name none."""
    return sum(each.duration_s * each.people for each in frost_chores(house))


def has_membrane(drains: Iterable[str]) -> bool:
    """Tell whether a membrane is among what is drained, by itself or in a chore's name."""
    return any(_MEMBRANE.search(each) for each in drains)


def without_membrane(drains: Iterable[str]) -> tuple[str, ...]:
    """Return what is drained without the membrane.

    Parameters
    ----------
    drains : "pump", "line", "membrane", or names of chores: "drain line, pump and membrane"

    Returns
    -------
    Likewise, "drain line and pump"; what would drain the membrane alone is left out.
    """
    return tuple(filter(None, map(_rest, drains)))


def _rest(name: str) -> str:
    """Return a chore's name without the membrane; its first word, the verb, stays."""
    if not _MEMBRANE.search(name):
        return name
    parts = _BETWEEN.split(name.strip())
    kept = [each for each in parts if each and not _MEMBRANE.search(each)]
    if kept and kept[0] != parts[0]:
        kept[0] = f"{parts[0].split()[0]} {kept[0]}"
    *first, last = kept or [""]
    return f"{', '.join(first)} and {last}" if first else last
