"""What plans are worth: their mean net worth over the weathers of a drive.

Plans of one search differ in few places, and much of what differs never comes to pass: a fire that
waits for 60 gallons or 80 burns in none of the weathers if there are never 40. How a run goes on
from a midnight hangs only on its weather, on how it stands then and on the rows of the days after.
So each day of a weather is run once for all plans that begin it alike and whose rows answer alike
whatever the run asks of them (``plant/asked.py``).
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sugarwright.plant import layout as at
from sugarwright.plant.alike import KnownRuns, with_room
from sugarwright.plant.assemble import Plant
from sugarwright.plant.plan_clock import goes_past_midnight, still_counting
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import Drive, Results, run_each, run_many
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Counts, Floats
from sugarwright.plant.worth import broken_s, worth_lines

BROKEN_MONEY = 1e6  # not a price: a plan that breaks a rule loses to any that does not
MOST_KEPT_BYTES = 200e6  # of runs as they stand at midnights; beyond it all are let go
FLOAT_BYTES = 8
MOST_ROWS = 2**24  # of different days of plans, in one search
EVERY = slice(None)


def judge_plans(
    plant: Plant, drive: Drive, plans: Floats, state: Floats, threads: int | None = None
) -> Floats:
    """Mean net worth of plans over all weathers; one broken rule in one of them sinks a plan."""
    return values_of(plant, run_many(plant, drive, plans, state, threads))


def values_of(plant: Plant, results: Results) -> Floats:
    """Mean net worth of plans that have been run; one broken rule sinks a plan."""
    value: Floats = _values_of_runs(plant, results.totals, results.states).mean(axis=1)
    return value


def _values_of_runs(plant: Plant, totals: Floats, states: Floats) -> Floats:
    """Net worth of each run, far below any other where a rule was broken."""
    net = worth_lines(plant, totals, states).net
    broken = broken_s(totals)
    value: Floats = net - BROKEN_MONEY * (broken > 0.0) - broken
    return value


class PlanJudge:
    """Judges many plans one after the other in the same weathers, as :func:`judge_plans` would.

    Parameters
    ----------
    plant : the house
    drive : the weathers
    state : to start from, (state,)
    threads : how many to run with; None: one a core. What plans are worth does not depend on it
    """

    def __init__(
        self, plant: Plant, drive: Drive, state: Floats, threads: int | None = None
    ) -> None:
        self.plant, self.drive = plant, drive
        self._threads = threads
        self._days = list(pairwise(day_cuts(drive)))
        self._begin = state
        self._forget()

    def _forget(self) -> None:
        """Know nothing of any run."""
        days = len(self._days)
        self._rows: dict[bytes, int] = {}
        self._numbers: dict[bytes, int] = {}
        self._states = np.empty((0, len(self._begin)))  # of runs at midnights, by number
        self._totals = np.empty((0, at.TOTALS_SIZE))  # likewise
        self._known = [KnownRuns() for _ in range(days)]
        self._told: list[NDArray[Any]] = [np.empty(0, dtype=np.int64) for _ in range(days - 1)]
        self._told.append(np.empty(0))
        self._numbers_of(self._begin[np.newaxis], start_totals()[np.newaxis])

    def values(self, plans: Floats, weathers: slice = EVERY) -> Floats:
        """Return what plans, (plans, days, ``PLAN_WIDTH``), are worth in some of the weathers."""
        if self._kept_bytes() > MOST_KEPT_BYTES:
            self._forget()
        plans = np.ascontiguousarray(plans, dtype=np.float64)
        these = np.arange(self.drive.scenarios)[weathers]
        begun = np.zeros((len(plans), len(these)), dtype=np.int64)
        for day in range(len(self._days) - 1):
            begun = self._once(self._numbers_of, plans, these, begun, day)
        found = self._once(self._values_of, plans, these, begun, len(self._days) - 1)
        values: Floats = found.mean(axis=1)
        return values

    def _kept_bytes(self) -> int:
        standings = len(self._numbers) * (len(self._begin) + at.TOTALS_SIZE) * FLOAT_BYTES
        return standings + sum(known.nbytes for known in self._known)

    def _once(
        self,
        tell: Callable[[Floats, Floats], NDArray[Any]],
        plans: Floats,
        these: Counts,
        begun: Counts,
        day: int,
    ) -> NDArray[Any]:
        """Run a day where no run known stands for it; return what is told of each plan and weather.

        Parameters
        ----------
        tell : of states and totals at the end of runs
        plans : (plans, days, ``PLAN_WIDTH``)
        these : (weathers,) by number
        begun : (plans, weathers), how each run stands as the day begins
        day : which
        """
        besides = goes_past_midnight(plans[:, day])
        if day > 0:
            besides = np.concatenate([still_counting(plans[:, day - 1]), besides], axis=1)
        rows = [self._rows.setdefault(row.tobytes(), len(self._rows)) for row in besides]
        standing = begun * self.drive.scenarios + these
        keys = (standing * MOST_ROWS + np.array(rows)[:, np.newaxis]).ravel()
        runs = np.stack(np.broadcast_arrays(np.arange(len(plans))[:, np.newaxis], these), axis=-1)
        states, totals = self._states[begun.ravel()], self._totals[begun.ravel()]
        known = self._known[day]
        first_new = known.count
        alike = known.with_more(keys)
        days = self._days[day]
        run_each(
            self.plant, self.drive, plans, runs.reshape(-1, 2), states, totals, *days, alike,
            self._threads,
        )  # fmt: skip
        ends_as = alike[-1]
        new = np.flatnonzero(ends_as == first_new + np.arange(len(keys)))
        told = self._told[day] = with_room(self._told[day], known.count)
        if len(new):
            told[ends_as[new]] = tell(states[new], totals[new])
        return told[ends_as].reshape(begun.shape)

    def _values_of(self, states: Floats, totals: Floats) -> Floats:
        return _values_of_runs(self.plant, totals, states)

    def _numbers_of(self, states: Floats, totals: Floats) -> Counts:
        """Return a number for how each run stands; those that stand alike have the same."""
        both = np.concatenate([states, totals], axis=1)
        numbers = self._numbers
        standings = both.view(f"V{both[0].nbytes}").ravel().tolist()
        found = np.array([numbers.setdefault(each, len(numbers)) for each in standings])
        self._states = with_room(self._states, len(numbers))
        self._totals = with_room(self._totals, len(numbers))
        self._states[found], self._totals[found] = states, totals
        return found
