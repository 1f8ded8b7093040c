"""How soon ``now`` answers beside a record with many sensor readings.

    python benchmarks/twin.py [READINGS]

Fills the logbook of an invented house with five days of entries and, beside them, with READINGS
readings of a sensor (five million; 0 leaves them out). Then tells the times of ``now``: in new
processes, with an answer kept and after a new entry, and in a process that runs. Clock and
processor time, since other work on the machine draws out the first alone.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from invented_house import WEATHER
from machine import describe
from sugarwright.answering.house import house_as_learnt
from sugarwright.answering.standing import standing_of
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.weather.files import read_weather_csv
from twin_world import HOUSE, make_world

SEED, DAYS, ROUNDS, BATCH = 3, 5.0, 7, 500_000
RUN = "import sys; from sugarwright.cli.main import run; sys.argv[1:] = {words!r}; run()"


def fill(folder: Path, readings: int) -> float:
    """Make the house's folder; return the UTC s at which its log ends."""
    (folder / "sugarhouse.toml").write_text(HOUSE, encoding="utf-8")
    world = make_world(SEED, DAYS)
    end_s = world.begin_s + DAYS * 86400.0
    with Logbook.open(folder) as book:
        book.weather.keep_observed([read_weather_csv(WEATHER).between(0, end_s)])
        book.add(world.entries)
        for first in range(0, readings, BATCH):
            count = min(BATCH, readings - first)
            times_s = (end_s - readings + first + k for k in range(count))
            book.add_sensor("sap level", ((t, 1.0 + 1e-3 * (int(t) % 1000)) for t in times_s))
    return end_s


def processor_s() -> float:
    """Processor time of this process and of those that it waited for."""
    return sum(os.times()[:4])


def timed(what: str, act: Callable[[], object], rounds: int = ROUNDS) -> None:
    """Print the median of some rounds."""
    clock, work = [], []
    for _ in range(rounds):
        began, had = time.perf_counter(), processor_s()
        act()
        clock.append(time.perf_counter() - began)
        work.append(processor_s() - had)
    print(
        f"| {what} | {statistics.median(clock):.2f} | {statistics.median(work):.2f} |", flush=True
    )


def main(readings: int = 5_000_000) -> None:
    """Print the table."""
    print(describe())
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        end_s = fill(folder, readings)
        at = time.strftime("%Y-%m-%d %H:%M", time.localtime(end_s))
        words = ["now", made, "--at", at]

        def command() -> None:
            new = [sys.executable, "-c", RUN.format(words=words)]
            compiled = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
            subprocess.run(new, stdout=subprocess.DEVNULL, check=True, env=compiled)

        def answer() -> None:
            house = house_as_learnt(made)
            with Logbook.open(folder) as book:
                standing_of(made, house, end_s, book)

        def entered() -> None:
            nonlocal count
            count += 1
            held = Measure("volume", 0.3, 0.01)
            entry = Entry(
                f"new {count}", "reading", end_s - 1.0, end_s, place="sap", measures=(held,)
            )
            with Logbook.open(folder) as book:
                book.add([entry])
            command()

        count = 0
        command()  # compiles, follows the log, keeps state and answer
        print(f"| {readings} readings of a sensor | clock, s | processor, s |\n|---|---:|---:|")
        timed("a new process, nothing new logged", command)
        timed("in a running process, nothing new logged", answer)
        timed("a new process, one entry since", entered, 3)


if __name__ == "__main__":
    main(*(int(each) for each in sys.argv[1:2]))
