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
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from sugarwright.plant import layout as at
from sugarwright.plant.alike import KnownRuns
from sugarwright.plant.assemble import Plant
from sugarwright.plant.plan_clock import goes_past_midnight, still_counting
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import Drive, Results, run_each, run_many
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Counts, Floats
from sugarwright.plant.worth import broken_s, worth_lines

T = TypeVar("T")
BROKEN_MONEY = 1e6  # not a price: a plan that breaks a rule loses to any that does not
MOST_KEPT_BYTES = 200e6  # of runs as they stand at midnights; beyond it all are let go
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
        self._rows: dict[bytes, int] = {}
        self._numbers: dict[bytes, int] = {}
        self._standings: list[bytes] = []  # state and totals of a run at a midnight, by number
        self._known = [KnownRuns() for _ in self._days]
        self._ends: list[dict[int, int]] = [{} for _ in self._days[1:]]  # by number of the run
        self._worth: dict[int, float] = {}  # likewise, of the last day's
        self._numbers_of(self._begin[np.newaxis], start_totals()[np.newaxis])

    def values(self, plans: Floats, weathers: slice = EVERY) -> Floats:
        """Return what plans, (plans, days, ``PLAN_WIDTH``), are worth in some of the weathers."""
        if self._kept_bytes() > MOST_KEPT_BYTES:
            self._forget()
        plans = np.ascontiguousarray(plans, dtype=np.float64)
        these = np.arange(self.drive.scenarios)[weathers]
        begun = np.zeros((len(plans), len(these)), dtype=np.int64)
        for day, known in enumerate(self._ends):
            begun = self._once(known, self._numbers_of, plans, these, begun, day)
        found = self._once(self._worth, self._values_of, plans, these, begun, len(self._ends))
        values: Floats = found.mean(axis=1)
        return values

    def _kept_bytes(self) -> int:
        standings = len(self._standings) * len(self._standings[0])
        return standings + sum(known.nbytes for known in self._known)

    def _once(
        self,
        told: dict[int, T],
        tell: Callable[[Floats, Floats], list[T]],
        plans: Floats,
        these: Counts,
        begun: Counts,
        day: int,
    ) -> NDArray[Any]:
        """Run a day where no run known stands for it; return what is told of each plan and weather.

        Parameters
        ----------
        told : of this day's runs, by number
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
        of_plan, weather = np.divmod(np.arange(len(keys)), len(these))
        stood, which = np.unique(begun.ravel(), return_inverse=True)
        both = np.frombuffer(b"".join([self._standings[number] for number in stood.tolist()]))
        both = both.reshape(len(stood), -1)
        states, totals = both[:, : -at.TOTALS_SIZE][which], both[:, -at.TOTALS_SIZE :][which]
        runs = np.stack([of_plan, these[weather]], axis=1)
        first_new = self._known[day].count
        alike = self._known[day].with_more(keys)
        days = self._days[day]
        run_each(self.plant, self.drive, plans, runs, states, totals, *days, alike, self._threads)
        ends_as = alike[-1]
        new = np.flatnonzero(ends_as == first_new + np.arange(len(keys)))
        if len(new):
            told.update(zip(ends_as[new].tolist(), tell(states[new], totals[new]), strict=True))
        numbers, which = np.unique(ends_as, return_inverse=True)
        return np.array([told[number] for number in numbers.tolist()])[which].reshape(begun.shape)

    def _values_of(self, states: Floats, totals: Floats) -> list[float]:
        values: list[float] = _values_of_runs(self.plant, totals, states).tolist()
        return values

    def _numbers_of(self, states: Floats, totals: Floats) -> list[int]:
        """Return a number for how each run stands; those that stand alike have the same."""
        both = np.concatenate([states, totals], axis=1)
        found = []
        for standing in both.view(f"V{both[0].nbytes}").ravel().tolist():
            number = self._numbers.setdefault(standing, len(self._numbers))
            if number == len(self._standings):
                self._standings.append(standing)
            found.append(number)
        return found
