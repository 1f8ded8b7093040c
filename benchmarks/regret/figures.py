"""Means and their intervals over seasons, paired wherever two methods are compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DRAWS = 4000
INTERVAL = (0.05, 0.95)  # 90 %
SDS = 1.6449  # standard deviations of a normal that the same interval spans either way
SEED = 90


@dataclass(frozen=True)
class Figure:
    """A figure and its 90 % interval, with the draws that this was read from."""

    value: float
    low: float
    high: float
    draws: Floats = field(repr=False, compare=False)


@dataclass(frozen=True)
class Regret:
    """What a method loses and gains in one house, over the same seasons for all.

    Parameters
    ----------
    gain : of perfect weather over habit, as a part of the habit's mean net
    lost : of the method against perfect weather, as a part of the latter's mean net
    share : of the gain of perfect weather over habit that the method has
    over_habit : of the method over habit, as a part of the habit's mean net
    better : share of seasons in which it beats habit, with Wilson's interval
    worst_money : of a season over habit
    """

    gain: Figure
    lost: Figure
    share: Figure
    over_habit: Figure
    better: Figure
    worst_money: float
    seasons: int


def resampled(seasons: int) -> NDArray[np.int64]:
    """Return draws of seasons with replacement, (``DRAWS``, seasons)."""
    return np.random.default_rng(SEED).integers(0, seasons, (DRAWS, seasons))


def figure(value: float, draws: Floats) -> Figure:
    """A value with the interval of its draws."""
    low, high = np.quantile(draws, INTERVAL)
    return Figure(value, float(low), float(high), draws)


def mean_of(figures: Sequence[Figure], weights: Sequence[float] | None = None) -> Figure:
    """Mean over houses. Those told of the same seasons are drawn in the same ones."""
    value = np.average([each.value for each in figures], weights=weights)
    return figure(float(value), np.average([f.draws for f in figures], axis=0, weights=weights))


def regret(habit: Floats, perfect: Floats, method: Floats) -> Regret:
    """Compare nets of the same seasons, (seasons,) each."""
    picks = resampled(len(habit))
    means = [np.append(each.mean(), each[picks].mean(axis=1)) for each in (habit, perfect, method)]
    h, c, e = means

    def told(values: Floats) -> Figure:
        return figure(float(values[0]), values[1:])

    size = np.maximum(np.abs(h), 1e-9)
    return Regret(
        gain=told((c - h) / size),
        lost=loss(perfect, method),
        share=told((e - h) / np.where(np.abs(c - h) < 1e-9, np.nan, c - h)),
        over_habit=told((e - h) / size),
        better=share_of(float((method > habit).mean()), len(habit)),
        worst_money=float((method - habit).min()),
        seasons=len(habit),
    )


def share_of(share: float, count: int) -> Figure:
    """A share of some independent trials, with its interval by E. B. Wilson (1927).

    Drawing trials again, as elsewhere here, would call a share of all of them certain.
    """
    squared = SDS**2 / count
    middle = (share + squared / 2.0) / (1.0 + squared)
    half = SDS * np.sqrt(share * (1.0 - share) / count + squared / (4.0 * count))
    half = float(half / (1.0 + squared))
    low, high = max(0.0, middle - half), min(1.0, middle + half)
    return Figure(share, low, high, np.array([]))


def loss(usual: Floats, method: Floats) -> Figure:
    """What a method loses against another, as a part of the other's mean net; paired."""
    apart, picks = usual - method, resampled(len(usual))
    draws = apart[picks].mean(axis=1) / np.maximum(np.abs(usual[picks].mean(axis=1)), 1e-9)
    return figure(float(apart.mean() / max(abs(float(usual.mean())), 1e-9)), draws)


def difference(first: Floats, second: Floats) -> Figure:
    """Mean of the paired difference first - second."""
    apart = first - second
    return figure(float(apart.mean()), apart[resampled(len(apart))].mean(axis=1))
