"""How fast a plan is found, how good one is that is stopped: ``python -m benchmarks.planning``.

Three busy mornings at four of the houses of ``benchmarks/regret``, 72 h, the kernel loaded, on all
cores. The usual budget is counted in candidates; then the same search is stopped by the clock. What
plans are worth is judged in forty weathers that no search saw.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace

import numpy as np

from sugarwright.planning import choose as choosing
from sugarwright.planning.choose import Chosen, choose
from sugarwright.planning.judging import judge_plans
from sugarwright.planning.search import USUAL, Budget
from sugarwright.planning.weathers import Weathers
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Results, run_many
from sugarwright.plant.tank_kernel import Floats

from .machine import describe
from .regret.busy import busy_mornings
from .regret.houses import cases
from .regret.outcome import ready
from .regret.planner import as_forecast, known_trees
from .regret.seasons import season
from .regret.truth import HORIZON_H

HOUSES = ("undersized membrane", "big pan, small tank", "evenings", "tiny")
SEASON = "whately"
MORNINGS = 3
STOPS_S = (None, 1.0, 0.3)


def main() -> None:
    """Print a line for each house and budget."""
    argparse.ArgumentParser(prog="python -m benchmarks.planning", description=__doc__).parse_args()
    print(describe())
    print("| house | stopped after | clock, s | processor, s | candidates | behind usual |")
    print("|---|---:|---:|---:|---:|---:|")
    for house in HOUSES:
        usual: list[float] = []
        mornings = _mornings(house)
        choose(*mornings[0], seed=1)  # whatever is loaded once is loaded
        for stop_s in STOPS_S:
            budget = replace(USUAL, seconds=stop_s)
            worked = [_timed(*morning, budget) for morning in mornings]
            usual = usual or [each[3] for each in worked]
            clock_s, processor_s, count = np.mean([each[:3] for each in worked], axis=0)
            behind = np.mean([a - each[3] for a, each in zip(usual, worked, strict=True)])
            name = "-" if stop_s is None else f"{stop_s:g} s"
            print(
                f"| {house} | {name} | {clock_s:.2f} | {processor_s:.2f} | {count:.0f} "
                f"| {behind:.1f} |",
                flush=True,
            )
    _days_a_second(*_mornings(HOUSES[0])[0])


def _mornings(house: str) -> list[tuple[Plant, Weathers, Floats]]:
    """Those with the most sap of a season that is worked by habit."""
    case = cases()[house]
    plant, truth = ready(case, season(SEASON))
    weathers_of = as_forecast(plant, truth, known_trees(plant))
    busy = busy_mornings(case, plant, truth, MORNINGS)
    return [(plant, weathers_of(day, 0), state) for day, state in busy]


def _timed(
    plant: Plant, weathers: Weathers, state: Floats, budget: Budget
) -> tuple[float, float, int, float]:
    """Time by the clock and of the processor, s; candidates; and what the plan is worth."""
    clock_s, processor_s = time.perf_counter(), time.process_time()
    chosen: Chosen = choose(plant, weathers, state, 1, budget)
    took_s = time.perf_counter() - clock_s, time.process_time() - processor_s
    value = judge_plans(plant, weathers.checked, chosen.plan[np.newaxis], state)[0]
    return *took_s, chosen.candidates, float(value)


def _days_a_second(plant: Plant, weathers: Weathers, state: Floats) -> None:
    """Simulated days a second: the morning's plan itself, in forty weathers, many times over."""
    plan = choosing.choose(plant, weathers, state, 1).plan
    plans = np.repeat(plan[np.newaxis], 50, axis=0)
    began_s, began_clock_s = time.process_time(), time.perf_counter()
    found: Results = run_many(plant, weathers.checked, plans, state)
    days = found.totals[..., 0].size * HORIZON_H / 24
    took_s, clock_s = time.process_time() - began_s, time.perf_counter() - began_clock_s
    print(
        f"simulated days a second: {days / took_s:,.0f} a core, {days / clock_s:,.0f} by the clock"
    )


if __name__ == "__main__":
    main()
