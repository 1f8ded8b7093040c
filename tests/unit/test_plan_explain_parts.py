"""What is explained of the lines that sum up or compare: its parts make the number that is told."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from outside_cases import NOBODY
from planning_cases import demo_house, forecast_from, gallons, local_s, quick, usual_levels
from sugarwright.cli.output import as_json
from sugarwright.cli.plan_explain_text import explanation_lines
from sugarwright.planning.changes import AGREED, changes_of
from sugarwright.planning.choices import END_OF_DAY, NOT
from sugarwright.planning.explain import explain
from sugarwright.planning.marks import AIR_ERRS_K
from sugarwright.planning.outlook import spread
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Day, PlanReport
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house_gathering import Trips
from sugarwright.plant.state import Levels
from sugarwright.saying.plan_ifs import change_text, limits_text, no_fire_texts
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


def test_a_day_on_which_nobody_is_there_has_no_parts(nobody: Told) -> None:
    assert not _work(nobody)
    assert _said(nobody, "work") == "Monday asks for no work. Nobody is there that day."


def test_fetching_sap_is_a_part_of_the_work(fetched: Told) -> None:
    _, planned = fetched
    parts, p = _work(fetched), planned.plant.p
    assert parts["trips"] > 600.0
    hands = parts.get("membrane stopped", 0.0) / p[at.STOP_HANDS_S]
    assert hands == pytest.approx(round(2 * hands) / 2, abs=1e-6)  # nor any of a trip


@pytest.fixture(scope="module")
def nobody(whately_2015: HourlyWeather) -> Told:
    """Return the plan of two days on which nobody comes, pump and line full, frost to come."""
    now_s = local_s("2015-03-16 16:00")
    known = forecast_from(whately_2015, now_s, HOURS)
    plant = assemble(replace(demo_house(), people=NOBODY))
    levels = replace(FULL, membrane_on=True, gathered=(gallons(0), gallons(100)))
    return plan_with_grounds(plant, known, levels, now_s, HOURS, brief=True)


def _watched(told: Told) -> set[str]:
    """Check that what comes in each weather makes up what is told; return of what it is."""
    report, planned = told
    found = explain(planned, report, "watch").watched
    assert [each.watch for each in found] == list(report.watch)
    for each in found:
        times = [at_s for at_s in each.by_weather if at_s is not None]
        assert len(each.by_weather) == report.weathers
        assert len(times) / report.weathers == pytest.approx(each.watch.probability)
        assert all(planned.weathers.checked.begin_s <= at_s <= report.end_s for at_s in times)
        lost = [lost_m3 for lost_m3 in each.lost_m3 if lost_m3 is not None]
        if each.watch.lost_m3 is None:
            assert not lost
        else:
            assert len(lost) == len(times)
            assert each.watch.lost_m3 == pytest.approx(np.median(lost))
        if "nobody there" not in each.watch.what:  # a frost has the forecast's own hour
            assert each.watch.time_s == pytest.approx(np.median(times), abs=1.0)
            assert each.watch.early_s == pytest.approx(np.quantile(times, 0.1), abs=1.0)
    return {each.watch.what for each in found}


def test_weathers_in_which_something_comes_make_up_what_is_told_of_it(
    full: Told, fetched: Told, nobody: Told
) -> None:
    seen = _watched(full) | _watched(fetched) | _watched(nobody)
    assert {"sap tank full", "membrane stops alone", "gathering tank full"} <= seen
    assert "frost with nobody there" in seen
    assert any("lost then, the least first:" in _said(told, "watch") for told in (full, nobody))


def test_a_frost_with_nobody_there_comes_in_the_night_that_is_told(nobody: Told) -> None:
    report, planned = nobody
    (frost,) = (
        each
        for each in explain(planned, report, "watch").watched
        if each.watch.what == "frost with nobody there"
    )
    assert frost.watch.time_s is not None
    for at_s in frost.by_weather:
        assert at_s is None or abs(at_s - frost.watch.time_s) < 24 * 3600
    told = _said(nobody, "watch")
    assert f"in {round(40 * frost.watch.probability)} of 40 weathers" in told
    clocks = Counter(PlanWords(report).clock(each) for each in frost.by_weather if each)
    clock, count = clocks.most_common(1)[0]
    assert count > 1
    assert f"{clock} (in {count})" in told


def test_a_plan_with_nothing_to_watch_for_says_so(full: Told) -> None:
    report, planned = full
    bare = replace(report, watch=())
    told = " ".join(explanation_lines(bare, explain(planned, bare, "watch")))
    assert "Nothing that the plan watches for" in told


@pytest.fixture(scope="module")
def forgetful(whately_2015: HourlyWeather) -> Told:
    """Return a plan that forgot a fire, near the level at which lighting one begins to pay."""
    now_s = local_s("2015-03-21 05:10")
    known = forecast_from(whately_2015, now_s, HOURS)
    levels = usual_levels(sap=gallons(5, 2.0, 1), stock=gallons(75, 9.0, 10), pan_brix=30.0)
    report, planned = plan_with_grounds(
        assemble(demo_house()), known, levels, now_s, HOURS, brief=True
    )
    lazy = planned.plan.copy()
    lazy[:, [at.FIRE_START, at.WASH_AT, at.MEMBRANE_START]] = NOT
    lazy[:, [at.FIRE_CALL_M3, at.MEMBRANE_CALL_M3]] = 0.0
    lazy[0, at.MEMBRANE_START] = planned.menu.starts[0][1]
    lazy[0, at.MEMBRANE_STOP] = END_OF_DAY
    lazy[0, at.MEMBRANE_FLOW_M3_S] = planned.menu.flows_m3_s[3]
    idle = Planned(
        planned.plant, planned.menu, planned.weathers, planned.state, lazy, planned.habit
    )
    return replace(report, changes=changes_of(idle)), idle


def test_a_change_is_worth_what_the_runs_beyond_its_mark_make_of_it(
    full: Told, forgetful: Told
) -> None:
    seen = 0
    for report, planned in (full, forgetful):
        marks = explain(planned, report, "if").marks
        assert [each.change for each in marks] == list(report.changes)
        for each in marks:
            beyond, change = each.beyond, each.change
            assert beyond.other_money - beyond.plan_money == pytest.approx(change.money)
            assert beyond.wins >= AGREED * beyond.runs
            assert each.weathers / report.weathers == pytest.approx(change.probability)
            assert beyond.runs + each.within.runs == report.weathers  # of 2 x 40 runs one half
            most = max(each.tried, key=lambda tried: tried.gain_money)
            found = each.found.runs * (each.found.other_money - each.found.plan_money)
            assert most.gain_money == pytest.approx(found)
            if change.what in ("sap", "stock"):
                tried = {one.mark: one.gain_money for one in each.tried}
                assert tried[change.level_m3 or 0.0] == pytest.approx(most.gain_money)
            seen += 1
    assert seen
    report, planned = forgetful
    told = _said(forgetful, "if")
    assert "runs plan other way gains wins in beyond the mark" in told
    assert change_text(PlanWords(report), report.changes[0])[1:] in told


def test_levels_that_ask_for_another_plan_are_read_from_the_weathers(full: Told) -> None:
    report, planned = full
    off = explain(planned, report, "if").off_course
    assert off is not None
    assert spread(np.array(off.by_weather)) == off.mark.held_m3
    assert off.mark == report.mark
    assert off.weathers_under <= 0.1 * report.weathers
    assert off.weathers_over <= 0.1 * report.weathers


def test_marks_of_the_air_are_read_from_the_weathers(full: Told) -> None:
    report, planned = full
    off = explain(planned, report, "if").off_air
    assert off is not None
    assert off.mark == report.air_mark
    assert report.begin_s + 3600 <= off.mark.time_s <= report.begin_s + 13 * 3600
    air_c, middle_c = np.array(off.by_weather), float(np.median(off.by_weather))
    ahead_s = off.mark.time_s - planned.weathers.checked.begin_s
    step = int(ahead_s // planned.plant.step_s)
    hour = int(planned.weathers.checked.calendar[step, at.HOUR])
    assert (air_c == planned.weathers.checked.air_c[:, hour]).all()
    assert off.mark.low_c == min(np.quantile(air_c, 0.1), middle_c - AIR_ERRS_K)
    assert off.mark.high_c == max(np.quantile(air_c, 0.9), middle_c + AIR_ERRS_K)
    assert off.weathers_under == int((air_c < off.mark.low_c).sum())
    assert off.weathers_over == int((air_c > off.mark.high_c).sum())
    ahead_c = planned.weathers.forecast.air_c[0, hour]
    assert ahead_c >= planned.weathers.forecast.air_c[0, hour - 1]
    bare = replace(report, changes=(), mark=None)
    quiet = replace(bare, days=tuple(_without_fires(each) for each in bare.days))
    told = " ".join(" ".join(explanation_lines(quiet, explain(planned, quiet, "if"))).split())
    assert "The air is under" in told
    assert f"{off.weathers_under} are under the lower, {off.weathers_over} over" in told
    assert "The air is under" not in _said(full, "if")  # other lines are enough there


def _without_fires(day: Day) -> Day:
    return replace(day, actions=tuple(a for a in day.actions if a.kind != "light the fire"))


def test_the_gauge_of_a_fire_is_told_as_that_of_its_action(full: Told) -> None:
    report, planned = full
    gauges = explain(planned, report, "if").fire_gauges
    assert gauges
    told = _said(full, "if")
    for gauge in gauges:
        action = report.days[report.main_day].actions[gauge.number - 1]
        assert action.kind == "light the fire"
        assert gauge.latest_s == action.latest_s
        for line in no_fire_texts(PlanWords(report), action):
            assert f"{line[1:]}. No two plans are compared" in told
            assert f"is the gauge of action {gauge.number} (--explain {gauge.number})" in told


def test_a_plan_that_nothing_would_change_says_so(full: Told) -> None:
    report, planned = full
    days = tuple(replace(each, actions=()) for each in report.days)
    empty = replace(report, days=days, changes=(), mark=None)
    assert list(explanation_lines(empty, explain(planned, empty, "if"))) == [
        "Nothing that could be seen would change this plan."
    ]


@pytest.mark.parametrize("what", ["more", "work", "watch", "if"])
def test_each_has_its_document(full: Told, what: str) -> None:
    report, planned = full
    document = json.loads(as_json(explain(planned, report, what)))
    assert document["of"] == what
