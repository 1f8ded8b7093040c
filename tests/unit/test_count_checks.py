"""The count of reference values: enough of them, from enough sources, no table counted whole."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "count_checks.py"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("count_checks", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_there_are_enough_values_of_enough_sources() -> None:
    run = subprocess.run([sys.executable, str(SCRIPT)], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
    # every line says how its values are known, in one of the four ways
    ways = re.findall(r"^ *\d+ +\d+  (\w+) ", run.stdout, flags=re.MULTILINE)
    assert len(ways) > 40
    assert set(ways) <= {"seen", "memory", "library", "second", "in"}


def test_a_long_table_counts_for_fifteen(script: ModuleType) -> None:
    tables = Counter({("a", "long", "seen"): 78, ("a", "short", "seen"): 3})
    assert script.counted(tables) == {("a", "long", "seen"): 15, ("a", "short", "seen"): 3}
    assert "    81      18  in all" in script.report(tables)
    assert "(1 sources)" in script.report(tables)


def test_too_few_is_said(script: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    few = Counter({(f"source {n}", "table", "seen"): 10 for n in range(15)})
    monkeypatch.setattr(script, "count_checks", lambda: few)
    assert script.main() == 0  # 150 values of 15 sources
    monkeypatch.setattr(script, "count_checks", lambda: Counter(dict(list(few.items())[:14])))
    assert script.main() == 1
