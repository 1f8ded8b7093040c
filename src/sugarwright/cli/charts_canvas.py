"""A field of letters to draw on: fine dots where a stream can show them, plain marks elsewhere."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TextIO

_BRAILLE = 0x2800
_DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
"""Bit of each dot of a Braille letter: (column, row from above)."""


@dataclass(frozen=True)
class Letters:
    """What a drawing is made of.

    Parameters
    ----------
    across, down : dots in a letter
    line : letter of a line; empty where dots do better
    band : letter of a band
    rule, moment : of a level and of an instant
    side, corner, floor, tick : of the axes
    full, sure, maybe : of bars: up to the low end, to the middle, to the high end
    eighths : of a lying bar's last letter, from one eighth to seven; may be empty
    rises : of a standing bar's last letter
    whisker : from a standing bar's top to its high end
    left, span, right, middle : of ranges
    """

    across: int
    down: int
    line: str
    band: str
    rule: str
    moment: str
    side: str
    corner: str
    floor: str
    tick: str
    full: str
    sure: str
    maybe: str
    eighths: str
    rises: str
    whisker: str
    left: str
    span: str
    right: str
    middle: str


FINE = Letters(
    across=2, down=4, line="", band="░", rule="┄", moment="┊",
    side="│", corner="└", floor="─", tick="┴",
    full="█", sure="▓", maybe="░", eighths="▏▎▍▌▋▊▉", rises="▁▂▃▄▅▆▇", whisker="│",
    left="├", span="─", right="┤", middle="●",
)  # fmt: skip
PLAIN = Letters(
    across=1, down=1, line="*", band=".", rule="-", moment=":",
    side="|", corner="+", floor="-", tick="+",
    full="#", sure="=", maybe=".", eighths="", rises="", whisker="|",
    left="|", span="-", right="|", middle="O",
)  # fmt: skip


def letters_for(stream: TextIO) -> Letters:
    """Return the finest letters that a stream can show.

    The plain console of Linux has an encoding for Braille and no shapes.
    """
    sample = "".join(value for value in vars(FINE).values() if isinstance(value, str))
    try:
        (sample + chr(_BRAILLE + 0xFF)).encode(getattr(stream, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        return PLAIN
    return PLAIN if os.environ.get("TERM") == "linux" else FINE


class Canvas:
    """Rows of letters; x from 0 (left) to 1 (right), y from 0 (bottom) to 1 (top)."""

    def __init__(self, columns: int, rows: int, letters: Letters) -> None:
        self.columns, self.rows, self.letters = columns, rows, letters
        self._cells = [[" "] * columns for _ in range(rows)]
        self._dots: dict[tuple[int, int], int] = {}

    def column(self, x: float) -> int:
        """Return the column of a place."""
        return min(self.columns - 1, max(0, int(x * self.columns)))

    def row(self, y: float) -> int:
        """Return the row of a height, 0 on top."""
        return min(self.rows - 1, max(0, int((1.0 - y) * self.rows)))

    def rule(self, y: float) -> None:
        """Draw a level line."""
        self._cells[self.row(y)] = [self.letters.rule] * self.columns

    def moment(self, x: float) -> None:
        """Draw an upright line."""
        for row in self._cells:
            row[self.column(x)] = self.letters.moment

    def band(self, xs: Sequence[float], lows: Sequence[float], highs: Sequence[float]) -> None:
        """Shade what lies between two lines, whatever was drawn there before."""
        bottoms, tops = self._reach(xs, lows, self.columns), self._reach(xs, highs, self.columns)
        for column in bottoms.keys() & tops.keys():
            first, last = self.row(tops[column][1]), self.row(bottoms[column][0])
            for row in range(first, last + 1):
                self._cells[row][column] = self.letters.band

    def line(self, xs: Sequence[float], ys: Sequence[float]) -> None:
        """Draw a line through points; where many share a dot's width, all that they reach."""
        wide, high = self.letters.across, self.letters.down
        for x, (least, greatest) in self._reach(xs, ys, self.columns * wide).items():
            first = min(self.rows * high - 1, max(0, int((1.0 - greatest) * self.rows * high)))
            last = min(self.rows * high - 1, max(0, int((1.0 - least) * self.rows * high)))
            for y in range(first, last + 1):
                bit = _DOTS[x % wide][y % high]
                place = (y // high, x // wide)
                self._dots[place] = self._dots.get(place, 0) | bit

    def put(self, x: float, y: float, text: str) -> None:
        """Write a text over what is drawn, from a place on."""
        row, first = self._cells[self.row(y)], self.column(x)
        for number, letter in enumerate(text[: self.columns - first]):
            row[first + number] = letter
            self._dots.pop((self.row(y), first + number), None)

    def lines(self) -> list[str]:
        """Return what was drawn, from top to bottom."""
        rows = [list(row) for row in self._cells]
        for (row, column), bits in self._dots.items():
            rows[row][column] = self.letters.line or chr(_BRAILLE + bits)
        return ["".join(row) for row in rows]

    @staticmethod
    def _reach(
        xs: Sequence[float], ys: Sequence[float], columns: int
    ) -> dict[int, tuple[float, float]]:
        """Return the lowest and highest that a line gets within each column."""
        found: dict[int, tuple[float, float]] = {}
        points = [(x * columns, y) for x, y in zip(xs, ys, strict=True)]
        for (x0, y0), (x1, y1) in zip(points, points[1:] or points, strict=False):
            for column in range(int(x0), min(columns - 1, int(x1)) + 1):
                ends = (max(x0, float(column)), min(x1, column + 1.0))
                part = [y0 + (y1 - y0) * ((x - x0) / (x1 - x0)) if x1 > x0 else y1 for x in ends]
                least, greatest = found.get(column, (part[0], part[0]))
                found[column] = (min(least, *part), max(greatest, *part))
        return found
