"""How far the logbook was followed: the members, what was believed, doubted and said by then."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from sugarwright.twin.doubt import OPEN, Doubt
from sugarwright.twin.ensemble import Ensemble


@dataclass(frozen=True)
class Seen:
    """The last reading of something that was believed.

    Parameters
    ----------
    at_s : UTC s
    value : in SI
    measured : quantity of the logbook: "depth" where a stick was read; "sensor" where none was
    typed : as it was written; "" by a sensor
    """

    at_s: float
    value: float
    measured: str
    typed: str


@dataclass(eq=False)
class Track:
    """How far the logbook was followed, and where that leads.

    Parameters
    ----------
    ensemble : where the members stand
    done : entries followed, of all that people typed in their order
    heard : place among what sensors said of the last that was followed (``sensed.place_of``)
    astray : sensors that are not believed, with how often each has said since what is foretold
    seen : last believed reading of each name
    doubts : questioned readings, oldest first
    words : last time of each kind of deed, by kind; and of a reading of the pan
    before : the track as it was just before each open doubt, to go back to
    believed : keys of readings that were questioned and are believed
    """

    ensemble: Ensemble
    done: int = 0
    seen: dict[tuple[str, str], Seen] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    words: dict[str, float] = field(default_factory=dict)
    before: dict[str, Track] = field(default_factory=dict)
    believed: frozenset[str] = frozenset()
    heard: tuple[float, str] = (0.0, "")
    astray: dict[str, int] = field(default_factory=dict)

    def copy(self) -> Track:
        """Return one that can go another way."""
        return replace(
            self,
            ensemble=self.ensemble.copy(),
            seen=dict(self.seen),
            words=dict(self.words),
            before=dict(self.before),
            astray=dict(self.astray),
        )

    def open_doubt(self, name: tuple[str, str]) -> Doubt | None:
        """Return the doubt of a name that still waits for a second reading."""
        of_it = (each for each in reversed(self.doubts) if each.name == name)
        return next((each for each in of_it if each.state == OPEN), None)

    def settle(self, key: str, state: str) -> None:
        """Close a doubt."""
        self.doubts = tuple(each.now(state) if each.key == key else each for each in self.doubts)
        self.before.pop(key, None)
