"""What of a spring matters to sap: by these, generated springs are held against real ones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FROST_C, THAW_C = -1.0, 2.0  # a day colder than the one and warmer than the other moves sap
NEAR_C = (-2.0, 5.0)


@dataclass(frozen=True)
class Measures:
    """Figures of some springs, each (springs,).

    Parameters
    ----------
    frost_thaw_days : days with an hour below -1 °C and one above 2 °C
    spells : unbroken runs of such days
    mean_spell_days, longest_spell_days : their length; 0 where there is none
    near_freezing_h : hours within -2 to 5 °C
    daily_memory : lag-1 correlation of daily means about their own quadratic course
    greatest_step_k : greatest change from one hour to the next
    """

    frost_thaw_days: Floats
    spells: Floats
    mean_spell_days: Floats
    longest_spell_days: Floats
    near_freezing_h: Floats
    daily_memory: Floats
    greatest_step_k: Floats


def measure(temperature_c: Floats) -> Measures:
    """Take the measures of springs (springs, days * 24) that begin at a midnight of the place."""
    days = temperature_c.reshape(len(temperature_c), -1, 24)
    moving = (days.min(axis=2) < FROST_C) & (days.max(axis=2) > THAW_C)
    lengths = [spell_lengths(row) for row in moving]
    near = (temperature_c >= NEAR_C[0]) & (temperature_c <= NEAR_C[1])
    return Measures(
        frost_thaw_days=moving.sum(axis=1).astype(float),
        spells=np.array([float(len(each)) for each in lengths]),
        mean_spell_days=np.array([each.mean() if len(each) else 0.0 for each in lengths]),
        longest_spell_days=np.array([float(each.max(initial=0)) for each in lengths]),
        near_freezing_h=near.sum(axis=1).astype(float),
        daily_memory=_memory(days.mean(axis=2)),
        greatest_step_k=np.abs(np.diff(temperature_c, axis=1)).max(axis=1),
    )


def spell_lengths(days: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return the lengths of the unbroken runs of true days."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], days, [False]]).astype(np.int8)))
    return edges[1::2] - edges[::2]


def _memory(daily: Floats) -> Floats:
    """Return the lag-1 correlation of (springs, days) about each spring's quadratic course."""
    at = np.linspace(-1.0, 1.0, daily.shape[1])
    course = np.polynomial.polynomial.polyfit(at, daily.T, 2)
    rest = daily - np.polynomial.polynomial.polyval(at, course)
    memory: Floats = (rest[:, 1:] * rest[:, :-1]).sum(axis=1) / (rest**2).sum(axis=1)
    return memory
