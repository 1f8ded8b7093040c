"""What the twin is asked, and what its answer may stand on."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House
from sugarwright.plant.tree_knowledge import TreeKnowledge
from sugarwright.twin.marks import house_mark
from sugarwright.twin.report import Planned
from sugarwright.twin.sensed import Sensed
from sugarwright.twin.told import digest, in_order

if TYPE_CHECKING:
    from sugarwright.twin.air import Air


class Weather(Protocol):
    """Weather as the house keeps it."""

    @property
    def mark(self) -> str:
        """Tells one weather from another."""

    def air(self, members: int, seed: int, since_s: float, now_s: float, until_s: float) -> Air:
        """Return the members' airs, known up to ``now_s`` at most."""


@dataclass(frozen=True, eq=False)
class Question:
    """What is asked, and what the answer may stand on.

    Parameters
    ----------
    house : as described
    entries : those that stand
    now_s : UTC s
    weather : kept weather
    trees : what is known of them
    plan : the plan under way; None without one
    members, seed : of the ensemble
    sensed : what sensors say; None: nothing
    """

    house: House
    entries: Sequence[Entry]
    now_s: float
    weather: Weather
    trees: TreeKnowledge | None = None
    plan: Planned | None = None
    members: int = 200
    seed: int = 17
    sensed: Sensed | None = None
    _ordered: list[Entry] = field(default_factory=list)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_ordered", in_order(self.entries, self.now_s))

    @property
    def ordered(self) -> list[Entry]:
        """Entries that the twin takes, in order."""
        return self._ordered

    @property
    def first_s(self) -> float:
        """UTC s of the first entry, or of what a sensor said before it; without any, now."""
        typed_s = self._ordered[0].at_s if self._ordered else self.now_s
        return typed_s if self.sensed is None else self.sensed.first_s(typed_s)

    @property
    def house_mark(self) -> str:
        """Mark of house and ensemble: states of another are of no use."""
        return house_mark(self.house, self.members, self.seed)

    @property
    def mark(self) -> str:
        """Mark of everything that an answer hangs on but the hour."""
        plan = "" if self.plan is None else f"{self.plan.begin_s}"
        trees = zlib.crc32(repr(self.trees).encode())
        sensors = "" if self.sensed is None else self.sensed.mark
        parts = (self.house_mark, digest(self.ordered), self.weather.mark, f"{trees:08x}", plan)
        return " ".join((*parts, sensors))
