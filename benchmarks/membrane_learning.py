"""Is a lasting fall of a membrane told when it is there, and not when it is not?

Invented membranes (``membrane_worlds.py``) are followed with the full membrane model, their logs
learnt from. Printed for each world: in how many the 90 % interval holds the true fall, in how many
it lies above nought, and how wide it is. The share of 200 logs has a standard deviation of 2 % at
nine tenths. What could be told at best: ``membrane_bound.py``.

    .venv/bin/python benchmarks/membrane_learning.py [LOGS] [FIRST_SEED] [WORLD ...]
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass

from membrane_worlds import Membrane, World, invented_house, true_machine
from sugarwright.learning.membrane_course import FALL
from sugarwright.learning.membrane_known import fitted, range_of

WORLDS = {
    "1 % a day, washed every evening": World(days=6),
    "the same, no fall": World(days=6, fall_day=0.0),
    "concentrate's strength not read": World(days=6, concentrate_read=False),
    "not read, no fall": World(days=6, fall_day=0.0, concentrate_read=False),
    "strengths read to 0.1 Brix": World(days=6, brix_sd=0.1),
    "to 0.1 Brix, no fall": World(days=6, brix_sd=0.1, fall_day=0.0),
    "washed every second evening": World(days=6, wash_days=2),
    "every second evening, no fall": World(days=6, wash_days=2, fall_day=0.0),
    "every third evening": World(days=6, wash_days=3),
    "never washed": World(days=6, wash_days=0),
    "never washed, no fall": World(days=6, wash_days=0, fall_day=0.0),
    "two readings a day": World(days=6, a_day=2),
    "two a day, no fall": World(days=6, a_day=2, fall_day=0.0),
    "two a day, two weeks": World(days=13, a_day=2),
    "half of the variance a day's": World(days=6, shared=0.5),
    "half, no fall": World(days=6, shared=0.5, fall_day=0.0),
    "one reading in 30 a third too high": World(days=6, slips=1.0 / 30.0),
    "eight days of readings": World(days=7),
    "eight days, no fall": World(days=7, fall_day=0.0),
}


@dataclass(frozen=True)
class Score:
    """What came of some logs of one world: shares, and the mean half width of the interval."""

    logs: int
    holds: float
    falls: float
    half_width: float
    middle: float


def score(world: World, logs: int, first_seed: int = 0) -> Score:
    house = invented_house()
    machine = true_machine(house)
    found = []
    for seed in range(first_seed, first_seed + logs):
        known, _ = fitted(house, Membrane(world, machine, seed).live())
        found.append(range_of(known.fit, FALL))
    return Score(
        logs,
        sum(each.low <= world.fall_day <= each.high for each in found) / logs,
        sum(each.low > 0.0 for each in found) / logs,
        sum(each.high - each.middle for each in found) / logs,
        sum(each.middle for each in found) / logs,
    )


def main(logs: int, first_seed: int, names: list[str]) -> None:
    print("| membrane | logs | interval holds the truth | above nought | middle | half width |")
    print("|---|---|---|---|---|---|", flush=True)
    for name, world in WORLDS.items():
        if names and name not in names:
            continue
        began = time.perf_counter()
        found = score(world, logs, first_seed)
        print(
            f"| {name} | {logs} | {found.holds:.0%} | {found.falls:.0%} "
            f"| {100 * found.middle:.2f} % a day | {100 * found.half_width:.2f} |",
            flush=True,
        )
        print(f"{time.perf_counter() - began:.0f} s", file=sys.stderr)


if __name__ == "__main__":
    told = sys.argv[1:]
    counts = [int(each) for each in told[:2]]
    main(*(counts + [200, 0][len(counts) :]), told[2:])
