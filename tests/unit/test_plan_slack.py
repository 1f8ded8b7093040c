"""How free an hour is said to be, and what a full day's machine is said to be worth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from planning_cases import (
    demo_house,
    forecast_from,
    gallons,
    local_s,
    quick,
    usual_levels,
)
from sugarwright.cli.plan_explain_text import explanation_lines
from sugarwright.cli.plan_text import plan_lines
from sugarwright.planning.action import Action
from sugarwright.planning.choices import NOT
from sugarwright.planning.course import net_money
from sugarwright.planning.explain import explain
from sugarwright.planning.judging import values_of
from sugarwright.planning.outlook import lost_m3
from sugarwright.planning.planned import CHOSEN, Planned
from sugarwright.planning.report import PlanReport
from sugarwright.planning.slack import SLACK_MONEY, time_s, try_starts
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.simulate import run_many
from sugarwright.plant.state import Levels
from sugarwright.saying.plan_actions import slack_texts
from sugarwright.saying.plan_words import PlanWords
from sugarwright.weather.hours import HourlyWeather

SATURDAY, MONDAY = "2015-03-21 05:10", "2015-03-23 05:10"  # people all day; morning and evening
HOURS = 48
FULL = Levels(gallons(425, 1.9, 10), gallons(48, 6.0, 5), gallons(200, 0.0), pan_brix=20.0)
STOCK_FULL = replace(FULL, sap=gallons(220, 2.0, 5), stock=gallons(133, 7.0, 5))
RUNNING = replace(FULL, membrane_on=True)
CALLS = {at.MEMBRANE_START: at.MEMBRANE_CALL_M3, at.FIRE_START: at.FIRE_CALL_M3}
Told = tuple[PlanReport, Planned]


@pytest.fixture(scope="module", autouse=True)
def _quick() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        yield


def _plan(truth: HourlyWeather, now: str, levels: Levels) -> Told:
    now_s = local_s(now)
    known = forecast_from(truth, now_s, HOURS)
    return plan_with_grounds(assemble(demo_house()), known, levels, now_s, HOURS, brief=True)


@pytest.fixture(scope="module")
def mornings(whately_2015: HourlyWeather) -> list[Told]:
    """Return plans of mornings with full and usual tanks, of a free day and of a working day."""
    levels = (FULL, STOCK_FULL, usual_levels(), RUNNING)
    return [_plan(whately_2015, now, each) for now in (SATURDAY, MONDAY) for each in levels]


def _actions(told: Told) -> Iterator[tuple[int, Action]]:
    for day, each in enumerate(told[0].days):
        yield from ((day, action) for action in each.actions)


def _worth(planned: Planned) -> float:
    """What the plan is worth as it stands."""
    plans = planned.plan[np.newaxis]
    runs = run_many(planned.plant, planned.weathers.checked, plans, planned.state)
    return float(values_of(planned.plant, runs)[0])


def _waited_for(planned: Planned, day: int, action: Action, at_s: int) -> float:
    """What the plan is worth if somebody waits with an action until then, whatever calls for it.

    Until then the action is not in the plan at all, and nothing calls for it; from then on it is,
    at that hour; a fire is kept as long as it would have been.
    """
    plant, drive, start = planned.plant, planned.weathers.checked, CHOSEN[action.kind]
    step, told = ((each - drive.begin_s) // 300 for each in (at_s, action.time_s))
    before, after = planned.plan.copy(), planned.plan.copy()
    before[day, start] = NOT
    if start in CALLS:
        before[day, CALLS[start]] = 0.0
    after[day, start] = minute = drive.calendar[step, at.MINUTE]
    if start == at.FIRE_START:
        later_min = minute - drive.calendar[told, at.MINUTE]
        after[day, at.FIRE_STOP] = min(1440.0, planned.plan[day, at.FIRE_STOP] + later_min)
    until = run_many(plant, drive, before[np.newaxis], planned.state, last=step)
    rest = run_many(plant, drive, after[np.newaxis], until.states, first=step, totals=until.totals)
    return float(values_of(plant, rest)[0])


def test_whoever_waits_until_an_end_of_a_span_loses_no_more_than_is_said(
    mornings: list[Told],
) -> None:
    """A full tank calls for the machine meanwhile; whoever waits lets it call."""
    carried_out = called = 0
    for told in mornings:
        _, planned = told
        worth = _worth(planned)
        for day, action in _actions(told):
            if action.slack is None:
                continue
            for end_s in (action.slack.earliest_s, action.slack.latest_s):
                cost = worth - _waited_for(planned, day, action, end_s)
                assert cost <= action.slack.costs_less_than_money + 1e-6, (action.kind, cost)
            carried_out += 1
            call = CALLS.get(CHOSEN[action.kind])
            called += call is not None and planned.plan[day, call] > 0.0
    assert carried_out > called > 0


def test_a_span_ends_where_nobody_is_there_or_it_is_too_late(mornings: list[Told]) -> None:
    spans = 0
    for told in mornings:
        drive = told[1].weathers.forecast
        for _, action in _actions(told):
            if action.slack is None:
                continue
            first, last = (
                (each - drive.begin_s) // 300
                for each in (action.slack.earliest_s, action.slack.latest_s)
            )
            assert first < last
            assert (drive.calendar[first : last + 1, at.PEOPLE] > 0.0).all()
            assert told[0].begin_s <= action.slack.earliest_s <= action.time_s
            assert action.time_s <= action.slack.latest_s
            assert action.latest_s is None or action.slack.latest_s <= action.latest_s
            spans += 1
    assert spans


def test_a_span_is_as_long_as_its_hours_cost_little(mornings: list[Told]) -> None:
    """It is walked from the hour told outwards, and agrees with what each hour costs."""
    outside = 0
    for report, planned in mornings:
        people = planned.weathers.checked.calendar[:, at.PEOPLE]
        for day, action in _actions((report, planned)):
            if action.slack is None:
                continue
            tried = try_starts(planned, day, action, report.begin_s)
            assert tried is not None
            costs = tried.as_planned - tried.values
            times_s = [time_s(planned, int(step)) for step in tried.steps]
            first, last = map(times_s.index, (action.slack.earliest_s, action.slack.latest_s))
            assert (costs[first : last + 1] <= action.slack.costs_less_than_money).all()
            if last + 1 < len(costs) and action.latest_s is None:
                span = people[tried.steps[last] : tried.steps[last + 1] + 1]
                assert costs[last + 1] > action.slack.costs_less_than_money or not span.all()
                outside += 1
    assert outside


def test_an_hour_that_is_not_free_says_what_the_next_one_costs(mornings: list[Told]) -> None:
    """Carried out, with whoever waits letting a full tank call, it costs what is said."""
    delays = 0
    for told in mornings:
        _, planned = told
        drive, worth = planned.weathers.checked, _worth(planned)
        for day, action in _actions(told):
            if action.delay is None:
                continue
            assert action.slack is None
            assert action.time_s < action.delay.time_s <= (action.latest_s or action.delay.time_s)
            step, later = (
                (each - drive.begin_s) // 300 for each in (action.time_s, action.delay.time_s)
            )
            assert (drive.calendar[step : later + 1, at.PEOPLE] > 0.0).all()
            cost = worth - _waited_for(planned, day, action, action.delay.time_s)
            assert cost == pytest.approx(action.delay.costs_money, abs=1e-6)
            assert cost > SLACK_MONEY
            said = "; ".join(slack_texts(PlanWords(told[0]), action))
            assert f"instead it costs ${cost:.0f}" in said
            delays += 1
    assert delays


def test_what_a_full_tank_is_expected_to_call_for_waits_for_no_hour(mornings: list[Told]) -> None:
    called = [a for told in mornings for _, a in _actions(told) if a.own_hour is not None]
    assert called
    assert all(action.slack is None for action in called)


def test_what_runs_already_is_not_put_off(mornings: list[Told]) -> None:
    running = [
        (told, day, action)
        for told in mornings
        for day, action in _actions(told)
        if action.kind == "membrane runs on"
    ]
    assert running
    for (report, planned), day, action in running:
        assert action.slack is None
        begin_s, end_s = report.days[day].begin_s, report.days[day].end_s
        starts = explain(planned, report, "slack").starts
        assert starts
        assert not [
            each for each in starts
            if each.kind == "membrane on" and begin_s <= each.time_s < end_s
        ]  # fmt: skip


def test_other_hours_cost_what_waiting_for_them_does(mornings: list[Told]) -> None:
    report, planned = mornings[0]
    (day, action), *_ = [each for each in _actions(mornings[0]) if each[1].kind == "membrane on"]
    assert planned.plan[day, at.MEMBRANE_CALL_M3] > 0.0
    runs = run_many(
        planned.plant, planned.weathers.checked, planned.plan[np.newaxis], planned.state
    )
    worth = float(values_of(planned.plant, runs)[0])
    late = explain(planned, report, "slack").starts
    noon = [each for each in late if each.kind == "membrane on" and each.time_s > action.time_s]
    for start in noon[:: len(noon) // 4]:
        cost = worth - _waited_for(planned, day, action, start.time_s)
        assert start.costs_money == pytest.approx(cost, abs=1e-6)
    assert max(each.costs_money for each in noon) > 20.0  # a full tank runs over meanwhile


def test_on_a_full_day_the_reason_is_that_of_the_machine(mornings: list[Told]) -> None:
    """Its hour left out, the tank calls all the same; the day without it is another."""
    told, found = mornings[4], 0
    report, planned = told
    base = run_many(
        planned.plant, planned.weathers.checked, planned.plan[np.newaxis], planned.state
    )
    for number, (day, action) in enumerate(_actions(told), 1):
        if action.reason is None or not action.reason.of_day or day:
            continue
        column, plan = CHOSEN[action.kind], planned.plan.copy()
        hour_out = plan.copy()
        hour_out[day, column] = NOT
        plan[day, column], plan[day, CALLS[column]] = NOT, 0.0
        runs = run_many(
            planned.plant, planned.weathers.checked, np.stack([plan, hour_out]), planned.state
        )
        lost = net_money(planned.plant, base).mean() - net_money(planned.plant, runs).mean(axis=1)
        assert action.reason.money == pytest.approx(lost[0], abs=1e-6)
        assert lost[0] > 10.0 * lost[1]
        spilled = lost_m3(planned.plant, runs.totals[0]) - lost_m3(planned.plant, base.totals[0])
        assert action.reason.spilled_m3 == pytest.approx(float(spilled.mean()), abs=1e-9)
        traced = explain(planned, report, str(number))
        assert traced.of_day
        assert traced.mean == pytest.approx(action.reason.money, abs=1e-6)
        found += 1
    assert found == 2  # fire and membrane
    text = " ".join(" ".join(plan_lines(report)).split())
    assert "without the membrane today: $" in text
    assert "without a fire today: $" in text


def test_such_a_reason_is_explained_in_the_words_of_the_plan(mornings: list[Told]) -> None:
    report, planned = mornings[4]
    actions = report.days[0].actions
    number = 1 + [each.kind for each in actions].index("light the fire")
    said = " ".join(
        " ".join(explanation_lines(report, explain(planned, report, str(number)))).split()
    )
    assert "calls for it all the same, and hardly anything changes" in said
    assert "without a fire today, all else the same" in said
    assert "Without its hour" not in said
