"""What was gathered, as numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.expected import Expected
from sugarwright.learning.gatherings import Gathering

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

FLOOR_FRACTION = 0.1
"""Of the house's usual gathering: what can come on a day of which the model expects nothing. Trees
differ (the sunny side thaws a day before the shaded one), and ice in buckets and lines melts: a
tenth, by reasoning, no source."""


@dataclass(frozen=True)
class Evidence:
    """What was gathered.

    Parameters
    ----------
    volume_m3 : (gatherings,)
    floor_m3 : (gatherings,), what may come of what the model doesn't see
    at_least : (gatherings,), volumes that are lower bounds
    nothing : (gatherings,), volumes of nought
    """

    volume_m3: Floats
    floor_m3: Floats
    at_least: Flags
    nothing: Flags

    def part(self, which: slice) -> Evidence:
        """Return some of the gatherings alone."""
        return Evidence(
            self.volume_m3[which], self.floor_m3[which], self.at_least[which], self.nothing[which]
        )


def usual_m3_per_tap(gatherings: Sequence[Gathering], expected: Expected) -> float:
    """Return what the first of some trees would give a tap in the mean gathering of this schedule.

    It depends on the weather and the house alone, not on what was gathered: so the floor made of it
    is the same number whatever the gatherings say.
    """
    taps = np.array([each.taps for each in gatherings])
    return float((expected.volume_m3[0] / taps).mean())


def evidence_of(gatherings: Sequence[Gathering], usual_m3_per_tap: float) -> Evidence:
    """Return gatherings as numbers; an overflow of nothing measured says nothing less than 0.

    Parameters
    ----------
    gatherings : in order of time
    usual_m3_per_tap : the house's usual gathering
    """
    volume_m3 = np.array([each.volume_m3 for each in gatherings], dtype=np.float64)
    taps = np.array([each.taps for each in gatherings], dtype=np.float64)
    at_least = np.array([each.overflow for each in gatherings], dtype=np.bool_)
    # A drop a tap at least: trees that give nothing all season still leave logarithms finite.
    floor_m3 = taps * max(FLOOR_FRACTION * usual_m3_per_tap, 1e-6)
    return Evidence(volume_m3, floor_m3, at_least, ~at_least & (volume_m3 == 0.0))
