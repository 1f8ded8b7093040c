"""What a run has asked of its day's row: for which other rows it would have gone the same way.

Much of what a plan says never counts: a fire that waits for 60 gallons or 80 burns neither way if
there are never 40. So whenever a run compares an entry of its row with a level, it notes on which
side of the level the entry stands. Any row with all its entries on the same sides, and all else
alike, leads to the very same run. What is not compared is not noted, so a decision looks at the
plan last, after all that could settle the matter without it.
"""

from __future__ import annotations

import math

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats

BEYOND, MOST = 0, 1  # rows of the notes: an entry stands above the first and not above the second
ROUNDING = 1e-6  # minutes, s, m³ or Brix: so near to a level, sums of floats may differ


def nothing_asked() -> Floats:
    """Return notes, (2, ``PLAN_WIDTH``), of a run that has not asked anything yet."""
    asked = np.empty((2, at.PLAN_WIDTH))
    forget(asked)
    return asked


def forget(asked: Floats) -> None:
    """Begin notes anew; **changed in place**."""
    for entry in range(at.PLAN_WIDTH):
        asked[BEYOND, entry] = -math.inf
        asked[MOST, entry] = math.inf


def stands_for(asked: Floats, row: Floats) -> bool:
    """Tell whether another row would have given the same answers.

    Parameters
    ----------
    asked : notes of a run, (2, ``PLAN_WIDTH``)
    row : of another plan, (``PLAN_WIDTH``,)
    """
    for entry in range(at.PLAN_WIDTH):
        most = asked[MOST, entry]
        if row[entry] != most and not asked[BEYOND, entry] < row[entry] < most:
            return False
    return True


def reached(asked: Floats, row: Floats, entry: int, level: float) -> bool:
    """Tell whether a level has come up to an entry of the row; noted."""
    if level >= row[entry]:
        asked[MOST, entry] = min(asked[MOST, entry], level)
        return True
    asked[BEYOND, entry] = max(asked[BEYOND, entry], level)
    return False


def read(asked: Floats, row: Floats, entry: int) -> float:
    """Return an entry of the row that counts as it stands; noted."""
    asked[BEYOND, entry] = asked[MOST, entry] = row[entry]
    return row[entry]


def turns(asked: Floats, row: Floats, entry: int, level: float) -> None:
    """Note that the answer would change where the entry passed a level, known but for rounding."""
    if row[entry] > level + ROUNDING:
        asked[BEYOND, entry] = max(asked[BEYOND, entry], level + ROUNDING)
    elif row[entry] < level - ROUNDING:
        asked[MOST, entry] = min(asked[MOST, entry], level - ROUNDING)
    else:
        read(asked, row, entry)
