"""A clock time of a report, with its day where that is another."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from sugarwright.twin.report import NowReport


def clock_of(report: NowReport, time_s: float) -> str:
    """Return a time on the house's clock, with its day where that is another."""
    zone = ZoneInfo(report.timezone)
    moment = datetime.fromtimestamp(time_s, zone)
    if moment.date() == datetime.fromtimestamp(report.now_s, zone).date():
        return f"{moment:%H:%M}"
    if abs(time_s - report.now_s) < 6 * 86400.0:
        return f"{moment:%a %H:%M}"
    if abs(time_s - report.now_s) < 180 * 86400.0:
        return f"{moment:%d %b %H:%M}"
    return f"{moment:%d %b %Y %H:%M}"
