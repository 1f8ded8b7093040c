"""That something changed: in the logbook or the description, whoever did it, also a command.

A number, the revision, grows with each change. Pages ask for it by server-sent events; the shed
throws away what it worked out from older content.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable
from pathlib import Path

from sugarwright.answering.folder import HOUSE_FILE
from sugarwright.answering.record import record_of
from sugarwright.answering.weather import WEATHER_FILE
from sugarwright.errors import SugarwrightError
from sugarwright.logbook.book import Mark
from sugarwright.logbook.connection import LOGBOOK_FILE

LOOK_EVERY_S = 1.0
NOTHING: Mark = ()
Listener = Callable[[int], object]
_FILES = (HOUSE_FILE, WEATHER_FILE, LOGBOOK_FILE, f"{LOGBOOK_FILE}-wal")


class Changes:
    """Watches one folder.

    Parameters
    ----------
    folder : of the sugarhouse
    """

    def __init__(self, folder: str) -> None:
        self._folder = Path(folder)
        self._lock = threading.Lock()
        self._listeners: list[Listener] = []
        self._revision = int(time.time() * 1000)  # greater than any of an earlier server
        self._files = self._look_at_files()
        self._mark = self._read_mark()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._watch, name="changes", daemon=True)
        self._thread.start()

    @property
    def revision(self) -> int:
        """Grows with each change."""
        return self._revision

    @property
    def mark(self) -> tuple[object, ...]:
        """Tells one content of the folder from another."""
        return (self._files[:2], self._mark)

    def subscribe(self, listener: Listener) -> Callable[[], None]:
        """Let a function be told of each new revision, on some thread; return what ends that."""
        with self._lock:
            self._listeners.append(listener)

        def end() -> None:
            with self._lock, contextlib.suppress(ValueError):
                self._listeners.remove(listener)

        return end

    @property
    def is_watched(self) -> bool:
        """Tell whether anybody waits for changes."""
        return bool(self._listeners)

    def tell(self) -> None:
        """Count a change that is none of the folder's: something was worked out."""
        with self._lock:
            self._revision += 1
            revision, listeners = self._revision, tuple(self._listeners)
        for listener in listeners:
            listener(revision)

    def look(self) -> bool:
        """Look whether the folder changed, and tell of it."""
        files = self._look_at_files()
        if files == self._files:
            return False
        mark = self._read_mark()
        changed = (files[:2], mark) != self.mark
        self._files, self._mark = files, mark
        if changed:
            self.tell()
        return changed

    def close(self) -> None:
        """Stop watching, and let go whoever waits."""
        self._stop.set()
        self.tell()

    def _watch(self) -> None:
        while not self._stop.wait(LOOK_EVERY_S):
            self.look()

    def _look_at_files(self) -> tuple[object, ...]:
        found: list[object] = []
        for name in _FILES:
            try:
                known = (self._folder / name).stat()
                found.append((known.st_ino, known.st_size, known.st_mtime_ns))
            except OSError:
                found.append(None)
        return tuple(found)

    def _read_mark(self) -> Mark:
        try:
            with record_of(str(self._folder), make=False, needed=False) as book:
                return book.mark()
        except SugarwrightError:
            return NOTHING
