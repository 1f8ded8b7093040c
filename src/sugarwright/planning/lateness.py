"""People are late: plans are told apart knowing it, and name what is done on coming in.

Whoever is told an hour may begin an hour after it. Only what is told for an arrival is done then:
whoever comes in comes for that (both judgement, no source).
"""

from __future__ import annotations

import numpy as np

from sugarwright.planning.choices import END_OF_DAY, HOURS, asks_for_hour
from sugarwright.planning.judging import PlanJudge
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import Flags
from sugarwright.plant.tank_kernel import Floats

ABSENT_S = 3600.0  # nobody there for so long: whoever comes then has arrived
LATE_MIN = 60.0
LATE_SHARE = 0.125  # of the weathers in which plans are told apart
STOPS = (at.MEMBRANE_STOP, at.FIRE_STOP)


class LateJudge:
    """Judges plans as another judge does, but in some of its weathers everybody is late.

    Parameters
    ----------
    judging : the other; in the last ``LATE_SHARE`` of its weathers people are late
    """

    def __init__(self, judging: PlanJudge) -> None:
        self._judging, drive = judging, judging.drive
        late = round(LATE_SHARE * drive.scenarios)
        self._share, self._in_time = late / drive.scenarios, drive.scenarios - late
        comes = arrivals(drive.calendar, judging.plant.step_s)
        comes[0] = True  # what is to be done now is done now
        self._done_min = _done_late_min(drive.calendar, comes)

    def values(self, plans: Floats) -> Floats:
        """Return what plans, (plans, days, ``PLAN_WIDTH``), are worth."""
        late = self._judging.values(self._as_done(plans), slice(self._in_time, None))
        in_time = self._judging.values(plans, slice(0, self._in_time))
        return self._share * late + (1.0 - self._share) * in_time

    def _as_done(self, plans: Floats) -> Floats:
        done = plans.copy()
        for start in HOURS:
            told = plans[..., start]
            minutes = np.clip(told, 0.0, END_OF_DAY).astype(np.int64)
            later = self._done_min[np.arange(plans.shape[1]), minutes]
            done[..., start] = np.where(asks_for_hour(start, told), later, told)
        for stop in STOPS:
            done[..., stop] = np.minimum(END_OF_DAY, plans[..., stop] + LATE_MIN)
        return done


def arrivals(calendar: Floats, step_s: float) -> Flags:
    """Tell for each step whether somebody comes in then, after an hour or more with nobody there.

    Parameters
    ----------
    calendar : (steps, ``CALENDAR_WIDTH``); whoever is there in its first step has come before it
    step_s : length of a step, s
    """
    there = calendar[:, at.PEOPLE] > 0.0
    steps = np.arange(len(there))
    last_there = np.maximum.accumulate(np.where(there, steps, -len(there)))
    before = np.append(-len(there), last_there[:-1])
    came: Flags = there & (steps - before > ABSENT_S / step_s) & (steps > 0)
    return came


def by_arrival(calendar: Floats, comes: Flags) -> Flags:
    """Tell what somebody does on coming in, though an hour is told for it.

    Parameters
    ----------
    calendar : (steps, ``CALENDAR_WIDTH``)
    comes : for each step, whether somebody comes in then

    Returns
    -------
    (days, minutes after midnight): whether what is told for that minute is done by whoever comes
    in, since nobody is there before.
    """
    days, minutes, there = (calendar[:, each] for each in (at.DAY, at.MINUTE, at.PEOPLE))
    told = np.arange(END_OF_DAY + 1)
    found = []
    for day in np.unique(days):
        hands = np.flatnonzero((days == day) & (there > 0.0))
        first = np.searchsorted(minutes[hands], told)
        found.append(np.append(comes[hands], False)[first])
    return np.array(found)


def _done_late_min(calendar: Floats, comes: Flags) -> Floats:
    """Minute at which somebody who is late does what is told for a minute, (days, minutes)."""
    told = np.arange(END_OF_DAY + 1)
    late: Floats = np.minimum(END_OF_DAY, told + LATE_MIN)
    return np.where(by_arrival(calendar, comes), told, late)
