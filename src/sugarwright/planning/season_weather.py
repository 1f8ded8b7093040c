"""Possible springs: measured hours, then an ensemble of the forecast, then generated weather.

Each is a whole spring from January on, so that one run of the trees knows all that they remember.
Where one source hands over to the next, the step between them fades: air that is warmer than usual
today is still some two thirds of that tomorrow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError
from sugarwright.weather.ensemble import PRIOR, perturb
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather, utc_text
from sugarwright.weather.seasons import Springs

Floats = NDArray[np.float64]

MOST_FORECAST_S = 10 * 86400  # generated weather is as good after that: our own judgement
KEPT_A_DAY = 0.65
"""How much of a day's deviation from usual is left the next day: 0.60 to 0.71 in the open hourly
series named in the tests (computed)."""
FADED_H = 120  # less than an eighth is left


@dataclass(frozen=True, eq=False)
class PossibleSprings:
    """Springs that may come, all alike up to now as far as it was measured.

    Parameters
    ----------
    first_s : UTC s of the first hour
    temperature_c : (springs, hours) of air [°C]
    known_since_s : UTC s of the first measured hour; None when none was
    forecast_to_s : UTC s at which the forecast ends; None without one
    source : where they come from, in a sentence
    notes : what to know about them, in sentences
    """

    first_s: int
    temperature_c: Floats
    known_since_s: int | None
    forecast_to_s: int | None
    source: str
    notes: tuple[str, ...]

    @property
    def end_s(self) -> int:
        """Instant at which the last hour ends."""
        return self.first_s + HOUR_S * int(self.temperature_c.shape[1])

    def hour(self, time_s: float) -> int:
        """Return the hour of an instant, 0 to the number of hours."""
        hour = int((time_s - self.first_s) // HOUR_S)
        return min(max(hour, 0), int(self.temperature_c.shape[1]))


def possible_springs(
    springs: Springs,
    measured: Sequence[HourlyWeather],
    forecast: HourlyWeather | None,
    now_s: int,
    seed: int,
    utc_offset_h: float,
    errors: ForecastErrors = PRIOR,
) -> PossibleSprings:
    """Put measured hours and a forecast into generated springs.

    Parameters
    ----------
    springs : generated, of this year
    measured : unbroken pieces, oldest first; hours before now count as they are
    forecast : hours from now on are perturbed, ten days at most; its hours before now count as
        measured where no piece has them. None: there is no forecast
    now_s : UTC s
    seed : of the forecast's members
    utc_offset_h : standard time of the place; longitude / 15 will do
    errors : how forecasts err at this place

    Returns
    -------
    PossibleSprings

    Raises
    ------
    InputError : when now does not lie within the springs
    """
    first_s, end_s = springs.first_s, int(springs.time_s[-1]) + HOUR_S
    if now_s >= end_s:
        raise InputError(
            "now",
            utc_text(now_s),
            "is after the springs that can be made up",
            f"up to {utc_text(end_s)}",
        )
    now_s -= now_s % HOUR_S
    made = _Made(springs.temperature_c.copy(), first_s)
    for piece in (*([] if forecast is None else [forecast]), *measured):
        made.lay(piece.temperature_c[np.newaxis], piece.first_s, now_s)
    known_s = made.first_laid_s()
    ahead_to_s = None
    if forecast is not None and forecast.end_s > now_s >= first_s:
        ahead_to_s = min(forecast.end_s, now_s + MOST_FORECAST_S, end_s)
        issued_s = now_s if forecast.issued_s is None else min(forecast.issued_s, now_s)
        members = perturb(
            forecast, len(springs), seed, issued_s, utc_offset_h, errors, known_to_s=now_s
        )
        ahead = forecast.time_s >= now_s
        made.lay(members[:, ahead], int(forecast.time_s[ahead][0]), ahead_to_s)
    return PossibleSprings(
        first_s,
        np.clip(made.air_c, -60.0, 60.0),
        known_s,
        ahead_to_s,
        _source(springs, forecast if ahead_to_s else None, known_s is not None),
        springs.notes,
    )


class _Made:
    """Springs while they are put together; what is laid once stays, but for what is laid on it."""

    def __init__(self, air_c: Floats, first_s: int) -> None:
        self.air_c, self._first_s = air_c, first_s
        self._laid = np.zeros(air_c.shape[1], dtype=np.bool_)

    def first_laid_s(self) -> int | None:
        """Return the first hour that isn't generated."""
        return self._first_s + HOUR_S * int(self._laid.argmax()) if self._laid.any() else None

    def lay(self, rows: Floats, begin_s: int, end_s: int) -> None:
        """Lay hours over the springs up to an instant; the steps at both ends fade away.

        One row serves all springs.
        """
        begin = (begin_s - self._first_s) // HOUR_S
        rows, begin = rows[:, max(0, -begin) :], max(begin, 0)
        end = min((end_s - self._first_s) // HOUR_S, begin + rows.shape[1], self.air_c.shape[1])
        if end <= begin:
            return
        rows = rows[:, : end - begin]
        after = slice(end, end + FADED_H)
        self._fade(after, rows[:, -1:] - self.air_c[:, end - 1 : end], forward=True)
        before = slice(max(begin - FADED_H, 0), begin)
        self._fade(before, rows[:, :1] - self.air_c[:, begin : begin + 1], forward=False)
        self.air_c[:, begin:end] = rows
        self._laid[begin:end] = True

    def _fade(self, where: slice, step_k: Floats, *, forward: bool) -> None:
        """Add a step to the generated hours beside it, less and less."""
        free = ~self._laid[where]
        left = KEPT_A_DAY ** (np.arange(1, len(free) + 1) / 24.0)
        self.air_c[:, where] += step_k * np.where(free, left if forward else left[::-1], 0.0)


def _source(springs: Springs, forecast: HourlyWeather | None, known: bool) -> str:
    parts = ["measured hours"] if known else []
    if forecast is not None:
        parts.append(f"the forecast ({forecast.source or 'a file'}) and what it may miss")
    return ", then ".join([*parts, f"springs {springs.source}"])
