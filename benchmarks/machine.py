"""On what, and how fast: the machine's name, and times that other work disturbs little."""

from __future__ import annotations

import os
import platform
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numba
import numpy as np


def processor() -> str:
    """Name of the processor as the system tells it."""
    information = Path("/proc/cpuinfo")
    if information.exists():
        for line in information.read_text().splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or "unknown processor"


def describe() -> str:
    """One line for the head of a benchmark's report."""
    load = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "unknown"
    return (
        f"{processor()}, {os.cpu_count()} cores, {platform.system()}; "
        f"Python {platform.python_version()}, NumPy {np.__version__}, Numba {numba.__version__}; "
        f"load at the start {load}"
    )


@dataclass(frozen=True)
class Times:
    """What several runs of the same work took.

    Parameters
    ----------
    wall_s : median by the clock, with whatever else the machine was doing
    processor_s : median time of the processor, all threads of this process together
    least_s : least of the latter: what other work disturbed least
    """

    wall_s: float
    processor_s: float
    least_s: float

    def shared(self, among: int) -> Times:
        """Return the times of one of several pieces of work that were timed together."""
        return Times(self.wall_s / among, self.processor_s / among, self.least_s / among)

    def __str__(self) -> str:
        return (
            f"{_plain(self.wall_s)} by the clock, {_plain(self.processor_s)} of processor time "
            f"(medians; least {_plain(self.least_s)})"
        )


def _plain(seconds: float) -> str:
    return f"{1000.0 * seconds:.2f} ms" if seconds < 0.1 else f"{seconds:.2f} s"


def measure(work: Callable[[], object], repeats: int) -> Times:
    """Run something several times; it has run once before, so that all is compiled and loaded."""
    walls, processors = [], []
    for _ in range(repeats):
        wall_s, processor_s = time.perf_counter(), time.process_time()
        work()
        processors.append(time.process_time() - processor_s)
        walls.append(time.perf_counter() - wall_s)
    return Times(statistics.median(walls), statistics.median(processors), min(processors))
