"""Run the benchmark of decisions: ``python -m benchmarks.regret`` from the project's folder.

Nice, resumable: whatever has been worked out by the same sources is read from ``.cache``.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from .cache import pack
from .houses import cases
from .methods import FEWER, METHODS
from .run import Job, known_of, run
from .seasons import held_out
from .table import text

PAGE = Path(__file__).parents[2] / "docs" / "planning.md"
BEGIN, END = "<!-- made by python -m benchmarks.regret -->", "<!-- end of what it made -->"


def main() -> None:
    """Read the options, work, and print or write the tables."""
    options = argparse.ArgumentParser(prog="python -m benchmarks.regret", description=__doc__)
    options.add_argument("--seasons", type=int, default=50, help="how many")
    options.add_argument(
        "--fewer", type=int, default=20, help="how many for late, elsewhere, twice"
    )
    options.add_argument("--houses", nargs="*", choices=list(cases()), default=list(cases()))
    options.add_argument("--methods", nargs="*", choices=list(METHODS), default=list(METHODS))
    options.add_argument("--jobs", type=int, default=2, help="processes")
    options.add_argument(
        "--known", action="store_true", help="work nothing out: tell of what is known"
    )
    options.add_argument(
        "--write", action="store_true", help="put the tables into docs/planning.md"
    )
    options.add_argument(
        "--pack", action="store_true", help="put what is known into results.jsonl, to hand it on"
    )
    wanted = options.parse_args()
    seasons = held_out()[: wanted.seasons]
    jobs = [
        Job(house, season, method)
        for number, season in enumerate(seasons)
        for method in wanted.methods
        if method not in FEWER or number < wanted.fewer
        for house in wanted.houses
    ]
    found = known_of(jobs) if wanted.known else run(jobs, wanted.jobs)
    if not found:  # else the page and what is packed would be emptied
        options.error("nothing is known of today's sources: run it without --known")
    if wanted.pack:
        print(f"{pack(job.name for job in jobs)} results packed")
    made = text(found, wanted.houses, wanted.methods, seasons)
    if wanted.write:
        write(made)
    else:
        print(made)


def write(made: str) -> None:
    """Put the tables between their marks."""
    page = PAGE.read_text(encoding="utf-8")
    before, _, rest = page.partition(BEGIN)
    _, _, after = rest.partition(END)
    PAGE.write_text(f"{before}{BEGIN}\n\n{made}\n\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
