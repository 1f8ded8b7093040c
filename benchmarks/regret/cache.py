"""Results as small files, named by what they hang on: sources, house, season, method.

The hash is of every source of this project that a method's module imports, directly or not; an edit
that a method cannot feel leaves its results standing, and so do comments and docstrings. Some hours
of work are handed on beside the sources, without their days, in one packed file.
"""

from __future__ import annotations

import ast
import hashlib
import json
import os
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / ".cache"
HERE = Path(__file__).parent
PACKED = HERE / "results.jsonl"
LEFT_OUT = "days"  # of what is packed: to read afterwards, and long
ROOTS = {"sugarwright": HERE.parents[1] / "src" / "sugarwright"}
LETTERS = 12


@cache
def code_hash(module: str, changes: str = "") -> str:
    """Hash of a module of this folder, all of this project that it imports, and changes to it."""
    told = hashlib.sha256(changes.encode())
    for path in sorted(_closure(HERE / f"{module}.py")):
        told.update(path.name.encode() + _meaning(path).encode())
    return told.hexdigest()[:LETTERS]


def load(*name: str) -> Any:
    """Return what was kept under a name, or None."""
    path = _path(name)
    if path.exists():
        return json.loads(path.read_text(encoding="utf-8"))
    return _packed(PACKED).get(name)


def pack(names: Iterable[tuple[str, ...]]) -> int:
    """Write what is known under some names into the packed file; return how many that is."""
    known = {name: found for name in names if (found := load(*name)) is not None}
    lines = [
        json.dumps([*name, {key: value for key, value in found.items() if key != LEFT_OUT}])
        for name, found in sorted(known.items())
    ]
    PACKED.write_text("\n".join([*lines, ""]), encoding="utf-8")
    _packed.cache_clear()
    return len(known)


@cache
def _packed(path: Path) -> dict[tuple[str, ...], Any]:
    if not path.exists():
        return {}
    rows = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return {tuple(row[:-1]): row[-1] for row in rows}


def keep(value: Any, *name: str) -> None:
    """Keep a value; a run that is broken off leaves no half of a file."""
    path = _path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_suffix(f".{os.getpid()}.part")
    part.write_text(json.dumps(value), encoding="utf-8")
    part.replace(path)


def _path(name: tuple[str, ...]) -> Path:
    *folders, last = (each.replace(" ", "_").replace(",", "") for each in name)
    return FOLDER.joinpath(*folders, f"{last}.json")


def _closure(first: Path) -> set[Path]:
    found, waiting = set(), [first]
    while waiting:
        path = waiting.pop()
        if path not in found and path.exists():
            found.add(path)
            waiting += _imports(path)
    return found


def _meaning(path: Path) -> str:
    """What a source does: its tree without comments and docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                node.body = node.body[1:]
    return ast.dump(tree)


def _imports(path: Path) -> list[Path]:
    """Files of this project that a file imports anywhere in its text."""
    paths: list[Path] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.ImportFrom):
            continue
        if node.level == 1:
            paths += [path.parent / f"{node.module}.py"] if node.module else []
        elif node.module and node.module.split(".")[0] in ROOTS:
            paths += _candidates(node.module, [each.name for each in node.names])
    return paths


def _candidates(module: str, names: list[str]) -> list[Path]:
    """A module, and its names where those are modules themselves."""
    top, *parts = module.split(".")
    folder = ROOTS[top].joinpath(*parts)
    return [folder.with_suffix(".py"), folder / "__init__.py", *(folder / f"{n}.py" for n in names)]
