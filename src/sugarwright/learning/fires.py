"""Fires of the log, and the heat that they gave: a growing, a steady and a dying part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.remarks import Remark
from sugarwright.logbook.entry import Entry
from sugarwright.plant.pan_kernel import EMBERS_FRACTION

Floats = NDArray[np.float64]

LONGEST_S = 36 * 3600.0  # nobody keeps a fire longer: what seems so lacks an entry
SHORTEST_S = 600.0


@dataclass(frozen=True)
class Fire:
    """One fire.

    Parameters
    ----------
    lit_s : UTC s at which it was lit
    out_s : UTC s of the last wood; it dies down from then on
    """

    lit_s: float
    out_s: float

    @property
    def duration_s(self) -> float:
        """How long it was kept up."""
        return self.out_s - self.lit_s


def fires_of(entries: Sequence[Entry]) -> tuple[list[Fire], list[Remark]]:
    """Return the fires of a log in order, and what could not be paired.

    An entry of either kind with a span of its own (``begin_s``) is a whole fire.
    """
    found: list[Fire] = []
    notes: list[Remark] = []
    lit_s: float | None = None
    marks = [each for each in entries if each.kind in ("fire_lit", "fire_out")]
    for entry in sorted(marks, key=lambda each: (each.at_s, each.kind, each.key)):
        if entry.begin_s is not None and entry.begin_s < entry.at_s:
            found.append(Fire(entry.begin_s, entry.at_s))
            lit_s = None
        elif entry.kind == "fire_lit":
            if lit_s is not None:
                notes.append(Remark(lit_s, "a fire was lit, and never let go in the log"))
            lit_s = entry.at_s
        elif lit_s is None:
            notes.append(Remark(entry.at_s, "a fire was let go that was never lit in the log"))
        else:
            found.append(Fire(lit_s, entry.at_s))
            lit_s = None
    good = [each for each in found if SHORTEST_S <= each.duration_s <= LONGEST_S]
    notes += [
        Remark(each.lit_s, f"a fire of {each.duration_s / 3600.0:.1f} h is none that can be")
        for each in found
        if each not in good
    ]
    return good, notes


def heat_s(fire: Fire, until_s: Floats, light_up_s: Floats, burn_down_s: Floats) -> Floats:
    """Return the heat given by some instants, as seconds of full heat.

    The integral of :func:`sugarwright.physics.pan.heat_ramp` from nothing: up to the last wood
    ``t - a (1 - exp(-t / a))``; then what is left dies away until it no longer boils.

    Parameters
    ----------
    fire : when
    until_s : (instants,) UTC s
    light_up_s, burn_down_s : (points,) time constants

    Returns
    -------
    (points, instants)
    """
    up, down = light_up_s[:, np.newaxis], burn_down_s[:, np.newaxis]
    growing_s = np.clip(until_s - fire.lit_s, 0.0, fire.duration_s)
    grown = growing_s + up * np.expm1(-growing_s / up)
    height = -np.expm1(-fire.duration_s / up)
    boils_s = down * np.log(np.maximum(height / EMBERS_FRACTION, 1.0))
    dying_s = np.clip(until_s - fire.out_s, 0.0, boils_s)
    given: Floats = grown - height * down * np.expm1(-dying_s / down)
    return given
