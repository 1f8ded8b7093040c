"""The chart of a run: air, how full the tanks stood, and the syrup of each day."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np

from sugarwright.cli.charts_data import Bar, Bars, ChartData, Curve, Mark, Panel, weather_text
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, Trace
from sugarwright.plant.summary import DaySummary, SeasonSummary
from sugarwright.units import TEMPERATURE, VOLUME, to_unit
from sugarwright.weather.hours import HOUR_S

TANKS = (
    ("sap tank", at.T_SAP_M3, at.SAP_CAPACITY_M3),
    ("stock tank", at.T_STOCK_M3, at.STOCK_CAPACITY_M3),
    ("permeate tank", at.T_PERMEATE_M3, at.PERMEATE_CAPACITY_M3),
)
"""Name, place in a row of the trace, place of its size among the plant's numbers."""


def run_chart(
    plant: Plant, drive: Drive, trace: Trace, found: SeasonSummary, issued_s: int | None
) -> ChartData:
    """Return the chart of a run.

    Parameters
    ----------
    plant, drive, trace : the house, what drove it, and every step of it
    found : what the run came to
    issued_s : UTC s at which the weather was forecast; None when it was measured
    """
    metric = found.units == "metric"
    volume, degrees = ("L", "°C") if metric else ("gal", "°F")
    panels: list[Panel] = [_air(drive, degrees)]
    panels += [
        _tank(plant, trace, name, row, float(plant.p[size]), volume)
        for name, row, size in TANKS
        if plant.p[size] > 0.0
    ]
    zone = ZoneInfo(found.timezone)
    panels.append(_by_day("sap from the trees", "sap_m3", found, zone, volume))
    panels.append(_by_day("syrup drawn", "syrup_m3", found, zone, volume))
    first = datetime.fromtimestamp(found.begin_s, UTC).astimezone(zone)
    title = f"{found.house}: as you work today, from {first.day} {first:%B %Y}"
    caption = weather_text(found.weather_source, issued_s, found.timezone)
    return ChartData(title, found.timezone, tuple(panels), caption)


def _air(drive: Drive, unit: str) -> Curve:
    air_c = drive.air_c[0]
    return Curve(
        title="air",
        unit=unit,
        time_s=(drive.begin_s + HOUR_S * np.arange(len(air_c))).tolist(),
        values=[to_unit(value, TEMPERATURE, unit) for value in air_c.tolist()],
        level=Mark(to_unit(0.0, TEMPERATURE, unit), "freezing"),
    )


def _tank(plant: Plant, trace: Trace, name: str, row: int, size_m3: float, unit: str) -> Curve:
    ends_s = trace.begin_s + trace.step_s * np.arange(1, len(trace.rows) + 1)
    return Curve(
        title=name,
        unit=unit,
        time_s=ends_s.tolist(),
        values=[to_unit(value, VOLUME, unit) for value in trace.rows[:, row].tolist()],
        level=Mark(to_unit(size_m3, VOLUME, unit), "full"),
        from_zero=True,
    )


def _by_day(title: str, name: str, found: SeasonSummary, zone: ZoneInfo, unit: str) -> Bars:
    few = len(found.days) <= 10
    digits = 1 if name == "syrup_m3" else 0

    def label(day: DaySummary) -> str:
        begin = datetime.fromtimestamp(day.begin_s, UTC).astimezone(zone)
        return f"{begin:%a} {begin.day}" if few else f"{begin.day} {begin:%b}"

    return Bars(
        title=f"{title}, by day",
        unit=unit,
        bars=tuple(
            Bar(label(day), to_unit(getattr(day.sums, name), VOLUME, unit)) for day in found.days
        ),
        digits=digits,
    )
