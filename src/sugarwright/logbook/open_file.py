"""An open logbook file: how it is read and written, the day's backup, what went wrong beside."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sugarwright.errors import InputError, LogbookError
from sugarwright.logbook import backups
from sugarwright.logbook.connection import damaged, plainly, writing


class OpenFile:
    """What the parts of a logbook share.

    Parameters
    ----------
    path : of the file; of one in memory, where it would lie
    connection : to it
    backed_up : whether a backup is made at the first writing of a day
    clock : tells UTC s
    """

    def __init__(
        self,
        path: Path,
        connection: sqlite3.Connection,
        backed_up: bool = True,
        clock: Callable[[], float] = time.time,
    ) -> None:
        self.path = path
        self.connection = connection
        self.clock = clock
        self.troubles: list[str] = []
        self._may_back_up = backed_up
        self._mark = _mark(path)

    @property
    def folder(self) -> Path:
        """The sugarhouse folder that it belongs to."""
        return self.path.parent

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Read; what SQLite gives back but cannot be is damage as well."""
        try:
            with plainly(self.path):
                yield self.connection
        except LogbookError:
            raise
        except (InputError, ValueError, TypeError) as problem:
            raise damaged(self.path, f"something in it cannot be read ({problem})") from None

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Write all of what is inside, on the disk when this returns, or nothing of it."""
        if _mark(self.path) != self._mark:
            problem = "is another file than the one that was opened: it was restored meanwhile"
            fix = "Nothing of this was kept. Open it again"
            raise LogbookError("logbook", str(self.path), problem, fix=fix)
        with plainly(self.path), writing(self.connection):
            yield self.connection
        self.back_up()

    def back_up(self, again: bool = False) -> None:
        """Make the day's backup. What was written is safe already, so its failing is no error.

        Parameters
        ----------
        again : also where there is one of the day
        """
        now_s = self.clock()
        if self._may_back_up and (again or backups.is_due(self.folder, now_s)):
            self._may_back_up = False  # where it fails, once is enough to be told
            with noting(self):
                backups.back_up_daily(self.folder, self.connection, now_s)
                self._may_back_up = True


@contextmanager
def noting(file: OpenFile) -> Iterator[None]:
    """Note what goes wrong inside as a trouble of the file, and go on."""
    try:
        yield
    except LogbookError as problem:
        file.troubles.append(str(problem))


def _mark(path: Path) -> int | None:
    """Return what tells a file from another one of the same name; None where there is none."""
    with suppress(OSError):
        return path.stat().st_ino
    return None
