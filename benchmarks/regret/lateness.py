"""A person who is late for everything, and forgets washes.

Every clock time of a row is late by its own half an hour to an hour, stops too. What a gauge asks
for while somebody is there is done at the simulator's step, as ever: lateness at gauges is not in
it, nor at what is done on coming in. The habits say that of themselves ("when I come home I turn
the machine on"), and a plan says so of what begins when somebody arrives.
"""

from __future__ import annotations

import numpy as np

from sugarwright.planning.choices import END_OF_DAY, STARTS, asks_for_hour
from sugarwright.planning.lateness import arrivals, by_arrival
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import Flags
from sugarwright.plant.tank_kernel import Floats

from .rolling import Decide
from .truth import Truth

LATE_MIN = (30.0, 60.0)
FORGOTTEN = 0.1  # of the washes
CLOCKS = (at.MEMBRANE_START, at.MEMBRANE_STOP, at.WASH_AT, at.FIRE_START, at.FIRE_STOP,
          at.GATHER_START)  # fmt: skip


def late(
    rows: Floats, chance: np.random.Generator, comes_in: Flags, now_min: float = 0.0
) -> Floats:
    """Return rows as such a person carries them out.

    Parameters
    ----------
    rows : (days, ``PLAN_WIDTH``), the first of today
    chance : of the delays
    comes_in : (days, minutes), see :func:`on_coming_in`
    now_min : minute of today at which they were made: what is to be done or goes on then stays
    """
    done = rows.copy()
    for day, row in enumerate(done):
        for clock in CLOCKS:
            told = row[clock]
            is_due = asks_for_hour(clock, told) and (day or told > now_min)
            arrives = clock in STARTS and comes_in[min(day, len(comes_in) - 1), int(told)]
            if is_due and not arrives:
                row[clock] = min(END_OF_DAY, told + chance.uniform(*LATE_MIN))
        if chance.random() < FORGOTTEN:
            row[at.WASH_AT] = -1.0
    return done


def on_coming_in(truth: Truth, day: int, step_s: float) -> Flags:
    """What is told for a minute of two days, and done on coming in, (days, minutes)."""
    calendar = truth.day(day, 48).calendar
    return by_arrival(calendar, arrivals(calendar, step_s))


def late_mornings(
    decide: Decide, chance: np.random.Generator, truth: Truth, step_s: float
) -> Decide:
    """What is decided in the mornings, as such a person carries it out."""
    return lambda day, state: late(decide(day, state), chance, on_coming_in(truth, day, step_s))
