"""Count the values of the outside world that the reference tests hold the program against.

    python scripts/count_checks.py

A test names its source by a mark of ``tests/sources.py``; each of its cases is one value. No more
than fifteen are counted from one table, however long it is. Tests without a mark (laws, refusals,
what is only plausible) are not counted.
"""

from __future__ import annotations

import contextlib
import io
import sys
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
MOST_OF_ONE_TABLE = 15
LEAST_VALUES, LEAST_SOURCES = 150, 12
HOW = {
    "seen": "published, read in the source or a reproduction of it",
    "memory": "published, from memory",
    "library": "computed by a library of somebody else's",
    "second": "computed apart from this program",
}

Table = tuple[str, str, str]
"""Source, table, how it is known."""


class _Collector:
    """A pytest plugin that keeps the marks of all tests and lets none of them run."""

    def __init__(self) -> None:
        self.tables: Counter[Table] = Counter()

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        for item in items:
            for mark in item.iter_markers("source"):
                self.tables[tuple(mark.args)] += 1


def count_checks() -> Counter[Table]:
    """Return how many values the reference tests have of each table."""
    collector = _Collector()
    options = ["--collect-only", "-q", "-p", "no:cacheprovider", "--rootdir", str(ROOT)]
    with contextlib.redirect_stdout(io.StringIO()) as output:
        code = pytest.main(
            [*options, "-c", str(ROOT / "pyproject.toml"), str(ROOT / "tests" / "reference")],
            plugins=[collector],
        )
    if code != pytest.ExitCode.OK:
        raise SystemExit(output.getvalue())
    return collector.tables


def counted(tables: Counter[Table]) -> Counter[Table]:
    """Return the same with no more than fifteen of each table."""
    return Counter({table: min(n, MOST_OF_ONE_TABLE) for table, n in tables.items()})


def report(tables: Counter[Table]) -> str:
    """Return the tables by source, and the sums."""
    kept = counted(tables)
    lines = [f"{'values':>6} {'counted':>7}  how      source: table"]
    lines += [
        f"{number:6} {kept[table]:7}  {table[2]:7}  {table[0]}: {table[1]}"
        for table, number in sorted(tables.items())
    ]
    lines.append(f"{sum(tables.values()):6} {sum(kept.values()):7}  in all")
    for how, meaning in HOW.items():
        of_kind = [table for table in kept if table[2] == how]
        sources = len({by for by, *_ in of_kind})
        number = sum(kept[table] for table in of_kind)
        lines.append(f"{'':6} {number:7}  {how:7}  {meaning} ({sources} sources)")
    return "\n".join(lines)


def main() -> int:
    """Print the report; return 0 when there are enough values of enough sources."""
    tables = count_checks()
    sys.stdout.write(report(tables) + "\n")
    values, sources = counted(tables).total(), len({by for by, *_ in tables})
    return 0 if values >= LEAST_VALUES and sources >= LEAST_SOURCES else 1


if __name__ == "__main__":
    raise SystemExit(main())
