"""Houses, weathers and readings that the tests of planning share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache
from importlib.resources import files
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from sugarwright.physics.keeping import growth_rate_per_s
from sugarwright.planning import today
from sugarwright.planning.choices import Menu
from sugarwright.planning.choose import Chosen, choose
from sugarwright.planning.report import PlanReport
from sugarwright.planning.search import Budget
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.state import AGED_AT_C, Contents, Levels
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HOUR_S, HourlyWeather

GALLON_M3 = 231 * 0.0254**3  # NIST Handbook 44, appendix C: the US gallon is 231 cubic inches
CORD_M3 = 128 * 0.3048**3  # and the cord 128 cubic feet
HOURS_BEFORE = 14 * 24  # of weather that bring the trees up to date


@cache
def demo_house() -> House:
    """Return the invented house of the demo, moved to the field station at Whately, 2015."""
    text = (files("sugarwright") / "demo" / "sugarhouse.toml").read_text(encoding="utf-8")
    house = parse_house(text)
    site = replace(house.site, latitude_deg=42.45, longitude_deg=-72.64)
    return replace(house, site=site, trees=replace(house.trees, tapped=date(2015, 3, 1)))


@cache
def demo_plant() -> Plant:
    """Return it, ready to run."""
    return assemble(demo_house())


def without_membrane(house: House) -> House:
    """Return the house with its pan fed from the sap tank."""
    return replace(house, membrane=None, stock_tank=None, permeate_tank=None)


def local_s(text: str, timezone: str = "America/New_York") -> int:
    """UTC s of a clock time in a house's zone."""
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(timezone)).timestamp())


def gallons(volume: float, brix: float = 2.0, age_h: float = 0.0) -> Contents:
    """What a tank holds, in the words of a maker."""
    return Contents(volume * GALLON_M3, brix, age_h * 3600.0)


def usual_levels(**changes: object) -> Levels:
    """Readings of a usual morning of the demo's house."""
    levels = Levels(
        sap=gallons(212, 1.9, 14),
        stock=gallons(31, 5.8),
        permeate=gallons(140, 0.0),
        pan_brix=20.0,
    )
    return replace(levels, **changes)  # type: ignore[arg-type]


def forecast_from(truth: HourlyWeather, now_s: int, hours: int) -> HourlyWeather:
    """The weather of a file up to the end of a plan, as if it were the forecast."""
    begin_s = now_s - now_s % HOUR_S
    return truth.between(begin_s - HOURS_BEFORE * HOUR_S, begin_s + hours * HOUR_S)


@dataclass(frozen=True)
class Worked:
    """A report, and what it was made from."""

    report: PlanReport
    menu: Menu

    @property
    def rows(self) -> Floats:
        """(days, ``PLAN_WIDTH``)"""
        return np.array(self.report.rows)


Planner = Callable[..., Worked]


def recording(patch: pytest.MonkeyPatch) -> Planner:
    """Return ``plan_today`` that also hands out what it could choose from."""
    seen: list[Menu] = []

    def recorded(*arguments: object, **options: object) -> Chosen:
        chosen = choose(*arguments, **options)  # type: ignore[arg-type]
        seen.append(chosen.menu)
        return chosen

    patch.setattr(today, "choose", recorded)

    def plan(*arguments: object, **options: object) -> Worked:
        report = today.plan_today(*arguments, **options)  # type: ignore[arg-type]
        return Worked(report, seen[-1])

    return plan


def quick(patch: pytest.MonkeyPatch) -> None:
    """Make searches small: what must hold of a plan must hold of a poor one too."""
    patch.setattr("sugarwright.planning.search.USUAL", Budget(population=32, rounds=3))
    patch.setattr("sugarwright.planning.search.MOST_PASSES", 1)


def readings(plant: Plant, x: Floats) -> Levels:
    """What a maker would read off at a moment at which the fire is out."""
    points = len(plant.points)
    tanks = [_contents(plant, x, at.GATHERED + g * at.POINT_WIDTH) for g in range(points)]
    sap = _contents(plant, x, at.SAP)
    held_kg = plant.p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + at.MAX_COMPARTMENTS].sum()
    pan_kg = x[at.PAN_SUGAR : at.PAN_SUGAR + at.MAX_COMPARTMENTS].sum()
    return Levels(
        sap=sap,
        stock=_contents(plant, x, at.STOCK, sap.brix),
        permeate=_contents(plant, x, at.PERMEATE),
        gathered=tuple(tanks),
        pan_brix=float(100.0 * pan_kg / held_kg) if x[at.PAN_FILLED] >= 1.0 else 0.0,
        wood_m3=float(x[at.WOOD_M3]),
        condition=float(x[at.CONDITION]),
        run_since_wash_s=float(x[at.RUN_SINCE_WASH_S]),
        membrane_on=bool(x[at.MEMBRANE_ON] > 0.0),
    )


def _contents(plant: Plant, x: Floats, tank: int, raw_brix: float = 0.0) -> Contents:
    p = plant.p
    water_kg, sugar_kg = x[tank + at.WATER], x[tank + at.SUGAR]
    if water_kg + sugar_kg <= 0.0:
        return Contents(brix=0.0)
    brix = float(100.0 * sugar_kg / (water_kg + sugar_kg))
    cells = max(1.0, float(x[tank + at.CELLS]))
    if raw_brix > 0.0:
        cells = max(1.0, cells / max(1.0, brix / raw_brix))
    rate_per_s = growth_rate_per_s(AGED_AT_C, p[at.GROWTH_SLOPE], p[at.GROWTH_LEAST_C])
    return Contents(
        float(water_kg * p[at.WATER_M3_KG] + sugar_kg * p[at.SUGAR_M3_KG]),
        brix,
        float(np.log(cells)) / rate_per_s,
        float(max(0.0, x[tank + at.TEMPERATURE])),
    )
