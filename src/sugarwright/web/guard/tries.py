"""How often a passphrase may be tried: the wait grows with each wrong one, soon past guessing."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

FREE, LONGEST_S, FORGOTTEN_S = 5, 900.0, 3600.0
"""Of one address: wrong tries without a wait, the longest wait, how long they are remembered."""

FREE_OF_ALL, LONGEST_OF_ALL_S = 20, 30.0
"""Of all addresses together. Addresses cost a guesser nothing, so all are counted; but the wait
stays short, since whoever makes it grow keeps the maker out too."""

_MOST_ADDRESSES = 1000


class Tries:
    """Wrong tries, counted by address and overall.

    Parameters
    ----------
    now : a clock in s that never goes back
    """

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._lock = threading.Lock()
        self._of: dict[str, list[float]] = {}
        self._all: list[float] = []

    def take(self, address: str) -> float:
        """Return how long this address must wait, s; 0 takes a try.

        A try counts as wrong from the moment it is taken, so that many at once gain nothing.
        """
        with self._lock:
            now_s = self._now()
            own = _recent(self._of.get(address, []), now_s)
            self._all = _recent(self._all, now_s)
            wait_s = max(
                _wait_s(own, now_s, FREE, LONGEST_S),
                _wait_s(self._all, now_s, FREE_OF_ALL, LONGEST_OF_ALL_S),
            )
            if wait_s == 0.0:
                self._of.pop(address, None)
                self._of[address] = [*own, now_s]  # the one heard of last stands last
                self._all.append(now_s)
                while len(self._of) > _MOST_ADDRESSES:
                    del self._of[next(iter(self._of))]
            return wait_s

    def was_right(self, address: str) -> None:
        """Take back the last try of an address; earlier ones stay counted.

        Else who may log could try for the passphrase of the house, signing in between tries.
        """
        with self._lock:
            if own := self._of.get(address):
                stamp = own.pop()
                if stamp in self._all:
                    self._all.remove(stamp)


def _recent(stamps: list[float], now_s: float) -> list[float]:
    return [stamp for stamp in stamps if now_s - stamp < FORGOTTEN_S]


def _wait_s(stamps: list[float], now_s: float, free: int, longest_s: float) -> float:
    """Return the wait left after these tries: 2, 4, 8 ... s after the last one."""
    beyond = len(stamps) - free
    if beyond < 0 or not stamps:
        return 0.0
    whole_s = longest_s if beyond > 30 else min(longest_s, 2.0 ** (beyond + 1))
    return max(0.0, stamps[-1] + whole_s - now_s)
