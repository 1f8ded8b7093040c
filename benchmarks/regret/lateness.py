"""A person who is late for everything, and forgets washes.

Every clock time of a row is late by its own half an hour to an hour, stops too. What a gauge asks
for while somebody is there is done at the simulator's step, as ever: lateness at gauges is not in
it.
"""

from __future__ import annotations

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats

LATE_MIN = (30.0, 60.0)
FORGOTTEN = 0.1  # of the washes
CLOCKS = (at.MEMBRANE_START, at.MEMBRANE_STOP, at.WASH_AT, at.FIRE_START, at.FIRE_STOP)
END_OF_DAY_MIN = 1440.0


def late(rows: Floats, chance: np.random.Generator, now_min: float = 0.0) -> Floats:
    """Return rows as such a person carries them out.

    Parameters
    ----------
    rows : (days, ``PLAN_WIDTH``), the first of today
    chance : of the delays
    now_min : minute of today at which they were made: what is to be done or goes on then stays
    """
    done = rows.copy()
    for day, row in enumerate(done):
        for clock in CLOCKS:
            if row[clock] >= 0.0 and (day or row[clock] > now_min):
                row[clock] = min(END_OF_DAY_MIN, row[clock] + chance.uniform(*LATE_MIN))
        if chance.random() < FORGOTTEN:
            row[at.WASH_AT] = -1.0
    return done
