"""How full a tank is to be when somebody is there next: what asks for another plan."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, replace

import numpy as np
import pytest

from planning_cases import demo_plant, forecast_from, gallons, local_s, quick, usual_levels
from sugarwright.planning import report_file
from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.marks import mark_of
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import PlanReport
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import simulate
from sugarwright.weather.hours import HourlyWeather

NOW = "2015-03-16 05:10"  # a Monday: people 05:30 to 07:30 and from 17:00


@pytest.fixture(scope="module")
def worked(whately_2015: HourlyWeather) -> Iterator[tuple[PlanReport, Planned]]:
    """A plan, and what it was found from."""
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        now_s = local_s(NOW)
        known = forecast_from(whately_2015, now_s, 36)
        levels = usual_levels(sap=gallons(300, 2.0))
        yield plan_with_grounds(demo_plant(), known, levels, now_s, 36, 1)


@pytest.mark.parametrize(("tank", "column"), [("sap", at.T_SAP_M3), ("stock", at.T_STOCK_M3)])
@pytest.mark.parametrize("clock", ["07:00", "17:00", "17:30"])
def test_the_mark_is_what_a_tank_holds_just_before_the_next_thing_is_done(
    worked: tuple[PlanReport, Planned], clock: str, tank: str, column: int
) -> None:
    _, planned = worked
    at_s = local_s(f"2015-03-16 {clock}")
    action = Action("light the fire", at_s, Trigger(tank, 0.1))
    mark = mark_of(planned, [action], local_s(NOW))
    assert mark is not None
    assert (mark.what, mark.time_s) == (tank, at_s)
    drive = planned.weathers.checked
    step = (at_s - int(drive.begin_s)) // int(planned.plant.step_s)
    held = [
        simulate(planned.plant, drive, planned.plan, planned.state, scenario=w).rows[
            step - 1, column
        ]
        for w in range(drive.scenarios)
    ]
    low, middle, high = np.quantile(held, (0.1, 0.5, 0.9))
    assert (mark.held_m3.low, mark.held_m3.middle, mark.held_m3.high) == pytest.approx(
        (low, middle, high), rel=1e-6
    )


def test_no_mark_is_at_an_hour_at_which_nobody_is_there(
    worked: tuple[PlanReport, Planned],
) -> None:
    _, planned = worked
    gone, there = (
        Action("drain before the frost", local_s(f"2015-03-16 {clock}"))
        for clock in ("12:00", "17:00")
    )
    soon = replace(there, time_s=local_s("2015-03-16 05:30"))
    mark = mark_of(planned, [soon, gone, there], local_s(NOW))
    assert mark is not None
    assert mark.time_s == there.time_s
    assert mark_of(planned, [soon, gone], local_s(NOW)) is None


def test_a_report_has_the_mark_of_its_own_actions_and_an_older_one_is_read_without(
    worked: tuple[PlanReport, Planned],
) -> None:
    report, planned = worked
    assert report.mark is not None
    assert report.mark == mark_of(planned, report.days[0].actions, report.begin_s)
    assert report.mark.time_s in [each.time_s for each in report.days[0].actions]
    drive = planned.weathers.forecast
    step = (report.mark.time_s - int(drive.begin_s)) // int(planned.plant.step_s)
    assert drive.calendar[step, at.PEOPLE] > 0.0
    document = json.loads(json.dumps(asdict(report)))
    assert report_file.report_of(document) == report
    del document["mark"]
    assert report_file.report_of(document) == replace(report, mark=None)
