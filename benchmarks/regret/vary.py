"""What each rule of the planner is worth: ``python -m benchmarks.regret.vary``.

Seasons by the planner as it is and with one rule changed, the same seasons for both.
"""

from __future__ import annotations

import argparse

import numpy as np

from .figures import difference
from .houses import cases
from .known import Known, interval, nets
from .markdown import head, row
from .run import Job, run
from .seasons import held_out
from .variations import VARIED


def main() -> None:
    """Read the options, work, and print the table."""
    options = argparse.ArgumentParser(prog="python -m benchmarks.regret.vary", description=__doc__)
    options.add_argument("--seasons", type=int, default=4, help="how many")
    options.add_argument("--houses", nargs="*", choices=list(cases()), default=list(cases()))
    options.add_argument("--variations", nargs="*", choices=list(VARIED), default=list(VARIED))
    options.add_argument("--jobs", type=int, default=2, help="processes")
    wanted = options.parse_args()
    seasons = held_out()[: wanted.seasons]
    jobs = [
        Job(house, season, method)
        for season in seasons
        for method in ("plan", *wanted.variations)
        for house in wanted.houses
    ]
    print(table(run(jobs, wanted.jobs), wanted.houses, wanted.variations, seasons))


def table(known: Known, houses: list[str], variations: list[str], seasons: list[str]) -> str:
    """Money a season that each change brings, house by house and in the mean."""
    lines = head(["changed", *houses, "all"])
    for variation in variations:
        gains = [
            nets(known, house, variation, seasons) - nets(known, house, "plan", seasons)
            for house in houses
        ]
        cells = [f"{gain.mean():+,.0f}" for gain in gains]
        every = np.concatenate(gains)
        cells.append(interval(difference(every, np.zeros(len(every)))))
        lines.append(row([variation.removeprefix("plan, "), *cells]))
    return "\n".join(lines)


if __name__ == "__main__":
    main()
