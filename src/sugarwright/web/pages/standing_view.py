"""Tanks as the pages draw them: a vessel with its level, how sure that is, and what was planned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sugarwright.answering.surprises import Surprise
from sugarwright.saying.clock import clock_of
from sugarwright.saying.standing import (
    IF_LEFT,
    age_text,
    brix_text,
    is_now,
    is_perhaps_full,
    last_read_text,
    place_name,
    range_text,
)
from sugarwright.twin.report import NowReport, TankNow, When
from sugarwright.units import VOLUME, show

NONE: Mapping[str, Surprise] = {}
HARDLY_ANY = 0.005  # of what it holds
LIKELY = 0.1


@dataclass(frozen=True)
class Vessel:
    """One tank.

    Parameters
    ----------
    place, name : which
    holds, between, of : in words: the middle, the range, the rim
    level, low, high : as shares of the rim, 0 to 1
    planned : likewise, what the plan led to expect by now; None where it says nothing
    planned_holds : in words
    details : strength, age and last reading, in words
    comes : that it is full, empty or spoiled now, in words
    left : when it will be if nothing is done, in words; may be empty
    expected : what was read off the plan before, and what that led to expect, in words; else empty
    """

    place: str
    name: str
    holds: str
    between: str
    of: str
    level: float
    low: float
    high: float
    planned: float | None
    planned_holds: str
    details: tuple[str, ...]
    comes: tuple[str, ...]
    left: str = ""
    expected: str = ""


def vessels_of(
    report: NowReport,
    planned_m3: Mapping[str, float | None],
    surprises: Mapping[str, Surprise] = NONE,
) -> tuple[Vessel, ...]:
    """Return the tanks of a house.

    Parameters
    ----------
    report : where they stand
    planned_m3 : what the plan led to expect of each place
    surprises : what was read far off the plan before, by place
    """
    return tuple(
        _vessel(tank, report, planned_m3.get(tank.place), surprises.get(tank.place))
        for tank in report.tanks
    )


def _vessel(
    tank: TankNow, report: NowReport, planned_m3: float | None, surprise: Surprise | None
) -> Vessel:
    rim = max(tank.capacity_m3, 1e-9)
    level, low, high = (
        min(1.0, max(0.0, each / rim))
        for each in (tank.volume_m3.middle, tank.volume_m3.low, tank.volume_m3.high)
    )
    comes, left = _comes(tank, report)
    return Vessel(
        place=tank.place.partition(":")[0],
        name=place_name(tank.place),
        holds=show(tank.volume_m3.middle, VOLUME, report.units, unit=_unit(report)),
        between=range_text(tank.volume_m3, VOLUME, report.units),
        of=show(tank.capacity_m3, VOLUME, report.units),
        level=level,
        low=low,
        high=high,
        planned=None if planned_m3 is None else min(1.0, max(0.0, planned_m3 / rim)),
        planned_holds="" if planned_m3 is None else show(planned_m3, VOLUME, report.units),
        details=tuple(_details(tank, report)),
        comes=comes,
        left=left,
        expected="" if surprise is None else surprise_text(surprise, report),
    )


def surprise_text(surprise: Surprise, report: NowReport) -> str:
    """Say what was read, and what the plan before that led to expect."""
    read, planned = (
        show(each, VOLUME, report.units) for each in (surprise.read_m3, surprise.planned_m3)
    )
    at, plan = clock_of(report, surprise.read_s), clock_of(report, surprise.plan_s)
    return f"{read} was read at {at}; the plan of {plan} led to expect about {planned}"


def _unit(report: NowReport) -> str:
    return VOLUME.display_unit(0.01, report.units)


def _details(tank: TankNow, report: NowReport) -> list[str]:
    found = []
    if tank.volume_m3.middle > HARDLY_ANY * tank.capacity_m3 and tank.place != "permeate":
        age = age_text(tank)
        found.append(
            f"{brix_text(tank.brix)} Brix, {age if age == 'fresh' else f'as old as {age}'}"
        )
    found.append(f"read: {last_read_text(tank, report)}")
    return found


def _comes(tank: TankNow, report: NowReport) -> tuple[tuple[str, ...], str]:
    """Say what a tank is now, and what it will be if nothing is done: a plan does something."""
    now, later = list[str](), list[str]()
    for what, when in (("full", tank.full), ("empty", tank.empty), ("spoiled", tank.spoiled)):
        if what == "full" and is_perhaps_full(tank, report):
            now.append("perhaps full already")
        elif when is not None:
            told = now if is_now(when, report) else later
            told.append(_when(what, when, report))
    left = "; ".join(filter(None, later))
    return tuple(filter(None, now)), f"{IF_LEFT}: {left}" if left else ""


def _when(what: str, when: When, report: NowReport) -> str:
    """Tell when something comes; what is so already, as such. Nothing of what is not likely."""
    if when.probability < LIKELY:
        return ""
    if is_now(when, report):
        return f"{what} now" if when.probability >= 0.5 else ""
    likely = "" if when.probability > 0.95 else f" ({when.probability:.0%} likely)"
    return f"{what} about {clock_of(report, when.middle_s)}{likely}"
