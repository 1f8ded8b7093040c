"""What plans are worth: their mean net worth over the weathers of a drive.

Plans of one search differ in few places, and a run up to a midnight hangs only on the rows of the
days before it. So runs are kept as they stand at each midnight, and each day of plans that share
their beginning is run once.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import Drive, Results, run_many
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s, worth_lines

BROKEN_MONEY = 1e6  # not a price: a plan that breaks a rule loses to any that does not
MOST_KEPT_BYTES = 200e6  # of runs as they stand at midnights; beyond it the oldest are let go


def judge_plans(
    plant: Plant, drive: Drive, plans: Floats, state: Floats, threads: int | None = None
) -> Floats:
    """Mean net worth of plans over all weathers; one broken rule in one of them sinks a plan."""
    return values_of(plant, run_many(plant, drive, plans, state, threads))


def values_of(plant: Plant, results: Results) -> Floats:
    """Mean net worth of plans that have been run; one broken rule sinks a plan."""
    net = worth_lines(plant, results.totals, results.states).net
    broken = broken_s(results.totals)
    value: Floats = (net - BROKEN_MONEY * (broken > 0.0) - broken).mean(axis=1)
    return value


class PlanJudge:
    """Judges many plans one after the other in the same weathers, as :func:`judge_plans` would.

    Parameters
    ----------
    plant : the house
    drive : the weathers
    state : to start from
    threads : how many to run with; None: one a core. What plans are worth does not depend on it
    """

    def __init__(
        self, plant: Plant, drive: Drive, state: Floats, threads: int | None = None
    ) -> None:
        self._plant, self._drive, self._state, self._threads = plant, drive, state, threads
        self._days = list(pairwise(day_cuts(drive)))
        a_run_bytes = 8.0 * (state.shape[-1] + at.TOTALS_SIZE)
        self._most_kept = int(MOST_KEPT_BYTES / (a_run_bytes * drive.scenarios))
        self._midnights: dict[bytes, tuple[Floats, Floats]] = {}

    def values(self, plans: Floats) -> Floats:
        """Return what plans, (plans, days, ``PLAN_WIDTH``), are worth."""
        return values_of(self._plant, self._results(plans))

    def _results(self, plans: Floats) -> Results:
        plans = np.ascontiguousarray(plans, dtype=np.float64)
        heads = _heads(plans)
        known = [self._known_days(of_plan) for of_plan in heads]
        ends: dict[bytes, tuple[Floats, Floats]] = {}
        for day in range(len(self._days)):
            new = {
                of_plan[day]: i
                for i, of_plan in enumerate(heads)
                if known[i] <= day and of_plan[day] not in ends
            }
            if new:
                begun = self._begun([heads[i] for i in new.values()], day, ends)
                here = self._run_day(plans[list(new.values())], begun, day)
                ends.update(zip(new, zip(here.states, here.totals, strict=True), strict=True))
        last = [ends[of_plan[-1]] for of_plan in heads]
        self._keep(ends, {of_plan[-1] for of_plan in heads})
        return Results(np.stack([each[0] for each in last]), np.stack([each[1] for each in last]))

    def _known_days(self, heads: list[bytes]) -> int:
        """How many of a plan's first days have been run; the last day never counts."""
        for day in range(len(heads) - 2, -1, -1):
            if heads[day] in self._midnights:
                return day + 1
        return 0

    def _begun(
        self, of_plans: list[list[bytes]], day: int, ends: dict[bytes, tuple[Floats, Floats]]
    ) -> tuple[Floats, Floats]:
        """How the runs of plans stand when a day begins: states and totals."""
        if not day:
            shape = (len(of_plans), self._drive.scenarios)
            return (
                np.broadcast_to(self._state, (*shape, self._state.shape[-1])),
                np.broadcast_to(start_totals(), (*shape, at.TOTALS_SIZE)),
            )
        heads = [of_plan[day - 1] for of_plan in of_plans]
        begun = [self._midnights[each] if each in self._midnights else ends[each] for each in heads]
        return np.stack([each[0] for each in begun]), np.stack([each[1] for each in begun])

    def _run_day(self, plans: Floats, begun: tuple[Floats, Floats], day: int) -> Results:
        (first, last), (states, totals) = self._days[day], begun
        return run_many(
            self._plant, self._drive, plans, states, self._threads, last,
            first=first, totals=totals,
        )  # fmt: skip

    def _keep(self, ends: dict[bytes, tuple[Floats, Floats]], whole: set[bytes]) -> None:
        self._midnights.update((head, end) for head, end in ends.items() if head not in whole)
        for head in list(self._midnights)[: max(0, len(self._midnights) - self._most_kept)]:
            del self._midnights[head]


def _heads(plans: Floats) -> list[list[bytes]]:
    """For each plan, what it is up to the end of each day."""
    width = plans[0, 0].nbytes if len(plans) else 0
    whole = [plan.tobytes() for plan in plans]
    return [[of_plan[: width * (day + 1)] for day in range(plans.shape[1])] for of_plan in whole]
