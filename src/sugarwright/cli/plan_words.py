"""Small words of a plan: clock, quantities and tanks, in the units and zone of its house."""

from __future__ import annotations

import textwrap
from datetime import datetime
from zoneinfo import ZoneInfo

from sugarwright.planning.report import PlanReport, Range
from sugarwright.units import DURATION, MONEY, VOLUME, Kind, show

WIDTH = 80
LABEL = 9  # columns of the words on the left
TANKS = {"sap": "the sap tank", "stock": "the stock tank", "permeate": "the permeate tank"}
_UNIT_AT = {VOLUME: 0.01, DURATION: 3600.0}  # values whose usual unit a range is told in


class Words:
    """Says times and quantities as the house of a report reads them.

    Parameters
    ----------
    report : whose zone, units and currency count
    """

    def __init__(self, report: PlanReport) -> None:
        self.report = report
        self.zone = ZoneInfo(report.timezone)

    def local(self, time_s: float) -> datetime:
        """Return an instant in the house's own time."""
        return datetime.fromtimestamp(time_s, self.zone)

    def clock(self, time_s: float) -> str:
        """Return a clock time."""
        return self.local(time_s).strftime("%H:%M")

    def day(self, time_s: float) -> str:
        """Return the name of a day."""
        return self.local(time_s).strftime("%A")

    def when(self, time_s: float, beside_s: float) -> str:
        """Return a clock time, with its day when that is another than the one talked of."""
        same = self.local(time_s).date() == self.local(beside_s).date()
        return self.clock(time_s) if same else f"{self.day(time_s)} {self.clock(time_s)}"

    def show(self, value: float, kind: Kind, digits: int | None = None) -> str:
        """Return a quantity in the units of the house."""
        return show(value, kind, self.report.units, digits, currency=self.report.currency)

    def volume(self, value_m3: float, digits: int = 1) -> str:
        """Return a volume in gallons or litres, however small."""
        unit = VOLUME.display_unit(_UNIT_AT[VOLUME], self.report.units)
        return show(value_m3, VOLUME, self.report.units, digits, unit)

    def about(self, value: Range, kind: Kind, digits: int | None = None) -> str:
        """Return a median with its range, or alone where there is hardly any."""
        unit = kind.display_unit(max(value.high, _UNIT_AT.get(kind, 0.0)), self.report.units)
        low, middle, high = (
            show(each, kind, self.report.units, digits, unit)
            for each in (value.low, value.middle, value.high)
        )
        return middle if low == high else f"{middle} ({bare(low)} to {bare(high)})"

    def money(self, value: float) -> str:
        """Return an amount in whole units of the house's currency."""
        return self.show(value, MONEY, 0)


def bare(text: str) -> str:
    """Return a quantity without its unit."""
    return text.split(" ")[0]


def in_ten(probability: float) -> str:
    """Return a probability as people say it."""
    tenths = round(10 * probability)
    if tenths >= 10:
        return "nearly certain"
    return f"{tenths} in 10" if tenths else "less than 1 in 10"


def hanging(start: str, text: str) -> str:
    """Return a paragraph of 80 columns that hangs behind its start."""
    rest = " " * len(start)
    return textwrap.fill(
        text, WIDTH, initial_indent=start, subsequent_indent=rest, break_long_words=False
    )


def entry(label: str, text: str) -> str:
    """Return a paragraph behind a word on the left."""
    return hanging(f"{label:<{LABEL}}", text)
