"""How many operating points a second: full model compiled, in plain Python, and the map.

Run ``python benchmarks/membrane_points.py``. It measures the processor's time of one core, so that
other work on the machine disturbs little. The machines are invented.
"""

from __future__ import annotations

import platform
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from sugarwright.physics.membrane import operating_point
from sugarwright.plant.jit import compiled
from sugarwright.plant.membrane_machine import Machine, full_point
from sugarwright.plant.membrane_map import build_map, map_point
from sugarwright.plant.membrane_polynomial import Floats

GAL_H = 3.785411784e-3 / 3600.0
LEAF = (0.9, 0.71e-3, 0.89, 5e-8 / 3600.0, 2e-5 / 3600.0, 1.0, 1.0, 4.0)
MACHINES = {
    "1 element 4 x 40 in, 13.8 bar, loop": Machine(13.8e5, 240 * GAL_H, 1.0, 1.0, 7.6, *LEAF),
    "2 elements 2.5 x 40 in, 8.3 bar": Machine(8.3e5, 0.0, 2.0, 1.0, 2.6, *LEAF),
    "4 elements 2.5 x 40 in, 25 bar, loop": Machine(25e5, 120 * GAL_H, 4.0, 1.0, 2.6, *LEAF),
}
FLOWS = (10 * GAL_H, 60 * GAL_H)


def read_many(coefficients: Floats, points: Floats, times: int) -> float:
    """Read the map at every point, again and again; each reading waits for the last."""
    total = 0.0
    for _ in range(times):
        for i in range(len(points)):
            flow = points[i, 0] * (1.0 + 1e-300 * total)
            total += map_point(coefficients, flow, points[i, 1], points[i, 2], points[i, 3])[0]
    return total


def processor() -> str:
    information = Path("/proc/cpuinfo")
    if information.exists():
        for line in information.read_text().splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or "unknown processor"


def seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def report(name: str, machine: Machine) -> None:
    build_s = seconds(lambda: build_map(machine, FLOWS))
    found = build_map(machine, FLOWS)
    sides = (found.flow_m3_s, found.brix, found.temperature_c, found.condition_fraction)
    low, high = np.array(sides).T
    points = low + (high - low) * np.random.default_rng(1).random((1000, 4))
    rows = points.tolist()
    full_s = seconds(lambda: [full_point(machine, *row) for row in rows]) / len(rows)
    pressure, loop, series, trains, *leaf, film, friction, cells = machine
    plain_s = seconds(
        lambda: [
            operating_point(
                row[1], row[2], pressure, row[0], loop, int(series), int(trains), *leaf,
                row[3], film, friction, int(cells),
            )
            for row in rows[:50]
        ]
    ) / 50  # fmt: skip
    reader = compiled(read_many)
    reader(found.coefficients, points, 1)
    map_s = seconds(lambda: reader(found.coefficients, points, 1000)) / 1e6
    print(f"{name}")
    for what, each in (("plain Python", plain_s), ("compiled", full_s), ("map", map_s)):
        print(f"  {what:13s} {each * 1e6:10.2f} us a point  {1.0 / each:12,.0f} points/s")
    print(
        f"  map: degree {int(found.coefficients[16])}, built in {build_s:.2f} s, error "
        f"{100 * found.error_fraction:.3f} % of permeate, "
        f"{100 * found.passed_error_fraction:.1f} % of passed sugar"
    )


def main() -> None:
    print(f"{platform.platform()}, Python {platform.python_version()}, {processor()}")
    build_map(next(iter(MACHINES.values())), FLOWS)  # compiles, or loads from the cache
    for name, machine in MACHINES.items():
        report(name, machine)


if __name__ == "__main__":
    main()
