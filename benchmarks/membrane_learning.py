"""Is a lasting fall of a membrane told when it is there, and not when it is not?

Invented membranes (``membrane_worlds.py``) are followed with the full membrane model, their logs
learnt from. Printed for each world: in how many the 90 % interval holds the true fall, in how many
it lies above nought, and how wide it is. Once with other seeds it is another 200 logs: the share of
200 has a standard deviation of 2 % at nine tenths.

    .venv/bin/python benchmarks/membrane_learning.py [LOGS] [WORLD ...]
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass

from membrane_worlds import Membrane, World, invented_house, true_machine
from sugarwright.learning.membrane_course import FALL
from sugarwright.learning.membrane_known import fitted, range_of

WORLDS = {
    "1 % a day, washed every evening": World(),
    "the same, no fall": World(fall_day=0.0),
    "seven days of readings, not eight": World(days=6),
    "seven days, no fall": World(days=6, fall_day=0.0),
    "washed every second evening": World(wash_days=2),
    "every second evening, no fall": World(wash_days=2, fall_day=0.0),
    "every third evening": World(wash_days=3),
    "never washed": World(wash_days=0),
    "never washed, no fall": World(wash_days=0, fall_day=0.0),
    "two readings a day": World(a_day=2),
    "two a day, no fall": World(a_day=2, fall_day=0.0),
    "two a day, two weeks": World(a_day=2, days=14),
    "half of the variance a day's": World(shared=0.5),
    "strengths read to 0.1 Brix": World(brix_sd=0.1),
    "one reading in 30 a third too high": World(slips=1.0 / 30.0),
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


def main(logs: int, names: list[str]) -> None:
    print("| membrane | logs | interval holds the truth | above nought | middle | half width |")
    print("|---|---|---|---|---|---|", flush=True)
    for name, world in WORLDS.items():
        if names and name not in names:
            continue
        began = time.perf_counter()
        found = score(world, logs)
        print(
            f"| {name} | {logs} | {found.holds:.0%} | {found.falls:.0%} "
            f"| {100 * found.middle:.2f} % a day | {100 * found.half_width:.2f} |",
            flush=True,
        )
        print(f"{time.perf_counter() - began:.0f} s", file=sys.stderr)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200, sys.argv[2:])
