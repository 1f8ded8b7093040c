"""From what services send to unbroken hours: spans, nulls, coarse steps, gaps, nonsense."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import ServiceError
from sugarwright.weather.hourly import MOST_JUMP_K
from sugarwright.weather.hours import HOUR_S, PLAUSIBLE, HourlyWeather, utc_text

Floats = NDArray[np.float64]
Values = Mapping[int, float]
"""UTC s of an hour's begin -> value."""

MOST_GAP_H = 3  # drawn straight within a forecast; a front may hide in a longer one
_LEAST_HOURS = 6


def check_order(title: str, times: Sequence[int]) -> None:
    """Raise ServiceError when times go backward, or one is there twice."""
    for before, now in pairwise(times):
        if now <= before:
            raise ServiceError(
                title,
                utc_text(now),
                f"stands after {utc_text(before)}: its times go backward",
                fix="Ask again later; if that stays so, the service has changed",
            )


def spread(spans: Iterable[tuple[int, int, float | None]]) -> dict[int, float]:
    """Return the value of every hour that begins within a span (begin s, end s, value)."""
    values: dict[int, float] = {}
    for begin_s, end_s, value in spans:
        if value is not None:
            first = begin_s - begin_s % HOUR_S
            values.update((hour, value) for hour in range(first, end_s, HOUR_S))
    return values


def averaged(times: Sequence[int], values: Sequence[float | None]) -> dict[int, float]:
    """Return the mean of each hour that has a reading."""
    sums: dict[int, list[float]] = {}
    for time_s, value in zip(times, values, strict=True):
        if value is not None:
            sums.setdefault(time_s - time_s % HOUR_S, []).append(value)
    return {hour: sum(each) / len(each) for hour, each in sorted(sums.items())}


def forecast_hours(
    title: str,
    temperature_c: Values,
    extras: Mapping[str, Values],
    issued_s: int,
    notes: list[str],
    coarse_h: int = 1,
) -> HourlyWeather:
    """Return the hours of a forecast: from the first to the last, or to the first long gap.

    Parameters
    ----------
    title : of the service
    temperature_c : by hour
    extras : other quantities; one with a hole is left out
    issued_s : of the forecast
    notes : gets a sentence for what is done here
    coarse_h : the service's own longest step, which is no gap [h]

    Raises
    ------
    ServiceError : if too little is left, or a value is nothing that open air can be
    """
    times = sorted(temperature_c)
    if not times:
        raise ServiceError(title, None, "sent no temperature at all (only nulls)", fix=_LATER)
    _check_values(title, temperature_c)
    times = _to_first_gap(times, max(MOST_GAP_H + 1, coarse_h), issued_s, notes)
    hours = np.arange(times[0], times[-1] + HOUR_S, HOUR_S)
    if len(hours) < _LEAST_HOURS:
        problem = f"sent {len(hours)} usable hours only"
        raise ServiceError(title, None, problem, f"{_LEAST_HOURS} hours or more", _LATER)
    known = [temperature_c[time_s] for time_s in times]
    drawn = np.interp(hours, times, known)
    _check_jumps(title, hours, drawn)
    missing = len(hours) - len(times)
    if missing:
        notes.append(f"{missing} of {len(hours)} hours are drawn between the values sent")
    series: dict[str, Any] = {
        name: np.array([values[hour] for hour in hours.tolist()])
        for name, values in extras.items()
        if all(hour in values and _within(name, values[hour]) for hour in hours.tolist())
    }
    return HourlyWeather(
        hours, drawn, **series, source=title, issued_s=issued_s, notes=tuple(notes)
    )


def observed_pieces(source: str, temperature_c: Values) -> tuple[HourlyWeather, ...]:
    """Return measured hours as unbroken pieces; what cannot be believed is left out."""
    kept = {hour: each for hour, each in temperature_c.items() if _within("temperature_c", each)}
    times = sorted(kept)
    breaks = [at + 1 for at, (a, b) in enumerate(pairwise(times)) if b - a != HOUR_S]
    pieces = (times[a:b] for a, b in pairwise([0, *breaks, len(times)]) if b > a)
    return tuple(
        HourlyWeather(np.array(piece), np.array([kept[hour] for hour in piece]), source=source)
        for piece in pieces
    )


_LATER = "Ask again later"


def _to_first_gap(times: list[int], most_step: int, issued_s: int, notes: list[str]) -> list[int]:
    """Cut at the first gap that is too long to draw across; before the issue, at the last one."""
    past = [time_s for time_s in times if time_s < issued_s - issued_s % HOUR_S]
    begin = 0
    for at, (before, now) in enumerate(pairwise(times)):
        if now - before <= most_step * HOUR_S:
            continue
        gap = f"{(now - before) // HOUR_S - 1} hours from {utc_text(before + HOUR_S)}"
        if at + 1 <= len(past):
            begin = at + 1
            notes.append(f"what lies before a gap of {gap} was left out")
        else:
            notes.append(f"what lies behind a gap of {gap} was left out")
            return times[begin : at + 1]
    return times[begin:]


def _within(name: str, value: float) -> bool:
    least, greatest = PLAUSIBLE[name]
    return least <= value <= greatest


def _check_values(title: str, temperature_c: Values) -> None:
    for time_s, value in temperature_c.items():
        if not _within("temperature_c", value):
            raise ServiceError(
                title,
                f"{value:g} degrees Celsius at {utc_text(time_s)}",
                "is no temperature of open air",
                "-60 to 60 degrees Celsius",
                _LATER,
            )


def _check_jumps(title: str, hours: NDArray[np.int64], drawn: Floats) -> None:
    jumps = np.abs(np.diff(drawn))
    if len(jumps) and jumps.max() > MOST_JUMP_K:
        at = int(np.argmax(jumps))
        raise ServiceError(
            title,
            utc_text(int(hours[at + 1])),
            f"jumps by {jumps[at]:.0f} degrees Celsius in an hour",
            f"{MOST_JUMP_K:g}",
            _LATER,
        )
