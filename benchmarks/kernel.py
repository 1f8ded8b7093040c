"""How fast the compiled plant is: beside its SimPy twin, and in a search for a plan.

Run ``python benchmarks/kernel.py``; ``--profile`` adds where the twin's time goes. Nothing is
compiled while the clock runs.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
from datetime import UTC, datetime
from functools import partial

import numpy as np

from invented_house import Ready, Spring, ready, spring
from machine import describe, measure
from simpy_twin import Sugarhouse
from sugarwright.plant import layout
from sugarwright.plant.drive import make_drive
from sugarwright.plant.simulate import Drive, run_many
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from twin_results import season_of, table

PARTS = {
    "without fire": [layout.FIRE_START],
    "without fire and membrane": [layout.FIRE_START, layout.MEMBRANE_START],
}
CANDIDATES, WEATHERS, HOURS = 1000, 8, 72
PLAN_DAY = datetime(2015, 3, 24, 10, tzinfo=UTC)  # a busy day: sap runs, tanks are half full
FULL_TANKS = Levels(
    sap=Contents(volume_m3=0.8), stock=Contents(volume_m3=0.3, brix=8.0),
    permeate=Contents(volume_m3=0.5, brix=0.0), pan_brix=20.0,
)  # fmt: skip


def against_the_twin(days: Spring, kernel: Ready) -> None:
    """Time both on the same season, and print both results."""
    twin = Sugarhouse(days).run()
    print(table(twin, season_of(kernel.run())), "\n")
    quick = measure(lambda: [kernel.run() for _ in range(10)], 30).shared(10)
    step_ns = 1e9 * quick.least_s / kernel.drive.steps
    print(f"kernel, a season: {quick}  ({kernel.drive.steps} steps, {step_ns:.0f} ns a step)")
    for tick_s in (60, 300):
        slow = measure(partial(_run_twin, days, tick_s), 7)
        medians, least = slow.processor_s / quick.processor_s, slow.least_s / quick.least_s
        print(f"SimPy, ticks of {tick_s:3d} s: {slow}")
        print(f"    ratio by processor time: {medians:.0f} of medians, {least:.0f} of least times")


def _run_twin(days: Spring, tick_s: int) -> None:
    Sugarhouse(days, tick_s).run()


def search_drive(kernel: Ready, days: Spring) -> Drive:
    """Three days in eight weathers: the real hours, warmed and cooled a little."""
    shifts = np.linspace(-2.0, 2.0, WEATHERS)
    air_c = days.air_c[np.newaxis] + shifts[:, np.newaxis]
    begin_s = int(PLAN_DAY.timestamp())
    return make_drive(
        kernel.plant, days.first_hour_s, air_c, begin_s, begin_s + HOURS * 3600
    )  # fmt: skip


def candidates(kernel: Ready) -> Floats:
    """Plans that differ as those of a search do: random starts, gauges and settings."""
    source = np.random.default_rng(8)
    plans = np.repeat(kernel.plan[np.newaxis, :5], CANDIDATES, axis=0)
    size = plans.shape[:2]
    plans[..., layout.MEMBRANE_START] = 30.0 * source.integers(12, 36, size)
    plans[..., layout.MEMBRANE_SAP_M3] = source.uniform(0.05, 0.5, size)
    plans[..., layout.MEMBRANE_FLOW_M3_S] *= source.uniform(0.6, 3.0, size)
    plans[..., layout.FIRE_START] = 30.0 * source.integers(12, 40, size)
    plans[..., layout.FIRE_STOCK_M3] = source.uniform(0.05, 0.4, size)
    return plans


def search(kernel: Ready, days: Spring) -> None:
    """Time what a search for a plan asks for, and what of it is for which machine."""
    drive, plans = search_drive(kernel, days), candidates(kernel)
    state = start_state(kernel.plant, FULL_TANKS)
    steps = CANDIDATES * WEATHERS * drive.steps
    totals = run_many(kernel.plant, drive, plans, state).totals
    print(f"\n{CANDIDATES} plans x {WEATHERS} weathers x {HOURS} h, {steps / 1e6:.1f} M steps;")
    print(
        f"on average {totals[..., layout.FIRE_S].mean() / 3600:.1f} h of fire and "
        f"{totals[..., layout.MEMBRANE_S].mean() / 3600:.1f} h of membrane each"
    )
    for threads in (1, 2):
        found = measure(partial(run_many, kernel.plant, drive, plans, state, threads), 7)
        print(
            f"{threads} thread{'s' if threads > 1 else ''}: {found}  "
            f"({CANDIDATES / found.wall_s:,.0f} plans/s and "
            f"{steps / found.wall_s / 1e6:.1f} M steps/s by the clock; "
            f"{1e9 * found.least_s / steps:.0f} ns a step)"
        )
    for name, never in PARTS.items():
        plans[..., never] = -1.0
        found = measure(partial(run_many, kernel.plant, drive, plans, state, 1), 5)
        print(f"{name}: {1e9 * found.least_s / steps:.0f} ns a step")


def profile(days: Spring) -> None:
    """Print where the twin's time goes."""
    print("\nwhere the twin's time goes (cProfile, which slows small functions most):")
    with cProfile.Profile() as found:
        Sugarhouse(days).run()
    pstats.Stats(found).strip_dirs().sort_stats("tottime").print_stats(14)


def main() -> None:
    """Run them all."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--profile", action="store_true", help="say where the time goes")
    wanted = options.parse_args()
    print(describe(), "\n")
    days = spring()
    kernel = ready(days)
    against_the_twin(days, kernel)
    search(kernel, days)
    if wanted.profile:
        profile(days)


if __name__ == "__main__":
    main()
