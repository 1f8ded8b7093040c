"""Draw the charts of docs/models: each model against the published values of its tests.

    python scripts/plot_models.py

The points are the tables of the reference tests, read out of their source, so that a chart shows
what is tested. One page of tables is made as well. A test fails when one of them is old.
"""

from __future__ import annotations

import ast
import sys
from pathlib import Path
from typing import Any

import charts_fire
import charts_membrane
import charts_plant
import charts_solution

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "docs" / "models"


def table(module: str, name: str) -> Any:
    """Return a table of a reference test, e.g. ``table("test_boiling", "CLAASSEN")``."""
    source = (ROOT / "tests" / "reference" / f"{module}.py").read_text(encoding="utf-8")
    for node in ast.parse(source).body:
        if isinstance(node, ast.Assign) and any(ast.unparse(t) == name for t in node.targets):
            return ast.literal_eval(node.value)
    raise LookupError(f"{module} has no table {name}")


def made() -> dict[str, str]:
    """Return the text of each chart, and of the page of tables, by its file name."""
    makers = (
        charts_solution.CHARTS | charts_fire.CHARTS | charts_membrane.CHARTS | charts_plant.CHARTS
    )
    files = {f"{name}.svg": make(table) for name, make in makers.items()}
    return files | {"syrup-by-fuel.md": charts_fire.fuel_tables()}


if __name__ == "__main__":
    for name, text in made().items():
        (FOLDER / name).write_text(text, encoding="utf-8", newline="\n")
        sys.stdout.write(f"docs/models/{name}\n")
