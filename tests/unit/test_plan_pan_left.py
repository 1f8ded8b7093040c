"""Sweet that stands in the pan, where a plan has neither a fire nor sap for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, replace
from typing import Any

import pytest

from planning_cases import (
    GALLON_M3,
    demo_house,
    forecast_from,
    gallons,
    local_s,
    quick,
    usual_levels,
    without_membrane,
)
from sugarwright.cli.plan_message import message
from sugarwright.cli.plan_text import plan_lines
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.report import PlanReport
from sugarwright.planning.report_file import report_of
from sugarwright.planning.today import plan_today
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import House
from sugarwright.plant.state import Levels
from sugarwright.weather.hours import HourlyWeather

MORNING = "2015-03-21 09:00"


@pytest.fixture(scope="module", autouse=True)
def _quick() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        yield


@pytest.fixture(scope="module")
def warm(whately_2015: HourlyWeather) -> HourlyWeather:
    """Return a spring that is over: no frost any more, and no sap."""
    air_c = whately_2015.temperature_c.copy()
    begin = int((local_s("2015-03-17 00:00") - int(whately_2015.time_s[0])) // 3600)
    air_c[begin:] = 14.0
    return replace(whately_2015, temperature_c=air_c)


def _plan(truth: HourlyWeather, levels: Levels, house: House) -> PlanReport:
    now_s = local_s(MORNING)
    return plan_today(assemble(house), forecast_from(truth, now_s, 24), levels, now_s, 24)


def _text(report: PlanReport) -> str:
    return " ".join("\n".join(plan_lines(report)).split())


def test_what_stands_in_the_pan_at_the_season_s_end_is_told(warm: HourlyWeather) -> None:
    house = without_membrane(demo_house())
    report = _plan(warm, Levels(sap=gallons(10), pan_brix=12.0), house)
    left = report.pan_left
    assert left is not None
    assert left.brix == pytest.approx(12.0)
    hot_kg_m3 = 1048.0 * 0.958  # 12 Brix weighs 1.048 kg/L at 20 °C, and water 0.958 at the boil
    sugar_kg = sum(house.pan.compartments_m3) * hot_kg_m3 * 0.12
    syrup_kg = sugar_kg / (house.pan.finish_brix / 100.0)
    assert left.syrup_m3 == pytest.approx(syrup_kg / 1330.0, rel=0.02)
    text = _text(report)
    syrup = f"the sugar of some {left.syrup_m3 / GALLON_M3:.1f} gal of syrup"
    assert f"about 12 Brix stands in it, with {syrup}; no fire is planned" in text
    assert "hardly any sap is to come by Sunday. If the season is over, finish it" in text
    assert "push it through with water, or drain it" in text
    assert CAUTIONS["fire"] in text
    assert "nothing to do; sweet stands in the pan: if the season is over, finish it" in message(
        report
    )


def test_nothing_is_said_of_a_pan_that_is_empty_or_that_has_feed_or_fire(
    warm: HourlyWeather, whately_2015: HourlyWeather
) -> None:
    house = without_membrane(demo_house())
    assert _plan(warm, Levels(sap=gallons(10), pan_brix=0.0), house).pan_left is None
    burning = Levels(sap=gallons(10), pan_brix=12.0, fire_on=True)
    assert _plan(warm, burning, house).pan_left is None
    found = _plan(whately_2015, usual_levels(), demo_house())
    assert found.pan_left is None
    assert "stands in it" not in _text(found)


def test_a_plan_kept_before_it_was_told_is_still_read(warm: HourlyWeather) -> None:
    house = without_membrane(demo_house())
    report = _plan(warm, Levels(sap=gallons(10), pan_brix=12.0), house)
    document: dict[str, Any] = asdict(report)
    assert report_of(document) == report
    del document["pan_left"]
    assert report_of(document).pan_left is None
