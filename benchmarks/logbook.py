"""What the logbook costs: an entry, the start of a command, five million readings of sensors.

    python benchmarks/logbook.py [--readings 5000000]

Ratios are to the least that the same disk and the same Python need: a line written by bare SQLite
with the same settings, a file of a hundredth of the readings. Readings are made up.
"""

from __future__ import annotations

import argparse
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from machine import describe
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry, Measure

BEGIN_S = 1_804_568_400.0
SERIES = 10
DAY_S = 86400.0
OPEN = "from sugarwright.logbook.book import Logbook; Logbook.open({folder!r}, create=False)"


def took_s(work: Callable[[], object]) -> float:
    """Return how long something takes."""
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def median_s(work: Callable[[], object], times: int) -> float:
    """Return the median of several runs."""
    return statistics.median(took_s(work) for _ in range(times))


def entries(folder: Path) -> None:
    """Time entries one by one, beside one line each by bare SQLite."""
    raw = sqlite3.connect(folder / "bare.db", isolation_level=None)
    raw.execute("PRAGMA journal_mode = WAL")
    raw.execute("PRAGMA synchronous = FULL")
    raw.execute("CREATE TABLE line (key TEXT PRIMARY KEY, at_s REAL, value REAL)")
    numbers = iter(range(10**9))
    depth = Measure("depth", 0.3556, 0.004, "14 in", "stick")
    with Logbook.open(folder) as book:

        def add() -> None:
            at = next(numbers)
            book.add([Entry(f"{at}", "reading", BEGIN_S + at, BEGIN_S, None, "sap", "", (depth,))])

        def bare() -> None:
            at = next(numbers)
            raw.execute("INSERT INTO line VALUES (?, ?, ?)", (f"{at}", BEGIN_S + at, 0.3556))

        add()  # and the day's backup
        ours, least = median_s(add, 300), median_s(bare, 300)
    print(f"an entry: {ours * 1e3:.2f} ms, {ours / least:.1f} of a line by bare SQLite")


def start(folder: Path) -> None:
    """Time new processes that open a logbook, beside one that imports SQLAlchemy alone."""
    cases = {
        "python -c pass": "pass",
        "opening a logbook": OPEN.format(folder=str(folder)),
        "import sqlalchemy": "import sqlalchemy",
    }
    times: dict[str, list[float]] = {name: [] for name in cases}
    for _ in range(8):
        for name, code in cases.items():
            run = [sys.executable, "-c", code]
            times[name].append(took_s(lambda run=run: subprocess.run(run, check=True)))  # type: ignore[misc]
    least = {name: min(each[1:]) for name, each in times.items()}
    bare_s = least["python -c pass"]
    ours_s, theirs_s = least["opening a logbook"] - bare_s, least["import sqlalchemy"] - bare_s
    print(
        f"a command's start: {ours_s * 1e3:.0f} ms for the logbook, "
        f"{ours_s / theirs_s:.2f} of importing SQLAlchemy ({theirs_s * 1e3:.0f} ms)"
    )


def readings(folder: Path, count: int) -> tuple[float, float]:
    """Fill a logbook with readings and print; return seconds for the newest and for a day."""
    each = count // SERIES
    backups: list[Path] = []
    with Logbook.open(folder) as book:
        filled_s = 0.0
        for series in range(SERIES):
            made = [(BEGIN_S + 60.0 * at, float(at % 97) + series) for at in range(each)]
            filled_s += took_s(lambda made=made, series=series: book.add_sensor(f"{series}", made))  # type: ignore[misc]
        half_s = BEGIN_S + 30.0 * each
        newest_s = median_s(lambda: book.newest_sensor("7"), 200)
        day_s = median_s(lambda: book.sensor("7", half_s, half_s + DAY_S), 50)
        backup_s = took_s(lambda: backups.append(book.back_up()))
        size = backups[0].stat().st_size / 1e6
    print(
        f"{count} readings: {filled_s:.1f} s ({count / filled_s:.0f} a second), {size:.0f} MB, "
        f"backup and check {backup_s:.1f} s; newest {newest_s * 1e3:.3f} ms, "
        f"a day by the minute {day_s * 1e3:.2f} ms"
    )
    return newest_s, day_s


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--readings", type=int, default=5_000_000)
    count = parser.parse_args().readings
    print(describe())
    with tempfile.TemporaryDirectory() as place:
        for name in ("entries", "few", "many"):
            (Path(place) / name).mkdir()
        entries(Path(place) / "entries")
        start(Path(place) / "entries")
        few = readings(Path(place) / "few", count // 100)
        many = readings(Path(place) / "many", count)
    ratios = [after / before for before, after in zip(few, many, strict=True)]
    print(f"a hundred times the readings: newest {ratios[0]:.1f} of it, a day {ratios[1]:.1f}")


if __name__ == "__main__":
    main()
