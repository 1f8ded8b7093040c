"""What the hours that have come since a forecast's issue tell of its error in those ahead.

It has been three degrees colder all morning than was said: so will the afternoon be, less surely
the night, and hardly the day after tomorrow. How hours hang together is the error model's.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.hours import HOUR_S, HourlyWeather

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: Of a thermometer in the shade, and of its place against the forecast's: judgement, no source.
READ_SD_K = 0.5
LAST_HOURS, LEAST_HOURS = 6, 2  # told of, and fewer tell nothing worth a word


def missed_k(weather: HourlyWeather, now_s: int) -> float | None:
    """Return how much warmer it has come than was said, in the mean of the last hours [K].

    Parameters
    ----------
    weather : what came, with ``said_c``, and the forecast
    now_s : UTC s

    Returns
    -------
    None where fewer than ``LEAST_HOURS`` of the last ``LAST_HOURS`` were measured since the issue.
    """
    if weather.said_c is None:
        return None
    last = (weather.time_s < now_s) & (weather.time_s >= now_s - (LAST_HOURS + 1) * HOUR_S)
    apart_k = (weather.temperature_c - weather.said_c)[last]
    found = apart_k[np.isfinite(apart_k)]
    return float(found.mean()) if len(found) >= LEAST_HOURS else None


def given_so_far(
    deviations: Floats, seen: Flags, said: Floats, noise: Floats, noise_sd: Floats, shared: Floats
) -> Floats:
    """Draw errors again, given what has been seen of them: constrained realizations.

    Parameters
    ----------
    deviations : (members, hours) draws that know of nothing, with zero mean
    seen : (hours,) whether the hour has been measured
    said : (seen hours,) the deviation that was measured there
    noise : (members, seen hours) draws of variance 1, of the measurement
    noise_sd : (seen hours,) standard deviation of the measurement
    shared : (hours, hours) covariance of the deviations

    Returns
    -------
    (members, hours) draws of the same process given the measurements: their mean is the conditional
    mean, and so is their spread (Y. Hoffman and E. Ribak, Astrophys. J. 380 (1991) L5, eqs. 3 to 5;
    C.E. Rasmussen and C.K.I. Williams, Gaussian Processes for Machine Learning (2006), eqs. 2.23
    and 2.24; both from memory).
    """
    among = shared[np.ix_(seen, seen)] + np.diag(noise_sd**2)
    weights = np.linalg.solve(among, shared[seen])
    found: Floats = deviations + (said - deviations[:, seen] - noise_sd * noise) @ weights
    return found
