"""Measured hours over a span, as one unbroken piece: what gatherings are learnt with."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sugarwright.learning.expected import WARM_UP_S
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.verified import measured

LONGEST_GAP_H = 6  # across which a straight line is drawn


def observed_over(
    pieces: Sequence[HourlyWeather], begin_s: float, end_s: float
) -> HourlyWeather | None:
    """Return measured hours that reach over a span, and before it as far as they are unbroken.

    Parameters
    ----------
    pieces : unbroken pieces, in any order
    begin_s, end_s : UTC s

    Returns
    -------
    Hours from three weeks before at most; None where more than six hours together are missing in
    the span.
    """
    came = measured(pieces)
    if came.first_s > begin_s or came.end_s < end_s:
        return None
    last = int(-(-(end_s - came.first_s) // HOUR_S))
    first = max(int((begin_s - WARM_UP_S - came.first_s) // HOUR_S), 0)
    needed = int((begin_s - came.first_s) // HOUR_S)
    temperature_c = came.temperature_c[first:last]
    known = np.flatnonzero(~np.isnan(temperature_c))
    if not len(known) or known[-1] < last - first - 1:
        return None
    wide = np.flatnonzero(np.diff(known) > LONGEST_GAP_H + 1)
    start = int(known[wide[-1] + 1]) if len(wide) else int(known[0])
    if first + start > needed:
        return None
    hour = np.arange(start, last - first)
    filled = np.interp(hour, known, temperature_c[known])
    time_s = came.first_s + HOUR_S * (first + hour)
    sources = ", ".join(dict.fromkeys(each.source for each in pieces if each.source))
    return HourlyWeather(time_s.astype(np.int64), filled, source=sources)
