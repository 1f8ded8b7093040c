"""How long commands that answer at once take, as new processes, beside Python and Typer alone.

    python benchmarks/start_up.py

Prints the median of ten, the rounds going through all of them in turn so that each meets the same
load. Files are byte-compiled and the disk is warm after a first round that is not counted.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROUNDS = 10
RUN = "import sys; from sugarwright.cli.main import run; sys.argv[1:] = {words!r}; run()"
DEMO = str(Path(__file__).resolve().parent.parent / "src" / "sugarwright" / "demo")
WISHES = ["--want-brix", "4", "--match-pan", "--done-by", "21:00", "--now", "16:00"]
HOT_TEST = ["finish", "check", "--hydrometer", "59 Brix", "--temperature", "211F"]
CASES: dict[str, str] = {
    "python -c pass": "pass",
    "import typer": "import typer",
    "finish check": RUN.format(words=[*HOT_TEST, "--thermometer", "219F", "--water-boils", "212F"]),
    "finish check --json": RUN.format(words=[*HOT_TEST, "--json"]),
    "finish adjust": RUN.format(
        words=["finish", "adjust", "--volume", "6 gal", "--brix", "68.2", "--to", "66.9"]
    ),
    "finish pack": RUN.format(words=["finish", "pack", "--volume", "10 gal"]),
    "finish law": RUN.format(words=["finish", "law"]),
    "membrane, one point": RUN.format(words=["membrane", DEMO, "--flow", "0.4 gal/min"]),
    "membrane, map": RUN.format(words=["membrane", DEMO, "--sap", "212 gal"]),
    "membrane, three wishes": RUN.format(
        words=["membrane", DEMO, "--sap", "212 gal", *WISHES, "--json"]
    ),
}


def seconds(code: str) -> float:
    """Return how long a new Python takes for some code."""
    compiled = {key: text for key, text in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    begin = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", code], stdout=subprocess.DEVNULL, check=True, env=compiled
    )
    return time.perf_counter() - begin


def main() -> None:
    """Measure and print."""
    rounds = [{name: seconds(code) for name, code in CASES.items()} for _ in range(ROUNDS + 1)]
    for name in CASES:
        times = [each[name] for each in rounds[1:]]
        print(f"{name:22} median {statistics.median(times):.3f} s, least {min(times):.3f} s")


if __name__ == "__main__":
    main()
