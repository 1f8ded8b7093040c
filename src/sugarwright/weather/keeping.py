"""Files that are there whole or not at all, whatever happens while they are written."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from sugarwright.errors import WeatherFileError


def replace_whole(path: Path, text: str) -> None:
    """Write a file in place of the one of that name, if any.

    Raises
    ------
    WeatherFileError : if it cannot be written; the former file then stands
    """
    try:
        path.parent.mkdir(exist_ok=True)
        beside = _written_beside(path, text)
        try:
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as problem:
        raise _unwritten(path, problem) from None


def _written_beside(path: Path, text: str) -> Path:
    """Write a file of a passing name to the same folder, and to the disk."""
    handle, name = tempfile.mkstemp(prefix=f".{path.stem[:40]}-", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(OSError):
            Path(name).chmod(0o644)  # a passing file is its owner's alone
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _unwritten(path: Path, problem: OSError) -> WeatherFileError:
    why = f"cannot be written ({problem.strerror or problem})"
    return WeatherFileError("weather", str(path), why, fix="Look whether the disk is full")
