"""Small words: clock times, quantities and chances, in the units and zone of a house."""

from __future__ import annotations

from datetime import datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from sugarwright.units import DURATION, FLOW, MONEY, VOLUME, Kind, show

_UNIT_AT = {VOLUME: 0.01, DURATION: 3600.0}  # values whose usual unit a range is told in


class Spread(Protocol):
    """A median with its range, of a plan or of the twin."""

    @property
    def low(self) -> float:
        """Its lower end."""

    @property
    def middle(self) -> float:
        """The median."""

    @property
    def high(self) -> float:
        """Its upper end."""


class Words:
    """Says times and quantities as a house reads them.

    Parameters
    ----------
    timezone, units, currency : of the house
    """

    def __init__(self, timezone: str, units: str, currency: str = "$") -> None:
        self.zone = ZoneInfo(timezone)
        self.units = units
        self.currency = currency

    def local(self, time_s: float) -> datetime:
        """Return an instant in the house's own time."""
        return datetime.fromtimestamp(time_s, self.zone)

    def clock(self, time_s: float) -> str:
        """Return a clock time."""
        return self.local(time_s).strftime("%H:%M")

    def day(self, time_s: float) -> str:
        """Return the name of a day."""
        return self.local(time_s).strftime("%A")

    def date(self, time_s: float) -> str:
        """Return a day in full: "Thursday 19 March 2026"."""
        local = self.local(time_s)
        return f"{local:%A} {local.day} {local:%B %Y}"

    def when(self, time_s: float, beside_s: float) -> str:
        """Return a clock time, with its day when that is another than the one talked of."""
        same = self.local(time_s).date() == self.local(beside_s).date()
        return self.clock(time_s) if same else f"{self.day(time_s)} {self.clock(time_s)}"

    def show(self, value: float, kind: Kind, digits: int | None = None) -> str:
        """Return a quantity in the units of the house."""
        return show(value, kind, self.units, digits, currency=self.currency)

    def volume(self, value_m3: float, digits: int = 1) -> str:
        """Return a volume in gallons or litres, however small."""
        unit = VOLUME.display_unit(_UNIT_AT[VOLUME], self.units)
        return show(value_m3, VOLUME, self.units, digits, unit)

    def valve(self, flow_m3_s: float) -> str:
        """Return a concentrate setting as the flow meter beside the valve shows it."""
        return valve_text(flow_m3_s, self.units)

    def about(self, value: Spread, kind: Kind, digits: int | None = None) -> str:
        """Return a median with its range, or alone where there is hardly any."""
        unit = kind.display_unit(max(value.high, _UNIT_AT.get(kind, 0.0)), self.units)
        low, middle, high = (
            show(each, kind, self.units, digits, unit)
            for each in (value.low, value.middle, value.high)
        )
        return middle if low == high else f"{middle} ({bare(low)} to {bare(high)})"

    def money(self, value: float) -> str:
        """Return an amount in whole units of the house's currency."""
        return self.show(value, MONEY, 0)


def valve_unit(units: str) -> str:
    """Return the unit of every concentrate setting of a house: one valve, one flow meter."""
    return "L/min" if units == "metric" else "gal/min"


def valve_text(flow_m3_s: float, units: str) -> str:
    """Return a concentrate setting as the flow meter beside the valve shows it.

    >>> valve_text(1e-5, "us"), valve_text(1e-5, "metric")
    ('0.16 gal/min', '0.60 L/min')
    """
    return show(flow_m3_s, FLOW, units, unit=valve_unit(units))


def date_text(time_s: float, timezone: str) -> str:
    """Return an instant's local date: ``2 Apr``."""
    moment = datetime.fromtimestamp(time_s, ZoneInfo(timezone))
    return f"{moment.day} {moment:%b}"


def bare(text: str) -> str:
    """Return a quantity without its unit."""
    return text.split(" ")[0]


def sentence(text: str) -> str:
    """Return a text with a capital at its beginning; the rest stays as it is."""
    return text[:1].upper() + text[1:]


def in_ten(probability: float) -> str:
    """Return a probability as people say it."""
    tenths = round(10 * probability)
    if tenths >= 10:
        return "nearly certain"
    return f"{tenths} in 10" if tenths else "less than 1 in 10"


def counted(number: int) -> str:
    """Return a small number as a word.

    >>> counted(2), counted(14)
    ('two', '14')
    """
    words = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    return words[number] if 0 <= number < len(words) else str(number)


def ago(duration_s: float) -> str:
    """Return how long ago something was, in the largest unit that says enough.

    >>> ago(20.0), ago(300.0), ago(5 * 3600.0), ago(3 * 86400.0)
    ('just now', '5 min ago', '5 h ago', '3 days ago')
    """
    if duration_s < 60.0:
        return "just now"
    if duration_s < 5400.0:
        return f"{duration_s / 60.0:.0f} min ago"
    if duration_s < 2 * 86400.0:
        return f"{duration_s / 3600.0:.0f} h ago"
    return f"{duration_s / 86400.0:.0f} days ago"


def until(duration_s: float) -> str:
    """Return how long there is until something; how long it is due, when that has passed.

    >>> until(2 * 3600.0 + 300.0), until(40.0), until(-600.0)
    ('in 2 h 5 min', 'now', 'since 10 min')
    """
    minutes = round(abs(duration_s) / 60.0)
    if minutes < 1:
        return "now"
    hours, rest = divmod(minutes, 60)
    parts = [f"{hours} h"] if hours else []
    parts += [f"{rest} min"] if rest or not hours else []
    return f"{'in' if duration_s > 0.0 else 'since'} {' '.join(parts)}"
