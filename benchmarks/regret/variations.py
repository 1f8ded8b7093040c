"""What single rules of the planner are worth: the same planner with one of them changed.

Each variation sets a few constants of the project's modules while a season is worked through, in a
process of its own; nothing else knows of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from .by_planner import planned
from .houses import Case
from .outcome import Outcome
from .seasons import Season

CHOOSE = "sugarwright.planning.choose"
SEARCH = "sugarwright.planning.search"
PLAINER = "sugarwright.planning.plainer"
WEATHERS = "sugarwright.planning.weathers"
WORTH = "sugarwright.plant.worth"
PLANNER = f"{__package__}.planner"


@dataclass(frozen=True)
class Change:
    """A module's constant and what it is set to."""

    module: str
    name: str
    value: Any


VARIATIONS: dict[str, tuple[Change, ...]] = {
    "keeps nothing of yesterday": (Change(CHOOSE, "KEEP_MONEY", 0.0),),
    "never plainer": (
        Change(PLAINER, "PLAIN_MONEY", 0.0),
        Change(PLAINER, "PLAIN_TOTAL_MONEY", 0.0),
    ),
    "48 hours": (Change(PLANNER, "HORIZON_H", 48),),
    "8 weathers": (Change(WEATHERS, "SEARCHED", 8), Change(SEARCH, "FINALISTS", 48)),
    "32 weathers": (Change(WEATHERS, "SEARCHED", 32),),
    "no crowding": (Change(WORTH, "CROWDING_PER_S", 0.0),),
    "left at 90 %": (Change(WORTH, "LIKELY", 0.9),),
    "left at 100 %": (Change(WORTH, "LIKELY", 1.0),),
}


@contextmanager
def changed(changes: tuple[Change, ...]) -> Iterator[None]:
    """Set some constants for a while."""
    before = [getattr(import_module(each.module), each.name) for each in changes]
    for each in changes:
        setattr(import_module(each.module), each.name, each.value)
    try:
        yield
    finally:
        for each, value in zip(changes, before, strict=True):
            setattr(import_module(each.module), each.name, value)


def _varied(changes: tuple[Change, ...]) -> Callable[[Case, Season], Outcome]:
    def work(case: Case, season: Season) -> Outcome:
        with changed(changes):
            return planned(case, season)

    return work


VARIED = {f"plan, {name}": _varied(changes) for name, changes in VARIATIONS.items()}
"""Methods, by the names of their variations."""


def changes_of(method: str) -> tuple[Change, ...]:
    """Return what a varied method changes."""
    return VARIATIONS[method.removeprefix("plan, ")]
