"""Drawings made on the server: where values lie, lines, marks and ticks, in an SVG's units."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from sugarwright.saying.words import Words

WIDTH, HEIGHT = 340.0, 220.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 10.0, 12.0, 30.0


@dataclass(frozen=True)
class Mark:
    """A point, or a tick of an axis, with what stands beside it; x and y in the drawing's units."""

    x: float
    y: float
    text: str = ""
    kind: str = ""


@dataclass(frozen=True)
class Picture:
    """A drawing of one line, with marks on it and ticks at its sides.

    Parameters
    ----------
    line : of an SVG path
    marks : on it
    bars : of an SVG path: how sure each of the marks is; may be empty
    x_ticks, y_ticks : at the lower and the left edge
    """

    line: str
    marks: tuple[Mark, ...]
    bars: str
    x_ticks: tuple[Mark, ...]
    y_ticks: tuple[Mark, ...]


class Frame:
    """Where values lie in a drawing.

    Parameters
    ----------
    x, y : least and greatest value shown
    """

    def __init__(self, x: tuple[float, float], y: tuple[float, float]) -> None:
        self.x_ends, self.y_ends = x, y

    def x(self, value: float) -> float:
        """Return where a value lies from the left."""
        low, high = self.x_ends
        return round(LEFT + (WIDTH - LEFT - RIGHT) * (value - low) / (high - low or 1.0), 1)

    def y(self, value: float) -> float:
        """Return where a value lies from the top."""
        low, high = self.y_ends
        return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (value - low) / (high - low), 1)

    def path(self, points: Sequence[tuple[float, float]]) -> str:
        """Return a line through points of values."""
        return "M" + "L".join(f"{self.x(x)} {self.y(y)}" for x, y in points) if points else ""

    def y_ticks(self, step: float, text: str) -> tuple[Mark, ...]:
        """Return ticks at multiples of a step, each told by a format."""
        low, high = self.y_ends
        first = math.ceil(low / step - 1e-9)
        values = [step * at for at in range(first, int(high / step + 1e-9) + 1)]
        return tuple(Mark(LEFT, self.y(each), text.format(each)) for each in values)

    def days(self, words: Words) -> tuple[Mark, ...]:
        """Return at most four midnights of a time axis, as days of the month."""
        begin_s, end_s = self.x_ends
        step = max(1, round((end_s - begin_s) / 86400.0 / 3.5))
        at = words.local(begin_s).replace(hour=0, minute=0, second=0, microsecond=0)
        found = []
        at += timedelta(days=1)
        while at.timestamp() < end_s:
            found.append(Mark(self.x(at.timestamp()), HEIGHT - BOTTOM, f"{at.day} {at:%b}"))
            at += timedelta(days=step)
        return tuple(found)
