"""The season's pictures: where the sugar went, as a stem with what leaves it; the days as bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sugarwright.answering.season_totals import DayTotal
from sugarwright.ledger.account import Account, Line
from sugarwright.saying.ledger import line_name, mass_text
from sugarwright.units import DURATION, VOLUME, show, to_unit

WIDTH = 340.0
STEM = 120.0  # the whole sugar's breadth
LEFT = 8.0
TOP = 44.0
ROW = 40.0
TURN = 26.0  # height and width of a bend
LABEL_X = 186.0
LEAST_SHARE = 0.004
_ORDER = (
    "sold", "spilled", "dumped", "in the sap tank", "let go", "cleaning", "in the permeate tank",
    "in the stock tank", "moved", "lost at the pan", "in the pan",
)  # fmt: skip
"""What leaves the stem, in the order of the way through the house."""


@dataclass(frozen=True)
class Branch:
    """Sugar that does not become syrup.

    Parameters
    ----------
    path : of an SVG path, filled
    x, y : of its words
    name, much : the words
    """

    path: str
    x: float
    y: float
    name: str
    much: str


@dataclass(frozen=True)
class SugarPicture:
    """Where the sugar went.

    Parameters
    ----------
    height : of the drawing
    stem : of an SVG path, filled: all that came, narrowing to the syrup
    branches : what left it
    came, syrup : words at both ends
    syrup_x, syrup_y : of the syrup's words
    """

    height: float
    stem: str
    branches: tuple[Branch, ...]
    came: str
    syrup: str
    syrup_x: float
    syrup_y: float


def sugar_picture(account: Account, units: str) -> SugarPicture | None:
    """Draw where the sugar went; None where none came."""
    whole_kg = sum(each.sugar_kg for each in account.came)
    if whole_kg <= 0.0:
        return None
    leaves = sorted(
        (
            each
            for each in account.went
            if each.name != "syrup" and each.sugar_kg >= LEAST_SHARE * whole_kg
        ),
        key=_place,
    )
    right, y = LEFT + STEM, TOP
    steps: list[tuple[float, float]] = [(right, y)]
    branches = []
    for each in leaves:
        breadth = STEM * each.sugar_kg / whole_kg
        y += 6.0
        branches.append(_branch(each, right, breadth, y, units))
        steps += [(right, y), (right - breadth, y + breadth)]
        right, y = right - breadth, y + max(ROW, breadth + 10.0)
    bottom = y + 20.0
    syrup_kg = sum(each.sugar_kg for each in account.went if each.name == "syrup")
    edge = "".join(f"L{x:.1f} {at:.1f}" for x, at in steps[1:])
    stem = f"M{LEFT} {TOP}L{LEFT + STEM} {TOP}{edge}L{right:.1f} {bottom:.1f}L{LEFT} {bottom:.1f}Z"
    share = 100.0 * syrup_kg / whole_kg
    return SugarPicture(
        bottom + 30.0,
        stem,
        tuple(branches),
        f"Sugar that came: {mass_text(whole_kg, units)}",
        f"Syrup drawn: {mass_text(syrup_kg, units)}, {share:.0f} %",
        LEFT,
        bottom + 20.0,
    )


def _place(line: Line) -> int:
    found = (at for at, name in enumerate(_ORDER) if line_name(line.name).startswith(name))
    return next(found, next((at for at, name in enumerate(_ORDER) if line.name == name), 99))


def _branch(line: Line, right: float, breadth: float, y: float, units: str) -> Branch:
    """Let sugar leave the stem at its right edge, bending to the right."""
    inner = right - breadth
    mouth = y + breadth  # both edges run level from there
    end = LABEL_X - 8.0
    path = (
        f"M{right:.1f} {y:.1f}"
        f"C{right:.1f} {y + TURN:.1f} {right:.1f} {y + TURN:.1f} {right + TURN:.1f} {y + TURN:.1f}"
        f"H{end:.1f}v{max(breadth, 1.5):.1f}H{right + TURN:.1f}"
        f"C{inner:.1f} {y + TURN + breadth:.1f} {inner:.1f} {mouth + TURN:.1f} "
        f"{inner:.1f} {mouth:.1f}Z"
    )
    middle = y + TURN + 0.5 * breadth
    name = _short(line_name(line.name))
    return Branch(path, LABEL_X, middle - 2.0, name, mass_text(line.sugar_kg, units))


def _short(name: str) -> str:
    """Return a name that has room beside the stem."""
    held = name.removesuffix(" at the end")
    return name.partition(" (")[0] if held == name else f"still {held}"


@dataclass(frozen=True)
class Bar:
    """One day: syrup as a bar.

    Parameters
    ----------
    x, y, width, height : of the bar
    label : of the day; empty where there is no room
    """

    x: float
    y: float
    width: float
    height: float
    label: str


@dataclass(frozen=True)
class DayBars:
    """Syrup by day.

    Parameters
    ----------
    bars : one a day from the first to the last
    most : the highest, in words
    """

    bars: tuple[Bar, ...]
    most: str


BARS_HEIGHT, BARS_FOOT = 130.0, 24.0


def day_bars(days: Sequence[DayTotal], units: str) -> DayBars | None:
    """Draw the syrup of each day; None where none was drawn."""
    most_m3 = max((each.syrup_m3 for each in days), default=0.0)
    if most_m3 <= 0.0:
        return None
    first = date.fromisoformat(days[0].day)
    count = (date.fromisoformat(days[-1].day) - first).days + 1
    step = (WIDTH - 2 * LEFT) / count
    every = max(1, -(-count // 6))
    by_day = {(date.fromisoformat(each.day) - first).days: each for each in days}
    bars = []
    for at in range(count):
        day = date.fromordinal(first.toordinal() + at)
        held_m3 = by_day[at].syrup_m3 if at in by_day else 0.0
        height = (BARS_HEIGHT - BARS_FOOT - 16.0) * held_m3 / most_m3
        label = f"{day.day} {day:%b}" if at % every == 0 else ""
        x, top = LEFT + at * step, BARS_HEIGHT - BARS_FOOT - height
        bars.append(Bar(round(x, 1), round(top, 1), round(0.75 * step, 1), round(height, 1), label))
    return DayBars(tuple(bars), _volume(most_m3, units))


def day_rows(days: Sequence[DayTotal], units: str) -> list[tuple[str, str, str, str]]:
    """Return each day as a row: date, sap, syrup, time at the fire; the newest first."""
    return [
        (
            f"{date.fromisoformat(each.day):%a} {date.fromisoformat(each.day).day} "
            f"{date.fromisoformat(each.day):%b}",
            _volume(each.sap_m3, units) if each.sap_m3 > 5e-4 else "",
            _volume(each.syrup_m3, units) if each.syrup_m3 > 5e-5 else "",
            show(each.fire_s, DURATION) if each.fire_s else "",
        )
        for each in reversed(days)
    ]


def _volume(value_m3: float, units: str) -> str:
    unit = "L" if units == "metric" else "gal"
    value = to_unit(value_m3, VOLUME, unit)
    return f"{value:,.0f} {unit}" if value >= 100.0 else f"{value:.1f} {unit}"
