"""What is explained of the lines that sum up or compare: its parts make the number that is told."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace

import pytest

from planning_cases import demo_house, forecast_from, gallons, local_s, quick
from sugarwright.cli.output import as_json
from sugarwright.cli.plan_explain_text import explanation_lines
from sugarwright.planning.explain import explain
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import PlanReport
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house_gathering import Trips
from sugarwright.plant.state import Levels
from sugarwright.saying.plan_ifs import limits_text
from sugarwright.saying.plan_words import PlanWords
from sugarwright.units import DURATION
from sugarwright.weather.hours import HourlyWeather

HOURS = 48
FULL = Levels(gallons(400, 1.9, 10), gallons(60, 4.9, 5), gallons(200, 0.0), pan_brix=12.0)
Told = tuple[PlanReport, Planned]


@pytest.fixture(scope="module", autouse=True)
def _quick() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        yield


@pytest.fixture(scope="module")
def full(whately_2015: HourlyWeather) -> Told:
    """Return the plan of a morning of a working day, with a sap tank that is nearly full."""
    now_s = local_s("2015-03-23 05:10")
    known = forecast_from(whately_2015, now_s, HOURS)
    return plan_with_grounds(assemble(demo_house()), known, FULL, now_s, HOURS)


def _said(told: Told, what: str) -> str:
    report, planned = told
    return " ".join(" ".join(explanation_lines(report, explain(planned, report, what))).split())


def test_lines_of_more_add_up_to_what_the_plan_tells_of_each_limit(full: Told) -> None:
    report, planned = full
    found = explain(planned, report, "more")
    assert [each.limit for each in found.more] == list(report.limits)
    assert any(limit.money > 3.0 for limit in report.limits)
    for more in found.more:
        gains = [line.plan_money - line.other_money for line in more.lines]
        *parts, net = gains
        assert sum(parts) == pytest.approx(net, abs=1e-6)
        assert net == pytest.approx(more.difference_money, abs=1e-6)
        assert max(0.0, net) == pytest.approx(more.limit.money, abs=1e-6)
        if more.lines[-2].name != "broken":
            mean = sum(more.by_weather) / len(more.by_weather)
            assert mean == pytest.approx(net, abs=1e-6)


def test_more_is_told_in_the_words_of_the_plan(full: Told) -> None:
    report, planned = full
    told, words = _said(full, "more"), PlanWords(report)
    first = limits_text(words).split(" $")[0]
    assert f"{first}: ${report.limits[0].money:.2f}; it gains in" in told
    assert "with it without difference" in told
    document = json.loads(as_json(explain(planned, report, "more")))
    assert len(document["more"]) == len(report.limits)


@pytest.fixture(scope="module")
def fetched(whately_2015: HourlyWeather) -> Told:
    """Return the plan of a free day in the demo's house, a quarter of whose sap is carried."""
    house = demo_house()
    gravity, corner = house.gathering
    carried = replace(corner, way="trips", pump=None, trips=Trips())
    now_s = local_s("2015-03-21 08:10")
    known = forecast_from(whately_2015, now_s, HOURS)
    levels = replace(FULL, sap=gallons(120, 1.9, 5), gathered=(gallons(0), gallons(90)))
    plant = assemble(replace(house, gathering=(gravity, carried)))
    return plan_with_grounds(plant, known, levels, now_s, HOURS, brief=True)


def _work(told: Told) -> dict[str, float]:
    """Check that parts and hours of a day's work add up; return the parts."""
    report, planned = told
    found, day = explain(planned, report, "work"), report.days[report.main_day]
    assert sum(each.duration_s for each in found.work) == pytest.approx(day.work_s.middle, abs=1.0)
    assert found.middle == pytest.approx(day.work_s.middle)
    stays = sum((each.end_s - each.begin_s) * each.people for each in found.given)
    assert stays == pytest.approx(day.given_s)
    assert all(each.duration_s > 0.0 for each in found.work)
    return {each.chore or each.what: each.duration_s for each in found.work}


def test_parts_of_the_work_add_up_to_what_the_plan_says_of_the_day(full: Told) -> None:
    report, planned = full
    parts, p = _work(full), planned.plant.p
    day = report.days[report.main_day]
    assert day.fire_s.low <= parts["fire"] <= day.fire_s.high
    hands = parts["membrane stopped"] / p[at.STOP_HANDS_S]
    assert hands == pytest.approx(round(2 * hands) / 2)  # of two weathers: nothing else is in it
    told = _said(full, "work")
    assert f"together {PlanWords(report).show(day.work_s.middle, DURATION)} You give" in told


def test_fetching_sap_is_a_part_of_the_work(fetched: Told) -> None:
    _, planned = fetched
    parts, p = _work(fetched), planned.plant.p
    assert parts["trips"] > 600.0
    hands = parts.get("membrane stopped", 0.0) / p[at.STOP_HANDS_S]
    assert hands == pytest.approx(round(2 * hands) / 2, abs=1e-6)  # nor any of a trip
