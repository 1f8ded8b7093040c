"""Files that only their owner may read: written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import Generic, TypeVar

from sugarwright.errors import GuardError
from sugarwright.logbook.files import sync_folder

FOLDER = "lan"
"""Where a sugarhouse folder keeps what guards its pages on the network."""

_OTHERS = 0o077

Value = TypeVar("Value")


def private_folder(house_folder: str | Path) -> Path:
    """Return the folder of passphrases, sessions and keys, made for its owner alone if missing.

    Raises
    ------
    GuardError : it cannot be made
    """
    folder = Path(house_folder) / FOLDER
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as problem:
        raise _failed("folder", folder, "cannot be made", problem) from None
    return folder


def write_private(path: Path, data: bytes) -> None:
    """Write a file that its owner alone may read; at every moment the old or the new one is there.

    Raises
    ------
    GuardError : it cannot be written; what was there before is untouched
    """
    passing = path.with_name(f".{path.name}-{secrets.token_hex(8)}.part")
    try:
        # Never wider, not even for the moment between making a file and narrowing it.
        handle = os.open(passing, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        passing.replace(path)
    except OSError as problem:
        with contextlib.suppress(OSError):
            passing.unlink(missing_ok=True)
        raise _failed("file", path, "cannot be written", problem) from None
    sync_folder(path.parent)


def read_private(path: Path) -> bytes | None:
    """Return what such a file holds, or nothing if there is none.

    One that others may read (a copy from a stick, say) is narrowed first.

    Raises
    ------
    GuardError : it is there and cannot be read
    """
    try:
        _narrow(path)
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as problem:
        raise _failed("file", path, "cannot be read", problem) from None


class Watched(Generic[Value]):
    """What a private file holds, read again whenever some process has written it.

    Parameters
    ----------
    path : of the file
    parse : of its bytes; nothing if there is no file
    """

    def __init__(self, path: Path, parse: Callable[[bytes | None], Value]) -> None:
        self.path = path
        self._parse = parse
        self._seen: tuple[int, ...] | None = ()  # as no look at a file gives
        self._value: Value

    def value(self) -> Value:
        """Return what the file holds now.

        Raises
        ------
        GuardError : it cannot be read; or what the parser raises
        """
        seen = self._look()
        if seen != self._seen:
            self._value = self._parse(read_private(self.path))
            self._seen = seen
        return self._value

    def write(self, data: bytes) -> None:
        """Write the file anew; the next look reads it.

        Raises
        ------
        GuardError : it cannot be written
        """
        write_private(self.path, data)
        self._seen = ()

    def _look(self) -> tuple[int, ...] | None:
        """Return what tells one writing of the file from the next."""
        try:
            facts = self.path.stat()
        except FileNotFoundError:
            return None
        except OSError as problem:
            raise _failed("file", self.path, "cannot be read", problem) from None
        return facts.st_mtime_ns, facts.st_size, facts.st_ino


def is_open_to_others(path: Path) -> bool:
    """Tell whether others on this computer may read a file, as far as its mode says."""
    return os.name == "posix" and bool(path.stat().st_mode & _OTHERS)


def _narrow(path: Path) -> None:
    if is_open_to_others(path):
        with contextlib.suppress(OSError):  # a disk without modes: told at the start, not here
            path.chmod(0o600)


def _failed(what: str, path: Path, problem: str, error: OSError) -> GuardError:
    return GuardError(what, f"{path.parent.name}/{path.name}", f"{problem}: {error.strerror}")
