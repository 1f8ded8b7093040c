"""Run the plant: one trace that can be explained, or many plans in many weathers at once."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.alike import Alike, each_by_itself
from sugarwright.plant.assemble import Plant
from sugarwright.plant.kernel import run_block
from sugarwright.plant.state import start_totals
from sugarwright.plant.tank_kernel import Counts, Floats

NO_TRACES = np.zeros((1, 0, at.TRACE_WIDTH))
THE_ONLY_RUN = np.zeros((1, 2), dtype=np.int64)
SHARES_A_THREAD = 2  # so that none waits long for the other at the end


@dataclass(frozen=True)
class Drive:
    """What drives a run from outside: steps, air and sap.

    Parameters
    ----------
    begin_s : UTC s of the first step
    calendar : (steps, ``CALENDAR_WIDTH``), see ``calendar.make_calendar``
    air_c : (scenarios, hours)
    sap_kg_s : (scenarios, hours, gathering points, 2), water and sugar from the trees
    """

    begin_s: int
    calendar: Floats
    air_c: Floats
    sap_kg_s: Floats

    @property
    def steps(self) -> int:
        """Number of steps."""
        return len(self.calendar)

    @property
    def scenarios(self) -> int:
        """Number of weathers."""
        return len(self.air_c)

    def only(self, scenario: int) -> Drive:
        """Return the drive of one weather alone."""
        return self.some(slice(scenario, scenario + 1))

    def some(self, scenarios: slice) -> Drive:
        """Return the drive of some of the weathers."""
        air_c = np.ascontiguousarray(self.air_c[scenarios])
        sap_kg_s = np.ascontiguousarray(self.sap_kg_s[scenarios])
        return Drive(self.begin_s, self.calendar, air_c, sap_kg_s)

    def since(self, step: int, step_s: float) -> Drive:
        """Return what is left from a step on: the hours stay, the steps before it go."""
        begin_s = self.begin_s + round(step * step_s)
        return Drive(begin_s, self.calendar[step:], self.air_c, self.sap_kg_s)


@dataclass(frozen=True)
class Results:
    """Ends of many runs.

    Parameters
    ----------
    states : (plans, scenarios, state) at the end
    totals : (plans, scenarios, ``TOTALS_SIZE``)
    """

    states: Floats
    totals: Floats


@dataclass(frozen=True)
class Trace:
    """One run, step by step.

    Parameters
    ----------
    begin_s, step_s : UTC s of the first step; length of a step
    rows : (steps, ``TRACE_WIDTH``), as things stood at each step's end
    state, totals : at the end
    """

    begin_s: int
    step_s: float
    rows: Floats
    state: Floats
    totals: Floats

    def column(self, which: int) -> Floats:
        """One quantity over the steps (``layout.T_...``)."""
        values: Floats = self.rows[:, which]
        return values


def simulate(
    plant: Plant,
    drive: Drive,
    plan: Floats,
    state: Floats,
    totals: Floats | None = None,
    scenario: int = 0,
    first: int = 0,
    last: int | None = None,
    *,
    plain: bool = False,
) -> Trace:
    """Run one plan in one weather and keep what happened at every step.

    Parameters
    ----------
    plant, drive : the house, and what drives it
    plan : (days, ``PLAN_WIDTH``); its first row is the local day of the drive's first step
    state : to start from (unchanged)
    totals : to go on from; None begins at nothing
    scenario : which weather of the drive
    first, last : steps to run; a run stopped at a step and gone on with is the run straight through
    plain : run the kernel as plain Python instead of compiled code (very slowly)

    Returns
    -------
    Trace
    """
    last = drive.steps if last is None else last
    x, y = state.copy(), start_totals() if totals is None else totals.copy()
    rows = np.zeros((drive.steps, at.TRACE_WIDTH))
    kernel: Callable[..., None] = run_block if plain else compiled_run_block()
    here = drive.only(scenario)
    plans = np.ascontiguousarray(plan[np.newaxis], dtype=np.float64)
    kernel(
        *_shared(plant, here), plans, THE_ONLY_RUN, x[np.newaxis], y[np.newaxis],
        rows[np.newaxis], each_by_itself(1), first, last, 0, 1,
    )  # fmt: skip
    begin_s = drive.begin_s + round(first * plant.step_s)
    return Trace(begin_s, plant.step_s, rows[first:last], x, y)


def run_many(
    plant: Plant,
    drive: Drive,
    plans: Floats,
    state: Floats,
    threads: int | None = None,
    last: int | None = None,
    *,
    first: int = 0,
    totals: Floats | None = None,
) -> Results:
    """Run every plan in every weather of the drive, on all cores.

    Parameters
    ----------
    plans : (plans, days, ``PLAN_WIDTH``)
    state : to start from: one for all (state,), one for each scenario (scenarios, state), or for
        each run (plans, scenarios, state)
    threads : how many; None for one a core. Results don't depend on it.
    last : step before which to stop; None runs through
    first : step to begin with; a run stopped at a step and gone on with is the run straight through
    totals : to go on from, shaped like ``state``; None begins at nothing

    Returns
    -------
    Results
    """
    count, scenarios = len(plans), drive.scenarios
    states = np.empty((count, scenarios, state.shape[-1]))
    states[:] = state
    sums = np.empty((count, scenarios, at.TOTALS_SIZE))
    sums[:] = start_totals() if totals is None else totals
    runs = np.indices((count, scenarios)).reshape(2, -1).T
    last = drive.steps if last is None else last
    each = states.reshape(count * scenarios, -1), sums.reshape(count * scenarios, -1)
    run_each(plant, drive, plans, runs, *each, first, last, each_by_itself(len(runs)), threads)
    return Results(states, sums)


def run_each(
    plant: Plant,
    drive: Drive,
    plans: Floats,
    runs: Counts,
    states: Floats,
    totals: Floats,
    first: int,
    last: int,
    alike: Alike,
    threads: int | None = None,
) -> None:
    """Run some plans, each in some weather of the drive, on all cores.

    Parameters
    ----------
    plans : (plans, days, ``PLAN_WIDTH``)
    runs : (runs, 2), each a plan and a weather, by number
    states, totals : (runs, ...), to go on from; **changed in place**
    first, last : steps to run
    alike : which may stand for others: such runs are left as they began; **changed in place**
    threads : how many; None for one a core. Results don't depend on it.
    """
    threads = threads or _cores()
    block = compiled_run_block()
    shared = _shared(plant, drive)
    plans = np.ascontiguousarray(plans, dtype=np.float64)
    runs = np.ascontiguousarray(runs, dtype=np.int64)
    shares = max(1, min(len(runs), SHARES_A_THREAD * threads)) if threads > 1 else 1
    left = iter(range(shares))  # whoever is free takes the next

    def work() -> None:
        for share in left:
            block(
                *shared, plans, runs, states, totals, NO_TRACES, alike, first, last, share, shares
            )

    # This thread works too: one that only waited would have to be woken for every call.
    helpers = [_pool(threads - 1).submit(work) for _ in range(min(threads, shares) - 1)]
    work()
    for helper in helpers:
        if not helper.cancel():  # one that has not begun by now has nothing left to do
            helper.result()


def _shared(plant: Plant, drive: Drive) -> tuple[Floats, ...]:
    """What all runs of a call have in common."""
    return (
        plant.p,
        plant.points,
        plant.map_coefficients,
        drive.calendar,
        np.ascontiguousarray(drive.air_c),
        np.ascontiguousarray(drive.sap_kg_s),
    )


@cache
def _cores() -> int:
    return os.cpu_count() or 1


@cache
def _pool(threads: int) -> ThreadPoolExecutor:
    """Threads that stand ready: a search asks for them hundreds of times a second."""
    return ThreadPoolExecutor(threads, "plant")


# A forked process has none of its parent's threads.
os.register_at_fork(after_in_child=_pool.cache_clear)


@cache
def compiled_run_block() -> Callable[..., None]:
    """Compile on first use, not at import: a face that only reads a file need not wait."""
    from sugarwright.plant.jit import compiled

    return compiled(run_block)
