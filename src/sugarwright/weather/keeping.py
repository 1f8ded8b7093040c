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
        put_whole(path, text)
    except OSError as problem:
        raise _unwritten(path, problem) from None


def put_whole(path: Path, text: str, mode: int = 0o644) -> None:
    """Write a file in place of the one of that name, if any: who reads it finds one of the two.

    Parameters
    ----------
    path : in a folder that is there
    text : in lines that end with a newline alone
    mode : who may read and write it, as far as the system knows of that

    Raises
    ------
    OSError : it cannot be written; the former file then stands
    """
    beside = _written_beside(path, text, mode)
    try:
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _written_beside(path: Path, text: str, mode: int) -> Path:
    """Write a file of a passing name to the same folder, and to the disk."""
    handle, name = tempfile.mkstemp(prefix=f".{path.stem[:40]}-", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(OSError):
            Path(name).chmod(mode)  # a passing file is its owner's alone
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _unwritten(path: Path, problem: OSError) -> WeatherFileError:
    why = f"cannot be written ({problem.strerror or problem})"
    return WeatherFileError("weather", str(path), why, fix="Look whether the disk is full")
