"""What charts show, in the units and on the clock of the house: the page's script only draws."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from sugarwright.planning.report import Fan, PlanReport
from sugarwright.saying.plan_words import PlanWords
from sugarwright.units import TEMPERATURE, VOLUME, Kind, show, to_unit

TABLE_EVERY_S = 3 * 3600
NAMES = {"sap": "Sap tank", "stock": "Stock tank", "permeate": "Permeate tank", "air": "Air"}


@dataclass(frozen=True)
class Tick:
    """A time on the axis."""

    time_s: float
    label: str


@dataclass(frozen=True)
class Chart:
    """A fan through time.

    Parameters
    ----------
    what : of ``NAMES``; names the colour
    title, unit : of the values
    time_s : UTC s
    low, middle, high : in the unit
    full : the rim of a tank, in the unit; None for air
    ticks : of the time axis
    """

    what: str
    title: str
    unit: str
    time_s: tuple[int, ...]
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]
    full: float | None
    ticks: tuple[Tick, ...]


def charts_of(report: PlanReport, words: PlanWords) -> tuple[Chart, ...]:
    """Return a plan's fans as charts."""
    ticks = tuple(_ticks(report.begin_s, report.end_s, words))
    return tuple(_chart(fan, report, words, ticks) for fan in report.fans)


def rows_of(report: PlanReport, words: PlanWords) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the same as rows of a table, every three hours: the time, then each fan in words."""
    found = []
    day = ""
    for at, time_s in enumerate(_times(report.fans[0]) if report.fans else ()):
        if time_s % TABLE_EVERY_S:
            continue
        name = words.day(time_s)[:3]
        clock = words.clock(time_s)
        found.append((clock if name == day else f"{name} {clock}", _cells(report, at, words)))
        day = name
    return tuple(found)


def _cells(report: PlanReport, at: int, words: PlanWords) -> tuple[str, ...]:
    return tuple(_cell(fan, at, words) for fan in report.fans if at < len(fan.middle))


def _cell(fan: Fan, at: int, words: PlanWords) -> str:
    kind, unit = _kind(fan, words)
    low, middle, high = (
        show(each[at], kind, words.units, 0, unit) for each in (fan.low, fan.middle, fan.high)
    )
    if low == high:
        return middle
    return f"{middle} ({low.split(' ')[0]} to {high.split(' ')[0]})"


def _chart(fan: Fan, report: PlanReport, words: PlanWords, ticks: tuple[Tick, ...]) -> Chart:
    kind, unit = _kind(fan, words)

    nothing = to_unit(0.0, kind, unit)
    step = to_unit(1.0, kind, unit) - nothing  # every unit here is a straight line in SI

    def shown(values: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(round(nothing + step * each, 1) for each in values)

    rim_m3 = getattr(report.standing, f"{fan.what}_capacity_m3", None)
    return Chart(
        what=fan.what,
        title=NAMES[fan.what],
        unit=unit,
        time_s=tuple(_times(fan)),
        low=shown(fan.low),
        middle=shown(fan.middle),
        high=shown(fan.high),
        full=None if rim_m3 is None else round(to_unit(rim_m3, kind, unit), 1),
        ticks=ticks,
    )


def _kind(fan: Fan, words: PlanWords) -> tuple[Kind, str]:
    if fan.what == "air":
        return TEMPERATURE, TEMPERATURE.display_unit(0.0, words.units)
    return VOLUME, VOLUME.display_unit(0.1, words.units)


def _times(fan: Fan) -> Iterator[int]:
    return (fan.begin_s + at * fan.every_s for at in range(len(fan.middle)))


def _ticks(begin_s: float, end_s: float, words: PlanWords) -> Iterator[Tick]:
    """Yield midnights, by the day that begins, and noons."""
    at = words.local(begin_s).replace(hour=0, minute=0, second=0, microsecond=0)
    while at.timestamp() < end_s:
        if at.timestamp() >= begin_s:
            yield Tick(at.timestamp(), f"{at:%a}" if at.hour == 0 else f"{at.hour}")
        at += timedelta(hours=12)
