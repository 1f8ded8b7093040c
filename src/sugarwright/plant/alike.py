"""Runs of one day that stand for others: what the kernel is given to look up and to note.

Runs of a group begin alike, in the same weather, and their plans are alike but for today's row. So
a run of a group whose notes fit another row has ended as that one would (``plant/asked.py``).
"""

from __future__ import annotations

from typing import TypeAlias, cast

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Counts, Floats
from sugarwright.plant.unowned import Array

Alike: TypeAlias = tuple[Counts, Counts, Counts, Floats, Counts]
"""Group of each run asked for; number of the latest run of each group, or -1.

Of all runs known and then those asked for: number of the one before in its group, or -1; notes,
(runs, 2, ``PLAN_WIDTH``). Of each run asked for: number of the run that it ends as.
"""
NONE = -1
ROOM = 1024  # for so many runs at first, then for twice as many whenever there are more


def each_by_itself(runs: int) -> Alike:
    """Return what lets every run be run."""
    groups = np.arange(runs, dtype=np.int64)
    return (
        groups,
        np.full(runs, NONE, dtype=np.int64),
        np.empty(runs, dtype=np.int64),
        np.empty((runs, 2, at.PLAN_WIDTH)),
        np.empty(runs, dtype=np.int64),
    )


class KnownRuns:
    """Runs that have been run, by group."""

    def __init__(self) -> None:
        self.count = 0
        self._groups: dict[int, int] = {}
        self._latest = np.empty(0, dtype=np.int64)
        self._earlier = np.empty(0, dtype=np.int64)
        self._asked = np.empty((0, 2, at.PLAN_WIDTH))

    @property
    def nbytes(self) -> int:
        """What they take up, bytes."""
        return self.count * (2 * at.PLAN_WIDTH * self._asked.itemsize + self._earlier.itemsize)

    def with_more(self, keys: Counts) -> Alike:
        """Return what the kernel needs for more runs, which are known from then on.

        Parameters
        ----------
        keys : (runs,); those of a group have the same
        """
        before, groups = len(self._groups), self._groups
        each = np.array([groups.setdefault(key, len(groups)) for key in keys.tolist()])
        self._latest = with_room(self._latest, len(groups))
        self._latest[before : len(groups)] = NONE
        self.count += len(keys)
        self._earlier = with_room(self._earlier, self.count)
        self._asked = with_room(self._asked, self.count)
        return (
            each,
            self._latest,
            self._earlier,
            self._asked[: self.count],
            np.empty(len(keys), dtype=np.int64),
        )


def with_room(array: Array, count: int) -> Array:
    """Return an array with room for so many, what it holds being kept; the rest is anything."""
    if count <= len(array):
        return array
    roomy = np.empty_like(array, shape=(max(count, ROOM, 2 * len(array)), *array.shape[1:]))
    roomy[: len(array)] = array
    return cast(Array, roomy)
