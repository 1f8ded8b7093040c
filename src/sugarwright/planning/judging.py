"""What plans are worth: their mean net worth over the weathers of a drive.

Plans of one search differ in few places, and much of what differs never comes to pass: a fire that
waits for 60 gallons or 80 burns in none of the weathers if there are never 40. How a run goes on
from a midnight hangs only on how it stands then and on the rows of the days after, so each day is
run once for all plans that begin it alike and want the same of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from itertools import count, pairwise
from typing import TypeVar
from weakref import WeakValueDictionary

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.decisions import still_counting
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import Drive, Results, run_many
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s, worth_lines

T = TypeVar("T")
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


@dataclass(frozen=True, eq=False)
class _Standing:
    """How the runs of a plan stand at a midnight: states and totals, each (scenarios, ...).

    Its number stands for it in the keys of what is known, which would else hold it for ever.
    """

    number: int
    states: Floats
    totals: Floats


_Run = tuple[int, int, bytes]
"""A day, how it begins, and what is wanted of it: all that its runs hang on."""


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
        self._numbers = count()
        self._begin = _Standing(
            next(self._numbers),
            np.broadcast_to(state, (drive.scenarios, state.shape[-1])),
            np.broadcast_to(start_totals(), (drive.scenarios, at.TOTALS_SIZE)),
        )
        a_midnight_bytes = self._begin.states.nbytes + self._begin.totals.nbytes
        self._most_kept = int(MOST_KEPT_BYTES / a_midnight_bytes)
        self._midnights: dict[_Run, _Standing] = {}
        self._worth: dict[_Run, float] = {}
        self._alike: WeakValueDictionary[bytes, _Standing] = WeakValueDictionary()

    def values(self, plans: Floats) -> Floats:
        """Return what plans, (plans, days, ``PLAN_WIDTH``), are worth."""
        plans = np.ascontiguousarray(plans, dtype=np.float64)
        standing = [self._begin] * len(plans)
        last = len(self._days) - 1
        for day in range(last):
            standing = self._once(self._midnights, plans, standing, day, self._standings)
        found = self._once(self._worth, plans, standing, last, self._values)
        for run in list(self._midnights)[: max(0, len(self._midnights) - self._most_kept)]:
            del self._midnights[run]
        return np.array(found)

    def _once(
        self,
        known: dict[_Run, T],
        plans: Floats,
        begun: Sequence[_Standing],
        day: int,
        told: Callable[[Results], list[T]],
    ) -> list[T]:
        """Run a day of those plans for which that is not known yet; return what is told of all."""
        wanted = np.concatenate([still_counting(plans[:, max(0, day - 1)]), plans[:, day]], axis=1)
        runs = [(day, each.number, row.tobytes()) for each, row in zip(begun, wanted, strict=True)]
        new = {run: i for i, run in enumerate(runs) if run not in known}
        if new:
            (first, end), these = self._days[day], list(new.values())
            results = run_many(
                self._plant, self._drive, plans[these],
                np.stack([begun[i].states for i in these]), self._threads, end,
                first=first, totals=np.stack([begun[i].totals for i in these]),
            )  # fmt: skip
            known.update(zip(new, told(results), strict=True))
        return [known[run] for run in runs]

    def _values(self, results: Results) -> list[float]:
        worth: list[float] = values_of(self._plant, results).tolist()
        return worth

    def _standings(self, results: Results) -> list[_Standing]:
        """Return how runs stand; those that stand alike are one."""
        found = []
        for states, totals in zip(results.states, results.totals, strict=True):
            mark = blake2b(states.tobytes(), digest_size=16)
            mark.update(totals.tobytes())
            standing = self._alike.get(mark.digest())
            if standing is None:  # copied, since a part of an array holds the whole of it
                standing = _Standing(next(self._numbers), states.copy(), totals.copy())
                self._alike[mark.digest()] = standing
            found.append(standing)
        return found
