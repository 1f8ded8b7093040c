"""What a chart shows, as plain values: between those who know the figures and those who draw.

Values stand in the unit that is written beside them, instants in UTC seconds. One chart is a few
panels below each other, each with one thing in it, so that nothing must be told apart by colour.
``charts_text`` draws it with letters, ``charts_file`` as a picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TypeAlias
from zoneinfo import ZoneInfo

DAY_S = 86400


@dataclass(frozen=True)
class Mark:
    """A value or an instant worth a line of its own: freezing, a full tank, now."""

    at: float
    label: str


@dataclass(frozen=True)
class Curve:
    """One quantity through time.

    Parameters
    ----------
    title : what it is
    unit : of the values; may be empty
    time_s : UTC s, rising
    values : at these instants
    low, high : ends of a band about them; both or neither
    band : what the band is, in words
    level : a value to compare with
    moment : an instant to mark
    from_zero : whether the axis begins at zero, as amounts should
    """

    title: str
    unit: str
    time_s: Sequence[float]
    values: Sequence[float]
    low: Sequence[float] | None = None
    high: Sequence[float] | None = None
    band: str = ""
    level: Mark | None = None
    moment: Mark | None = None
    from_zero: bool = False


@dataclass(frozen=True)
class Bar:
    """One amount, perhaps with the ends of its likely range."""

    label: str
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Bars:
    """Amounts side by side: of days, of weeks.

    Parameters
    ----------
    title, unit : as of a curve
    bars : in order
    band : what the ends of each bar's range are, in words
    digits : after the point, where the values are written out
    """

    title: str
    unit: str
    bars: tuple[Bar, ...]
    band: str = ""
    digits: int = 0


@dataclass(frozen=True)
class Span:
    """A range: low end, middle, high end."""

    label: str
    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Spans:
    """Ranges below each other, to be compared.

    Parameters
    ----------
    title, unit : as of a curve
    spans : in order
    band : what the ends are, in words
    dates : the values are instants (UTC s) and are read as dates
    digits : after the point, where the values are written out
    """

    title: str
    unit: str
    spans: tuple[Span, ...]
    band: str = ""
    dates: bool = False
    digits: int = 0


Panel: TypeAlias = Curve | Bars | Spans


@dataclass(frozen=True)
class ChartData:
    """A chart.

    Parameters
    ----------
    title : written above it
    timezone : IANA name of the zone in which times are read
    panels : from top to bottom
    caption : where the figures are from, and when the forecast was made
    """

    title: str
    timezone: str
    panels: tuple[Panel, ...]
    caption: str = ""


def round_ticks(least: float, greatest: float, about: int) -> list[float]:
    """Return some round values within a range, at most ``about`` + 1 of them.

    >>> round_ticks(-7.2, 11.4, 5)
    [-5.0, 0.0, 5.0, 10.0]
    """
    if not greatest > least:
        return [least]
    rough = (greatest - least) / about
    base = 10.0 ** math.floor(math.log10(rough))
    step = base * next(m for m in (1, 2, 5, 10) if m * base >= rough * (1.0 - 1e-9))
    first, last = math.ceil(least / step - 1e-9), math.floor(greatest / step + 1e-9)
    return [number * step for number in range(first, last + 1)]


def tick_text(value: float) -> str:
    """Write a tick as people do: 0.5, 20, 1,200."""
    text = f"{value:,.6g}" if abs(value) < 1e6 else f"{value:.3g}"
    return "0" if text == "-0" else text


def time_ticks(begin_s: float, end_s: float, timezone: str, most: int) -> list[tuple[int, str]]:
    """Return local midnights (or hours, within two days) with their labels, at most ``most``.

    Days are counted by the calendar, so that a change of the clock moves no tick off midnight.
    """
    zone = ZoneInfo(timezone)
    first = datetime.fromtimestamp(begin_s, UTC).astimezone(zone)
    last = datetime.fromtimestamp(end_s, UTC).astimezone(zone)
    midnight = first.replace(hour=0, minute=0, second=0, microsecond=0, fold=0)
    days = (end_s - begin_s) / DAY_S
    steps_h = (3, 6, 12) if days <= 2.0 else ()
    for step_h in (*steps_h, *(24 * d for d in (1, 2, 3, 7, 14, 28, 56, 112, 366))):
        ticks = _walk(midnight, last, step_h, begin_s, end_s)
        if len(ticks) <= most:
            break
    return [(time_s, _tick_label(moment, days)) for time_s, moment in ticks]


def _walk(
    moment: datetime, last: datetime, step_h: int, begin_s: float, end_s: float
) -> list[tuple[int, datetime]]:
    """Walk by the wall's clock from a midnight on; keep what lies within the time shown."""
    found = []
    while moment.replace(tzinfo=None) <= last.replace(tzinfo=None):
        time_s = int(moment.timestamp())
        if begin_s <= time_s <= end_s:
            found.append((time_s, moment))
        moment += timedelta(hours=step_h)  # of an aware time: the wall's clock, not the sun's
    return found


def _tick_label(moment: datetime, days: float) -> str:
    if days <= 2.0 and moment.hour:
        return f"{moment:%H:%M}"
    return f"{moment:%a} {moment.day}" if days <= 12.0 else f"{moment.day} {moment:%b}"


def weather_text(source: str, issued_s: int | None, timezone: str) -> str:
    """Return the sentence of a caption that says where weather is from and how old it is."""
    if issued_s is None:
        return f"Weather: {source or 'a file'}."
    issued = datetime.fromtimestamp(issued_s, UTC).astimezone(ZoneInfo(timezone))
    return f"Weather: {source or 'a file'}; forecast made {issued:%Y-%m-%d %H:%M}."
