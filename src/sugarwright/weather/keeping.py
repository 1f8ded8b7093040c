"""Files that are there whole or not at all, whatever happens while they are written."""

from __future__ import annotations

import contextlib
import os
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from sugarwright.errors import WeatherFileError

_PATIENCE_S = 5.0
_FORGOTTEN_S = 60.0


def create_whole(path: Path, text: str) -> bool:
    """Write a new file; return False, and leave all as it is, if there is one of that name.

    Raises
    ------
    WeatherFileError : if it cannot be written
    """
    try:
        path.parent.mkdir(exist_ok=True)
        beside = _written_beside(path, text)
        try:
            return _linked(beside, path)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as problem:
        raise _unwritten(path, problem) from None


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


@contextlib.contextmanager
def alone(path: Path) -> Iterator[None]:
    """Read and write a file while nobody else who asks for it here does.

    Raises
    ------
    WeatherFileError : if somebody else does not come to an end with it
    """
    lock = path.with_name(f".{path.name}.lock")
    end_s = time.monotonic() + _PATIENCE_S
    while True:
        try:
            lock.mkdir()
            break
        except FileExistsError:
            with contextlib.suppress(OSError):
                if time.time() - lock.stat().st_mtime > _FORGOTTEN_S:
                    lock.rmdir()  # left behind by a program that was ended
                    continue
            if time.monotonic() > end_s:
                fix = f"Try again; if nothing else is running, delete {lock.name}"
                problem = "is being written by another program"
                raise WeatherFileError("weather", str(path), problem, fix=fix) from None
            time.sleep(0.02)
        except OSError as problem:
            raise _unwritten(path, problem) from None
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            lock.rmdir()


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


def _linked(beside: Path, path: Path) -> bool:
    """Give a file its name unless that is taken; where there are no links (FAT), by moving it."""
    try:
        os.link(beside, path)
    except FileExistsError:
        return False
    except OSError:
        if path.exists():
            return False
        beside.replace(path)
    return True


def _unwritten(path: Path, problem: OSError) -> WeatherFileError:
    why = f"cannot be written ({problem.strerror or problem})"
    return WeatherFileError("weather", str(path), why, fix="Look whether the disk is full")
