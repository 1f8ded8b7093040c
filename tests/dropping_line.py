"""A line that drops: a small TCP proxy that breaks connections, by a seed."""

from __future__ import annotations

import contextlib
import random
import socket
import threading
import time
from collections.abc import Callable


class DroppingLine:
    """Forwards to a port; every so often all connections break, and for a while none is taken.

    Parameters
    ----------
    to_port : of the server
    seed : of when it drops
    up_s, down_s : ranges of how long it holds and how long it is gone
    """

    def __init__(
        self,
        to_port: int,
        seed: int,
        up_s: tuple[float, float] = (1.0, 2.5),
        down_s: tuple[float, float] = (0.3, 0.9),
    ) -> None:
        self._to = ("127.0.0.1", to_port)
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = self._listener.getsockname()[1]
        self._open: set[socket.socket] = set()
        self._lock = threading.Lock()
        self.is_up = True
        self.drops = 0
        self.swallows: Callable[[], bool] = lambda: False  # whether an answer is lost now
        self._ends = False
        threading.Thread(target=self._accept, daemon=True).start()
        self._chance = random.Random(seed)
        self._spans = (up_s, down_s)

    def start_dropping(self) -> None:
        threading.Thread(target=self._drop, daemon=True).start()

    def close(self) -> None:
        self._ends = True
        self._listener.close()
        self.cut()

    def cut(self) -> None:
        """Break every connection, wherever it is."""
        with self._lock:
            broken, self._open = self._open, set()
        for each in broken:
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
            each.close()

    def _drop(self) -> None:
        while not self._ends:
            time.sleep(self._chance.uniform(*self._spans[0]))
            self.is_up = False
            self.drops += 1
            self.cut()
            time.sleep(self._chance.uniform(*self._spans[1]))
            self.is_up = True

    def _accept(self) -> None:
        while not self._ends:
            try:
                near, _ = self._listener.accept()
            except OSError:
                return
            if not self.is_up:
                near.close()
                continue
            try:
                far = socket.create_connection(self._to)
            except OSError:
                near.close()
                continue
            with self._lock:
                self._open |= {near, far}
            threading.Thread(target=self._pump, args=(near, far, False), daemon=True).start()
            threading.Thread(target=self._pump, args=(far, near, True), daemon=True).start()

    def _pump(self, source: socket.socket, sink: socket.socket, is_answer: bool) -> None:
        with contextlib.suppress(OSError):
            while data := source.recv(65536):
                if is_answer and self.swallows():
                    break  # the server has done its work, and nobody hears of it
                sink.sendall(data)
        for each in (source, sink):
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
