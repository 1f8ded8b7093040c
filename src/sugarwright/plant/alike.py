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
        self._latest = np.full(ROOM, NONE, dtype=np.int64)
        self._earlier = np.empty(ROOM, dtype=np.int64)
        self._asked = np.empty((ROOM, 2, at.PLAN_WIDTH))

    @property
    def nbytes(self) -> int:
        """What they take up, bytes."""
        return self.count * (self._asked[0].nbytes + self._earlier.itemsize)

    def with_more(self, keys: Counts) -> Alike:
        """Return what the kernel needs for more runs, which are known from then on.

        Parameters
        ----------
        keys : (runs,); those of a group have the same
        """
        some, which = np.unique(keys, return_inverse=True)
        groups = [self._groups.setdefault(key, len(self._groups)) for key in some.tolist()]
        self._latest = _with_room(self._latest, len(self._groups))
        self.count += len(keys)
        self._earlier = _with_room(self._earlier, self.count)
        self._asked = _with_room(self._asked, self.count)
        return (
            np.array(groups, dtype=np.int64)[which],
            self._latest,
            self._earlier,
            self._asked[: self.count],
            np.empty(len(keys), dtype=np.int64),
        )


def _with_room(array: Array, count: int) -> Array:
    """Return an array with room for so many, what it holds being kept; the rest is ``NONE``."""
    if count > len(array):
        more = max(count, 2 * len(array)) - len(array)
        spare = np.full_like(array, NONE, shape=(more, *array.shape[1:]))
        array = cast(Array, np.concatenate([array, spare]))
    return array
