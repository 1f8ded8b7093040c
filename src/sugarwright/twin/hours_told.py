"""The weather that a state was run through, so that it is seen when it turns out otherwise.

A state of yesterday stands on hours that were forecast then. When they have been measured, or the
forecast was put right, the state is of no more use, just as when an entry is corrected.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

HOUR_S = 3600
SAME_K = 0.05  # half the last digit that weather is given with


@dataclass(frozen=True, eq=False)
class HoursTold:
    """What the weather said of each hour, before members part from it.

    Parameters
    ----------
    first_h : hours since 1970 at which the first begins
    air_c : (hours,) [°C]; NaN where nothing was known
    """

    first_h: int
    air_c: NDArray[np.float64]

    def before(self, time_s: float, reach_s: float) -> HoursTold:
        """Return the hours that begin before a time, those of the last ``reach_s``."""
        end = int(-(-time_s // HOUR_S)) - self.first_h
        begin = max(0, end - int(reach_s // HOUR_S))
        return HoursTold(self.first_h + begin, self.air_c[begin : max(begin, end)])

    def holds(self, now: HoursTold) -> bool:
        """Tell whether what is known now still says the same of these hours.

        Hours that are no longer known are taken to stand: what is forgotten corrects nothing.
        """
        first_h = max(self.first_h, now.first_h)
        end_h = min(self.first_h + len(self.air_c), now.first_h + len(now.air_c))
        if end_h <= first_h:
            return True
        then_c = self.air_c[first_h - self.first_h : end_h - self.first_h]
        now_c = now.air_c[first_h - now.first_h : end_h - now.first_h]
        same = np.isnan(now_c) | (np.abs(now_c - then_c) <= SAME_K)  # NaN then, known now: no
        return bool(same.all())
