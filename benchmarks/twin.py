"""How soon ``now`` answers beside a record with many readings of a sensor, and what that takes.

    python benchmarks/twin.py [READINGS]

Fills the logbook of an invented house with five days of entries and with READINGS readings of a
described level sensor (five million, one a second, none thinned out: the hardest case; 0 leaves
them out), in messages of ten thousand as they come by HTTP or a broker. The sensor stands three
litres high, all the time. Then tells the times of ``now``: in new processes and in one that runs,
with nothing new, with an hour of readings since, with a new entry, and with the whole log followed
anew. Clock and processor time, since other work on the machine draws out the first alone; and the
most memory that a process had.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from invented_house import WEATHER
from machine import describe
from sugarwright.answering.house import house_as_learnt
from sugarwright.answering.standing import standing_of
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.sensor_intake import MOST_READINGS, readings_in, take_in
from sugarwright.logbook.sensor_register import Sensor, keep_sensors
from sugarwright.weather.files import read_weather_csv
from twin_world import HOUSE, World, make_world

SEED, DAYS, ROUNDS, OFF_L = 3, 5.0, 7, 3.0
QUARTER_STEPS, HOUR_S = 3, 3600.0
SENSOR = Sensor("sap-level", "sap", "volume", "L", 0.008)
RUN = "import sys; from sugarwright.cli.main import run; sys.argv[1:] = {words!r}; run()"


@dataclass(frozen=True)
class Cost:
    """What something took.

    Parameters
    ----------
    clock_s, processor_s : of it
    memory_bytes : the most that its process had
    """

    clock_s: float
    processor_s: float
    memory_bytes: float


def send(book: Logbook, world: World, begin_s: float, end_s: float) -> int:
    """Let the sensor send a reading a second; return how many are kept."""
    noise, kept = np.random.default_rng(SEED), 0
    for first_s in np.arange(begin_s, end_s, MOST_READINGS):
        at_s = np.arange(first_s, min(first_s + MOST_READINGS, end_s))
        held_l = np.interp(at_s, world.times_s, world.truths["sap volume [L]"])
        told_l = held_l + OFF_L + 0.2 * noise.standard_normal(len(at_s))
        rows = [{"value": v, "at": t} for t, v in zip(at_s.tolist(), told_l.tolist(), strict=True)]
        message = json.dumps(rows).encode()
        kept += take_in(book, SENSOR, readings_in(message), float(at_s[-1])).kept
    return kept


def fill(folder: Path, readings: int) -> tuple[World, float]:
    """Make the house's folder; return its world, and the UTC s at which its log ends."""
    (folder / "sugarhouse.toml").write_text(HOUSE, encoding="utf-8")
    world = make_world(SEED, DAYS, look_every=QUARTER_STEPS)
    end_s = world.begin_s + DAYS * 86400.0
    with Logbook.open(folder) as book:
        book.weather.keep_observed([read_weather_csv(WEATHER).between(0, end_s + 86400.0)])
        book.add(world.entries)
        if readings:
            keep_sensors(book, {SENSOR.series: SENSOR}, end_s)
            began = time.perf_counter()
            kept = send(book, world, end_s - readings, end_s)
            took_s = time.perf_counter() - began
            most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
            size = (folder / "logbook.db").stat().st_size / 1e6
            print(
                f"{kept} of {readings} readings kept in {took_s:.0f} s, {size:.0f} MB of logbook, "
                f"at most {most:.0f} MB of memory\n"
            )
    return world, end_s


def in_a_new_process(*words: str) -> Cost:
    """Run a command as a process of its own."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    began = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-c", RUN.format(words=list(words))], stdout=subprocess.DEVNULL, env=kept
    )
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, words)
    clock_s = time.perf_counter() - began
    return Cost(clock_s, used.ru_utime + used.ru_stime, 1024.0 * used.ru_maxrss)


def in_this_one(act: Callable[[], object]) -> Cost:
    """Do something here."""
    began, had = time.perf_counter(), time.process_time()
    act()
    most = 1024.0 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return Cost(time.perf_counter() - began, time.process_time() - had, most)


def tell(what: str, once: Callable[[], Cost], rounds: int = ROUNDS) -> None:
    """Print the medians of some rounds."""
    costs = [once() for _ in range(rounds)]
    clock_s, processor_s, most = (
        statistics.median(each)
        for each in zip(*((c.clock_s, c.processor_s, c.memory_bytes) for c in costs), strict=True)
    )
    print(f"| {what} | {clock_s:.2f} | {processor_s:.2f} | {most / 1e6:.0f} |", flush=True)


def main(readings: int = 5_000_000) -> None:
    """Print the table."""
    print(describe())
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        world, end_s = fill(folder, readings)
        _table(folder, world, end_s, readings)


def _table(folder: Path, world: World, end_s: float, readings: int) -> None:
    house = house_as_learnt(str(folder))
    count = hours = 0

    def at(time_s: float, *more: str) -> Cost:
        clock = f"{datetime.fromtimestamp(time_s, ZoneInfo(house.site.timezone)):%Y-%m-%d %H:%M}"
        return in_a_new_process("now", str(folder), "--at", clock, *more)

    def answer() -> None:
        with Logbook.open(folder) as book:
            standing_of(str(folder), house, end_s, book)

    def sent() -> Cost:
        nonlocal hours
        with Logbook.open(folder) as book:
            send(book, world, end_s + hours * HOUR_S, end_s + (hours + 1) * HOUR_S)
        hours += 1
        return at(end_s + hours * HOUR_S)

    def entered() -> Cost:
        nonlocal count
        count += 1
        held_m3 = world.truths["sap volume [L]"][-1] / 1000.0
        held, at_s = Measure("volume", held_m3, 0.01), end_s + hours * HOUR_S
        entry = Entry(f"new {count}", "reading", at_s - 1.0, at_s, place="sap", measures=(held,))
        with Logbook.open(folder) as book:
            book.add([entry])
        return at(at_s)

    at(end_s)  # compiles, follows the log, keeps state and answer
    print(f"| {readings} readings of a sensor | clock, s | processor, s | memory, MB |")
    print("|---|---:|---:|---:|")
    tell("a new process, nothing new", lambda: at(end_s))
    tell("in a running process, nothing new", lambda: in_this_one(answer))
    if readings:
        tell("a new process, another hour of readings since", sent, 2)
    tell("a new process, one entry since", entered, 3)
    tell("the log followed anew (`now --again`)", lambda: at(end_s + hours * HOUR_S, "--again"), 1)


if __name__ == "__main__":
    main(*(int(each) for each in sys.argv[1:2]))
