"""``sugarwright now`` in words."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.cli.output import columns, wrapped
from sugarwright.saying.fire import fire_warnings
from sugarwright.saying.standing import (
    age_text,
    brix_text,
    coming_texts,
    departure_text,
    doubt_text,
    last_read_text,
    machine_texts,
    place_name,
    range_text,
    read_next_text,
    stands_on_text,
)
from sugarwright.units import TEMPERATURE, VOLUME, show

if TYPE_CHECKING:
    from sugarwright.twin.report import NowReport, TankNow


def now_lines(report: NowReport, why_plan_again: str = "") -> list[str]:
    """Return the lines that tell where everything stands, and why the day wants a new plan."""
    moment = datetime.fromtimestamp(report.now_s, ZoneInfo(report.timezone))
    lines = [f"{report.house}: {moment:%A} {moment.day} {moment:%B}, {moment:%H:%M}"]
    lines += [wrapped(_stands_on(report))]
    lines += [wrapped(text, "  ! ") for text in (*fire_warnings(report), *report.cautions)]
    lines += [wrapped(departure_text(each, report), "  ! ") for each in report.departures]
    lines += [wrapped(doubt_text(each, report), "  ! ") for each in report.doubts]
    lines += ["", *(f"  {line}" for line in columns(_table(report)))]
    said = (coming_texts(report), machine_texts(report), [read_next_text(report)])
    for part in said:
        hung = [wrapped(line, "", "  ") for line in part if line]
        lines += ["", *hung] if hung else []
    if why_plan_again:
        lines += ["", wrapped(f"Worth a new plan, `sugarwright plan`: {why_plan_again}.", "", "  ")]
    return lines


def _stands_on(report: NowReport) -> str:
    text = stands_on_text(report)
    return text if report.entries else f"{text[:-1]}: `sugarwright log --help`."


def _table(report: NowReport) -> list[list[str]]:
    rows = [["", "holds", "5 to 95 %", "Brix", "age", "warm", "last read"]]
    return rows + [_row(tank, report) for tank in report.tanks]


def _row(tank: TankNow, report: NowReport) -> list[str]:
    us = report.units
    held = tank.volume_m3.middle > 0.005 * tank.capacity_m3
    is_water = tank.place == "permeate"
    holds = show(tank.volume_m3.middle, VOLUME, us)
    unit = holds.rpartition(" ")[2]
    return [
        place_name(tank.place),
        holds,
        range_text(tank.volume_m3, VOLUME, us).removesuffix(f" {unit}"),
        brix_text(tank.brix) if held and not is_water else "",
        age_text(tank) if held and not is_water else "",
        show(tank.temperature_c.middle, TEMPERATURE, us) if held and not is_water else "",
        last_read_text(tank, report),
    ]
