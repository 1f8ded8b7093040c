"""A plan run day by day in many weathers, so that what differs only later need not be run again."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sugarwright.plant.assemble import Plant
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import Drive, Results, run_many
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s, worth_lines


@dataclass(frozen=True)
class Course:
    """How a plan's runs stand at each midnight.

    Parameters
    ----------
    plant, drive : the house, and the weathers that it is run in
    plan : (days, ``PLAN_WIDTH``)
    state : at the beginning: (state,), or (scenarios, state)
    cuts : steps at which the local days begin, and the end
    ends : at the end of each day, one plan
    """

    plant: Plant
    drive: Drive
    plan: Floats
    state: Floats
    cuts: list[int]
    ends: tuple[Results, ...]

    def on_from(self, day: int, plans: Floats, last: int | None = None) -> Results:
        """Run plans that are this one until a day begins.

        Parameters
        ----------
        day : from whose beginning they are run
        plans : (plans, days, ``PLAN_WIDTH``)
        last : step before which to stop; None runs through
        """
        before = self.ends[day - 1] if day else None
        return run_many(
            self.plant, self.drive, plans,
            self.state if before is None else before.states[0], last=last,
            first=self.cuts[day], totals=None if before is None else before.totals[0],
        )  # fmt: skip

    def at_step(self, step: int) -> Results:
        """Return how the runs stand as a step begins."""
        day = min(bisect_right(self.cuts, step), len(self.ends)) - 1
        return self.on_from(day, self.plan[np.newaxis], step)

    def totals_by_day(self) -> list[Floats]:
        """Totals within each local day, (scenarios, ``TOTALS_SIZE``) each."""
        ends = [end.totals[0] for end in self.ends]
        before = [start_totals()[np.newaxis], *ends[:-1]]
        return [end - start for start, end in zip(before, ends, strict=True)]


def follow(plant: Plant, drive: Drive, plan: Floats, state: Floats) -> Course:
    """Run a plan in every weather, from midnight to midnight.

    Parameters
    ----------
    plant, drive : the house, and the weathers
    plan : (days, ``PLAN_WIDTH``)
    state : to start from: (state,), or (scenarios, state)
    """
    cuts = day_cuts(drive)
    return Course(plant, drive, plan, state, cuts, stand_at(plant, drive, plan, state, cuts[1:]))


def stand_at(
    plant: Plant,
    drive: Drive,
    plan: Floats,
    state: Floats,
    steps: Sequence[int],
    threads: int | None = None,
) -> tuple[Results, ...]:
    """Run a plan in every weather; return how its runs stand at some steps.

    Parameters
    ----------
    plant, drive, plan, state : as :func:`follow` takes them
    steps : before which is looked, in order
    threads : how many to run with; None: one a core
    """
    ends: list[Results] = []
    for first, last in pairwise([0, *steps]):
        states = ends[-1].states[0] if ends else state
        totals = ends[-1].totals[0] if ends else None
        plans = plan[np.newaxis]
        parts = run_many(plant, drive, plans, states, threads, last, first=first, totals=totals)
        ends.append(parts)
    return tuple(ends)


def net_money(plant: Plant, results: Results) -> Floats:
    """Net worth of each run, (plans, scenarios)."""
    return worth_lines(plant, results.totals, results.states).net


def breaks(results: Results) -> Floats:
    """Time, s, for which each plan breaks in the mean what must not be, (plans,)."""
    mean: Floats = broken_s(results.totals).mean(axis=-1)
    return mean
