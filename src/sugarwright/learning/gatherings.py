"""Gatherings: what came in between two instants, and what makes a volume lie."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from sugarwright.errors import RangeError
from sugarwright.weather.hours import utc_text


@dataclass(frozen=True)
class Gathering:
    """Sap brought in once.

    Parameters
    ----------
    begin_s : UTC s of the gathering before, or of tapping: what ran since then is in this one
    end_s : UTC s of this one
    volume_m3 : gathered
    taps : it came from
    ice : ice was thrown away or left, so that the volume says little
    overflow : something ran over, so that more had run than was gathered
    not_emptied : some was left behind for the next gathering
    brix : of the sap, if measured
    """

    begin_s: float
    end_s: float
    volume_m3: float
    taps: float
    ice: bool = False
    overflow: bool = False
    not_emptied: bool = False
    brix: float | None = None

    def __post_init__(self) -> None:
        if not self.begin_s < self.end_s:
            problem = "the gathering before is not earlier"
            raise RangeError("gathering", utc_text(self.end_s), problem)
        if not 0.0 <= self.volume_m3 < 1e4:
            raise RangeError("volume", self.volume_m3, "is no volume of one gathering", "0 or more")
        if not 1.0 <= self.taps <= 1e6:
            raise RangeError("taps", self.taps, "is no number of taps", "1 to 1000000")
        if self.brix is not None and not 0.2 <= self.brix <= 12.0:
            raise RangeError("brix", self.brix, "is no Brix of sap", "0.2 to 12")


def ready_to_learn(gatherings: Iterable[Gathering]) -> tuple[list[Gathering], list[str]]:
    """Return the gatherings whose volumes mean something, in order, and what was done to others.

    A vessel that was not emptied is counted together with the gathering after it. Ice makes a
    volume useless, and that of the gathering it was joined with. Overflow stays: it is a lower
    bound. A Brix that was read stands in any case, but for ice, whose sap is stronger than the
    trees'; of joined gatherings the last reading stands.
    """
    ready: list[Gathering] = []
    notes: list[str] = []
    waiting: Gathering | None = None
    for each in sorted(gatherings, key=lambda one: one.end_s):
        current = each if waiting is None else _joined(waiting, each)
        waiting = None
        when = utc_text(each.end_s)
        if current.not_emptied:
            waiting = current
            notes.append(f"{when}: not emptied, so counted with the next gathering")
        elif current.ice:
            notes.append(f"{when}: ice, so not learnt from")
        else:
            ready.append(current)
    if waiting is not None:
        notes.append("the last gathering was not emptied, so it waits for the next")
    return ready, notes


def _joined(first: Gathering, second: Gathering) -> Gathering:
    """Count two gatherings as one; flags of either stay, but the second emptied the first."""
    return replace(
        second,
        begin_s=first.begin_s,
        volume_m3=first.volume_m3 + second.volume_m3,
        ice=first.ice or second.ice,
        overflow=first.overflow or second.overflow,
        brix=first.brix if second.brix is None else second.brix,
    )
