"""Weather for when none is known: air that stays as it is, so that what waits can be planned."""

from __future__ import annotations

import numpy as np

from sugarwright.weather.hours import HOUR_S, HourlyWeather

NONE_KNOWN = "no forecast"  # the source of such hours
STAYS_C = 3.0  # a mild day of the season, at which sap keeps as it mostly does: judgement
BEFORE_H = 14 * 24


def none_known(now_s: int, hours: int) -> HourlyWeather:
    """Return two weeks up to an hour, and some hours from it on, all of 3 °C.

    Parameters
    ----------
    now_s : UTC s
    hours : after the hour that this falls in
    """
    begin_s = now_s - now_s % HOUR_S
    time_s = begin_s + HOUR_S * np.arange(-BEFORE_H, hours)
    return HourlyWeather(time_s, np.full(len(time_s), STAYS_C), source=NONE_KNOWN)
