"""The chart of a season's outlook: days of tapping side by side, and the weeks to come."""

from __future__ import annotations

from sugarwright.cli.charts_data import Bar, Bars, ChartData, Panel, Span, Spans
from sugarwright.cli.charts_data import weather_text as told
from sugarwright.planning.report import Range
from sugarwright.planning.season_report import Reached, SeasonOutlook
from sugarwright.saying.words import date_text
from sugarwright.units import VOLUME, to_unit

BAND = "8 of 10 springs"


def season_chart(found: SeasonOutlook) -> ChartData:
    """Return the chart of an outlook."""
    unit = "L" if found.units == "metric" else "gal"
    zone = found.timezone
    panels: list[Panel] = []
    names = [f"{date_text(day.tapped_s, zone)} {day.name}".strip() for day in found.days]
    if found.days:
        spans = [
            _span(name, day.amount.sap_m3_per_tap, unit)
            for name, day in zip(names, found.days, strict=True)
        ]
        title = "sap a tap, by the day of tapping"
        panels.append(Spans(title, unit, tuple(spans), BAND, digits=1 if unit == "gal" else 0))
    ends = [
        *zip(names, (day.end for day in found.days), strict=True),
        *([] if found.days else [("95 % has run", found.end)]),
        *((each.what, each.reached) for each in found.warmth),
    ]
    dates = tuple(span for name, when in ends if (span := _dates(name, when)) is not None)
    title = "95 % has run, by the day of tapping; warm sums reached"
    panels.append(Spans(title, "", dates, BAND, dates=True))
    panels.append(_weeks(found, unit))
    caption = told(found.weather_source, found.issued_s, zone)
    return ChartData(
        f"{found.house}: the season as seen on {date_text(found.now_s, zone)}",
        zone,
        tuple(panels),
        f"{caption} {found.count} springs, seed {found.seed}; {found.trees_source}.",
    )


def _weeks(found: SeasonOutlook, unit: str) -> Bars:
    bars = tuple(
        Bar(date_text(week.begin_s, found.timezone), *_values(week.sap_m3, unit))
        for week in found.weeks
    )
    return Bars("sap to come, by weeks that begin on the day named", unit, bars, BAND)


def _values(values: Range, unit: str) -> tuple[float, float, float]:
    middle, low, high = (
        to_unit(each, VOLUME, unit) for each in (values.middle, values.low, values.high)
    )
    return middle, low, high


def _span(name: str, values: Range, unit: str) -> Span:
    middle, low, high = _values(values, unit)
    return Span(name, low, middle, high)


def _dates(name: str, when: Reached) -> Span | None:
    """Return a range of dates; None if half of the springs or more have none."""
    if when.low_s is None or when.middle_s is None:
        return None
    return Span(name, when.low_s, when.middle_s, when.high_s or when.middle_s)
