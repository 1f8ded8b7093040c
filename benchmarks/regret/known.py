"""Outcomes by house, season and method, and how figures of them are told."""

from __future__ import annotations

import numpy as np

from .figures import Figure, Floats
from .outcome import Outcome
from .run import Job

Known = dict[Job, Outcome]


def nets(known: Known, house: str, method: str, seasons: list[str]) -> Floats:
    """Net worth of each season."""
    return np.array([known[Job(house, each, method)].net_money for each in seasons])


def common(known: Known, house: str, methods: list[str], seasons: list[str]) -> list[str]:
    """Seasons of which all of some methods are known."""
    return [s for s in seasons if all(Job(house, s, m) in known for m in methods)]


def interval(figure: Figure, unit: str = "", scale: float = 1.0, digits: int = 0) -> str:
    """A figure with its interval, as text."""
    value, low, high = (
        f"{scale * each:,.{digits}f}" for each in (figure.value, figure.low, figure.high)
    )
    return f"{value}{unit} ({low} to {high})"
