"""A fire that many weathers do not have is told with how likely it is, wherever it is told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from planning_cases import (
    Planner,
    demo_plant,
    forecast_from,
    gallons,
    local_s,
    quick,
    recording,
    usual_levels,
)
from sugarwright.cli.plan_message import message
from sugarwright.cli.plan_text import plan_lines
from sugarwright.planning.action import Action, LastWood, Trigger
from sugarwright.planning.actions import actions_of
from sugarwright.planning.fire_chances import LIT, with_chances
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import PlanReport, Range
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import simulate
from sugarwright.plant.tank_kernel import Floats
from sugarwright.saying.plan_actions import gauge_text
from sugarwright.saying.plan_parts import expected_text, later_texts
from sugarwright.saying.plan_words import PlanWords
from sugarwright.weather.hours import HOUR_S, HourlyWeather

MORNING = "2015-03-16 05:10"
LIGHT = Action("light the fire", 0, Trigger("stock", 0.3), expected_s=0, syrup_m3=0.003, draws=2)


@pytest.fixture(scope="module", autouse=True)
def planner() -> Iterator[Planner]:
    """Return a planner of small searches."""
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        yield recording(patch)


@pytest.fixture(scope="module")
def report(whately_2015: HourlyWeather) -> PlanReport:
    """Return a plan of a weekday."""
    now_s = local_s(MORNING)
    known = forecast_from(whately_2015, now_s, 24)
    return plan_with_grounds(demo_plant(), known, usual_levels(), now_s, 24)[0]


def _lit(on: Floats, first: int, last: int) -> int:
    """How often a fire goes up in a span of steps."""
    before = on[first - 1] if first else 0.0
    span = np.append(before, on[first:last]) > 0.0
    return int((span[1:] & ~span[:-1]).sum())


def test_a_fire_is_as_likely_as_the_weathers_say(whately_2015: HourlyWeather) -> None:
    now_s = local_s(MORNING)
    known = forecast_from(whately_2015, now_s, 48)
    levels = usual_levels(sap=gallons(60), stock=gallons(20, 4.0))
    found, planned = plan_with_grounds(demo_plant(), known, levels, now_s, 48)
    drive = planned.weathers.checked
    runs = [
        simulate(planned.plant, drive, planned.plan, planned.state, scenario=w).column(at.T_FIRE_ON)
        for w in range(drive.scenarios)
    ]
    told = 0
    for day, (first, last) in zip(found.days, pairwise(planned.checked.cuts), strict=True):
        counts = np.array([_lit(on, first, last) for on in runs])
        fires = [each for each in day.actions if each.kind in LIT]
        for number, fire in enumerate(fires, 1):
            assert fire.probability == pytest.approx(float((counts >= number).mean()))
            told += 1
    assert told


def _last_steps(planned: Planned, last: int) -> list[int]:
    """Last step before another with a fire, in each weather that has one."""
    drive = planned.weathers.checked
    found = []
    for w in range(drive.scenarios):
        trace = simulate(planned.plant, drive, planned.plan, planned.state, scenario=w)
        on = np.flatnonzero(trace.column(at.T_FIRE_ON)[:last] > 0.0)
        found += [int(on[-1])] if len(on) else []
    return found


@pytest.mark.parametrize(
    ("kind", "row"),
    [
        ("light the fire", {at.FIRE_START: 1020.0, at.FIRE_CALL_M3: 0.0}),
        ("fire at need", {at.FIRE_START: -1.0, at.FIRE_CALL_M3: 0.2}),
    ],
)
def test_a_fire_that_the_forecast_itself_does_not_bring_has_its_end(
    whately_2015: HourlyWeather, kind: str, row: dict[int, float]
) -> None:
    """Nobody lights one without knowing until when to stay; no weather has it for longer."""
    now_s = local_s("2015-03-14 05:10")
    known = forecast_from(whately_2015, now_s, 24)
    levels = usual_levels(sap=gallons(60, 2.0), stock=gallons(20, 6.0))
    _, planned = plan_with_grounds(demo_plant(), known, levels, now_s, 24)
    plan = planned.plan.copy()
    plan[:, at.FIRE_STOP], plan[:, at.FIRE_STOCK_M3] = 1200.0, 0.2
    for column, value in row.items():
        plan[:, column] = value
    planned = replace(planned, plan=plan)
    last = planned.checked.cuts[1]
    lit = _last_steps(planned, last)
    assert lit  # some weathers have it
    assert not (planned.trace.column(at.T_FIRE_ON)[:last] > 0.0).any()  # the forecast does not
    (light,) = (each for each in actions_of(planned.scene(0)) if "fire" in each.kind)
    assert (light.kind, light.expected_s) == (kind, None)
    end = light.last_wood
    assert end is not None
    begin_s, step_s = planned.trace.begin_s, planned.plant.step_s
    assert max(lit) * step_s + begin_s < end.latest_s <= local_s("2015-03-14 20:00")
    assert end.leave_s - end.latest_s == int(planned.plant.p[at.CLEAR_S])
    assert end.reserve_m3 >= planned.plant.p[at.RESERVE_M3]


def test_the_end_of_a_fire_that_is_not_expected_is_told_with_it(report: PlanReport) -> None:
    light, go = _fire(report, 0.325)
    end = LastWood(go.time_s, 0.06, go.leave_s or 0)
    for fire in (light, replace(light, kind="fire at need")):
        plan = _with(report, replace(fire, expected_s=None, last_wood=end))
        text = " ".join("\n".join(plan_lines(plan)).split())
        assert "if it is lit: last wood when 16 gal of feed is left, by 15:10 at the latest" in text
        assert "stay until it has died down, till 16:10 at the latest" in text
        assert "last wood by 15:10, stay till 16:10" in message(plan)


def test_the_end_of_a_fire_is_as_likely_as_its_fire() -> None:
    kinds = ("keep the fire", "let the fire go", "light the fire again", "let the fire go")
    found = with_chances([Action(kind, 0) for kind in kinds], np.array([0.0, 1.0, 1.0, 2.0]))
    assert [each.probability for each in found] == [None, None, 0.75, 0.75]


def _with(report: PlanReport, *actions: Action, low: bool = True) -> PlanReport:
    """The plan with other actions, on a day that most weathers have no fire on."""
    hours = Range(0.0, 0.0 if low else 7200.0, 10800.0)
    syrup = Range(0.0, 0.0 if low else 0.003, 0.003)
    day = replace(
        report.days[0], actions=actions, fire_s=hours, syrup_m3=syrup,
        lit_fire_s=hours, lit_syrup_m3=syrup,
    )  # fmt: skip
    return replace(report, days=(day, *report.days[1:]))


def _fire(report: PlanReport, probability: float) -> tuple[Action, Action]:
    at_s = report.begin_s + 8 * HOUR_S
    go = Action(
        "let the fire go", at_s + 2 * HOUR_S, reserve_m3=0.06, leave_s=at_s + 3 * HOUR_S,
        probability=probability,
    )  # fmt: skip
    light = replace(LIGHT, time_s=at_s, expected_s=at_s + HOUR_S, probability=probability)
    return light, go


def test_an_unlikely_fire_says_so_in_its_own_entry_and_the_day_agrees(report: PlanReport) -> None:
    fire = _fire(report, 0.325)
    plan = _with(report, *fire)
    text = " ".join("\n".join(plan_lines(plan)).split())
    assert "(likely in 3 of 10 weathers); else wait for it" in text
    assert "by the forecast itself at 14:10; about 0.8 gal of syrup in 2 draws" in text
    assert "if it was lit: last wood when" in text
    assert "no syrup most likely, up to 0.8 gal, no fire most likely" in text
    assert "0.0 gal" not in expected_text(PlanWords(plan), plan.days[0])
    assert "(likely in 3 of 10 weathers)" in gauge_text(PlanWords(plan), fire[0])
    assert "if stock 79 gal (likely in 3 of 10 weathers), last wood 15:10" in message(plan)


def test_hours_of_a_fire_that_few_weathers_have_are_of_those(report: PlanReport) -> None:
    """A tenth of the way between none and three hours was told as its most."""
    day = replace(
        report.days[0], fire_s=Range(0.0, 0.0, 960.0), syrup_m3=Range(0.0, 0.0, 0.0015),
        lit_fire_s=Range(9840.0, 12060.0, 15600.0), lit_syrup_m3=Range(0.004, 0.008, 0.02),
    )  # fmt: skip
    text = expected_text(PlanWords(report), day)
    assert "no syrup most likely, up to 5.3 gal, no fire most likely, up to 4 h 20 min" in text


def test_such_hours_are_those_of_the_weathers_that_light_it(whately_2015: HourlyWeather) -> None:
    now_s = local_s("2015-03-14 05:10")
    known = forecast_from(whately_2015, now_s, 24)
    levels = usual_levels(sap=gallons(60, 2.0), stock=gallons(20, 6.0))
    found, planned = plan_with_grounds(demo_plant(), known, levels, now_s, 24)
    fire_s = planned.checked.totals_by_day()[0][:, at.FIRE_S]
    lit_s = found.days[0].lit_fire_s
    assert (lit_s is None) == (fire_s.max() == 0.0)
    if lit_s is not None:
        assert fire_s[fire_s > 0.0].min() <= lit_s.low <= lit_s.high <= fire_s.max()


def test_a_likely_fire_is_told_without_a_number(report: PlanReport) -> None:
    plan = _with(report, *_fire(report, 0.725), low=False)
    text = " ".join("\n".join(plan_lines(plan)).split())
    assert "10 weathers" not in text
    assert "expected at 14:10" in text
    assert "if it was lit" not in text


def test_a_later_day_s_fire_and_one_at_need_say_it_too(report: PlanReport) -> None:
    light, go = _fire(report, 0.3)
    later = replace(report.days[0], begin_s=report.end_s, actions=(light, go))
    plan = replace(report, days=(report.days[0], later))
    ((_, said),) = later_texts(PlanWords(plan), plan.days[0])
    assert said == "13:10 light the fire (likely in 3 of 10 weathers)"
    hardly = replace(later, actions=(replace(light, probability=0.04),))
    assert not list(
        later_texts(PlanWords(replace(plan, days=(plan.days[0], hardly))), plan.days[0])
    )
    need = _with(report, replace(light, kind="fire at need", probability=0.2))
    text = " ".join("\n".join(plan_lines(need)).split())
    assert "by the forecast itself about 14:10; 0.8 gal of syrup in 2 draws" in text
    assert "likely in 2 of 10 weathers" in text
