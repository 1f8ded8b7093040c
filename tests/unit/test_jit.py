"""One function, two lives: the compiled one agrees with the plain one, and with its sources."""

from __future__ import annotations

import importlib
import inspect
import math
import os
import pkgutil
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import sugarwright
import sugarwright.physics
from sugarwright.errors import RangeError
from sugarwright.plant import jit

PACKAGE = Path(sugarwright.__file__).parent
CALLER = '''"""A caller."""

from sugarwright.physics.callee import twice


def caller(value: float) -> float:
    """Call."""
    return twice(value)
'''
CALLEE = '''"""A callee."""


def twice(value: float) -> float:
    """Double."""
    return {factor} * value
'''
ASK = (
    "from sugarwright.plant.jit import compiled, CACHE_FOLDER;"
    "from sugarwright.physics.caller import caller;"
    "print(compiled(caller)(10.0), CACHE_FOLDER)"
)


def ask(folder: Path, **environment: str) -> list[str]:
    """Ask the copied package in a process of its own."""
    known = {name: value for name, value in os.environ.items() if name != "NUMBA_CACHE_DIR"}
    known |= {"PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1", **environment}
    done = subprocess.run(
        [sys.executable, "-c", ASK],
        env=known,
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    return done.stdout.split()


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """Return a folder with a copy of what compiling needs, and two small functions."""
    for part in ("__init__.py", "errors.py"):
        (tmp_path / "sugarwright").mkdir(exist_ok=True)
        shutil.copy(PACKAGE / part, tmp_path / "sugarwright" / part)
    for folder, names in (
        ("physics", ("__init__.py", "valid.py")),
        ("plant", ("__init__.py", "jit.py", "unowned.py", "tank_kernel.py", "layout.py")),
    ):
        (tmp_path / "sugarwright" / folder).mkdir()
        for name in names:
            shutil.copy(PACKAGE / folder / name, tmp_path / "sugarwright" / folder / name)
    (tmp_path / "sugarwright/physics/caller.py").write_text(CALLER)
    (tmp_path / "sugarwright/physics/callee.py").write_text(CALLEE.format(factor=2.0))
    return tmp_path


def test_an_edit_of_a_callee_is_seen(copied: Path) -> None:
    """Numba's own cache looks at the caller's file alone."""
    cache = copied / "cache"
    first, folder = ask(copied, NUMBA_CACHE_DIR=str(cache))
    again, same_folder = ask(copied, NUMBA_CACHE_DIR=str(cache))
    assert float(first) == float(again) == 20.0
    assert folder == same_folder
    assert Path(folder).parent == cache
    assert list(Path(folder).rglob("*.nbc"))
    (copied / "sugarwright/physics/callee.py").write_text(CALLEE.format(factor=3.0))
    edited, other_folder = ask(copied, NUMBA_CACHE_DIR=str(cache))
    assert float(edited) == 30.0
    assert other_folder != folder


def test_a_cache_place_that_cannot_be_written_is_passed_over(copied: Path) -> None:
    """A file stands where the folder should be (which stops even an administrator)."""
    blocked = copied / "blocked"
    blocked.write_text("")
    home = copied / "home"
    _, folder = ask(copied, NUMBA_CACHE_DIR=str(blocked / "a"), XDG_CACHE_HOME=str(home))
    assert Path(folder).is_relative_to(home / "sugarwright")
    value, nowhere = ask(
        copied,
        NUMBA_CACHE_DIR=str(blocked / "a"),
        XDG_CACHE_HOME=str(blocked / "b"),
        HOME=str(blocked / "c"),
        USERPROFILE=str(blocked / "c"),
    )
    assert float(value) == 20.0  # compiled all the same, just not kept
    assert nowhere == "None"


def test_only_the_last_caches_are_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    folders = []
    for number in range(5):
        monkeypatch.setattr(jit, "sources_hash", lambda name=number: f"{name}")
        folders.append(jit._open_cache())
        assert folders[-1] is not None
        os.utime(folders[-1], (number, number))
    monkeypatch.setattr(jit, "sources_hash", lambda: "4")
    jit._open_cache()
    assert set(tmp_path.iterdir()) == set(folders[-3:])


def test_the_hash_covers_every_source(monkeypatch: pytest.MonkeyPatch, copied: Path) -> None:
    monkeypatch.setattr(jit, "_PACKAGE", copied / "sugarwright")
    seen = {jit.sources_hash()}
    for folder in ("physics", "plant"):
        (copied / "sugarwright" / folder / "extra.py").write_text("")
        seen.add(jit.sources_hash())
        (copied / "sugarwright" / folder / "extra.py").write_text("value = 1\n")
        seen.add(jit.sources_hash())
    assert len(seen) == 5
    assert jit.sources_hash() in seen


# --- every formula that checks its range ---------------------------------------------------------


def formulas() -> Iterator[Any]:
    for info in pkgutil.iter_modules(sugarwright.physics.__path__):
        module = importlib.import_module(f"sugarwright.physics.{info.name}")
        for function in vars(module).values():
            if getattr(function, "__module__", "") == module.__name__ and hasattr(function, "core"):
                yield pytest.param(function, id=f"{info.name}.{function.__name__}")


def test_there_are_formulas_to_compare() -> None:
    assert len(list(formulas())) > 30


def points(function: Callable[..., Any]) -> Iterator[tuple[Any, ...]]:
    """Arguments inside a formula's ranges: a third and three fifths of the way along each."""
    names = inspect.signature(function, eval_str=True).parameters
    ranges: dict[str, tuple[float, float]] = function.ranges  # type: ignore[attr-defined]
    for share in (0.31, 0.58):
        values: list[Any] = []
        for name, parameter in names.items():
            low, high = ranges.get(name, (0.4, 1.6))
            value = (
                low + share * (high - low)
                if high < 1e3 * max(low, 1e-3)
                else _middle(low, high, share)
            )
            values.append(round(value) if parameter.annotation is int else value)
        yield tuple(values)


def _middle(low: float, high: float, share: float) -> float:
    """Spread a wide range by its powers of ten."""
    least = max(low, 1e-9 * high)
    return least * (high / least) ** share


@pytest.mark.parametrize("function", list(formulas()))
def test_compiled_equals_plain(function: Any) -> None:
    names = inspect.signature(function, eval_str=True).parameters
    if any(each.annotation not in (int, float) for each in names.values()):
        pytest.skip("takes more than numbers: compared in the tests of its own module")
    twin, compared = jit.compiled(function), 0
    for arguments in points(function):
        try:
            plain = function(*arguments)
        except (RangeError, ZeroDivisionError):
            continue  # no answer there: the ranges of each do not make all of them fit together
        quick = twin(*arguments)
        _same(plain, quick)
        compared += 1
    if not compared:
        pytest.skip("no answer at these points")


def _same(plain: Any, quick: Any) -> None:
    if isinstance(plain, tuple):
        for one, other in zip(plain, quick, strict=True):
            _same(one, other)
    else:
        # the same formula; a compiler may fuse a multiplication with an addition
        assert math.isclose(plain, quick, rel_tol=1e-9, abs_tol=1e-15)
