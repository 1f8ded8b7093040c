"""The benchmark of decisions: its linear programs and its cache."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import linprog

from regret import cache
from regret.linear_program import LinearProgram


@pytest.mark.parametrize("seed", range(5))
def test_programs_are_solved_as_scipy_solves_them(seed: int) -> None:
    source = np.random.default_rng(seed)
    brings, upper = source.normal(size=8), source.uniform(1.0, 4.0, 8)
    matrix, limits = source.normal(size=(5, 8)), source.uniform(0.5, 2.0, 5)
    program = LinearProgram()
    first = program.variables(5, upper[:5], brings=brings[:5])
    rest = program.variables(3, upper[5:], brings=brings[5:])
    for row, limit in zip(matrix[:3], limits[:3], strict=True):
        program.row([(row[:5], first), (row[5:], rest)], upper=float(limit))
    for row, limit in zip(matrix[3:], limits[3:], strict=True):
        terms = [
            (value, each[np.newaxis]) for value, each in zip(row, [*first, *rest], strict=True)
        ]
        program.rows(terms, upper=float(limit))
    theirs = linprog(-brings, matrix, limits, bounds=list(zip(np.zeros(8), upper, strict=True)))
    assert program.solve() == pytest.approx(-theirs.fun)


def test_a_program_without_an_answer_says_so() -> None:
    program = LinearProgram()
    x = program.variables(1, upper=1.0)
    program.rows([(1.0, x)], lower=2.0)
    with pytest.raises(RuntimeError, match="no optimum"):
        program.solve()


def test_what_is_kept_is_found_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cache, "FOLDER", tmp_path)
    assert cache.load("big pan, small tank", "plan", "a 1") is None
    cache.keep({"net": 1.5}, "big pan, small tank", "plan", "a 1")
    assert cache.load("big pan, small tank", "plan", "a 1") == {"net": 1.5}
    assert cache.load("big pan, small tank", "plan", "a 2") is None


def test_a_method_hangs_on_what_it_imports_and_nothing_else() -> None:
    names = {path.stem for path in cache._closure(cache.HERE / "by_planner.py")}
    assert {"kernel", "search", "worth", "tree", "ensemble", "truth", "houses"} <= names
    assert "plan_text" not in names
    by_habit = {path.stem for path in cache._closure(cache.HERE / "by_habit.py")}
    assert "kernel" in by_habit
    assert "search" not in by_habit
    assert cache.code_hash("by_planner") != cache.code_hash("by_habit")


def test_an_edit_changes_the_hash(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cache, "HERE", tmp_path)
    (tmp_path / "one.py").write_text("from .two import x\n")
    hashes = []
    for text in ("x = 1\n", "x = 2\n", "x = 1\n"):
        (tmp_path / "two.py").write_text(text)
        cache.code_hash.cache_clear()
        hashes.append(cache.code_hash("one"))
    cache.code_hash.cache_clear()
    assert hashes[0] == hashes[2] != hashes[1]
