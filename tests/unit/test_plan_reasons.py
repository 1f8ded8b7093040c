"""What a plan says beyond its actions: reasons, what would change it, limits, traced numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, replace
from importlib.resources import as_file, files

import numpy as np
import pytest

from planning_cases import (
    GALLON_M3,
    demo_house,
    demo_plant,
    forecast_from,
    gallons,
    local_s,
    quick,
    usual_levels,
)
from sugarwright.cli.plan_explain_text import explanation_lines
from sugarwright.cli.plan_text import plan_lines
from sugarwright.cli.plan_words import Words
from sugarwright.errors import InputError
from sugarwright.planning import choices as of
from sugarwright.planning.action import Reason
from sugarwright.planning.changes import LEAST_MONEY, MOST_LINES, MOST_SHARE, changes_of
from sugarwright.planning.choices import habit_rows, make_menu
from sugarwright.planning.course import breaks, follow, net_money
from sugarwright.planning.explain import QUANTITIES, explain
from sugarwright.planning.idle import idle_of
from sugarwright.planning.limits import limits_of
from sugarwright.planning.plainer import GUARD_MONEY
from sugarwright.planning.planned import Place, Planned, without
from sugarwright.planning.reasons import CALLS, of_day, runs_again, without_losses
from sugarwright.planning.report import Change, Limit, PlanReport
from sugarwright.planning.today import plan_with_grounds
from sugarwright.planning.together import losing_together
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.simulate import run_many
from sugarwright.plant.state import Levels, start_state
from sugarwright.saying.plan_ifs import change_text, idle_text, limits_text
from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.hours import HourlyWeather
from sugarwright.weather.none_known import none_known

SATURDAY = "2015-03-21 05:10"  # a run; people all day
HOURS = 48


@pytest.fixture(scope="module", autouse=True)
def _quick() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        yield


def _plan(
    truth: HourlyWeather, now: str = SATURDAY, levels: Levels | None = None
) -> tuple[PlanReport, Planned]:
    now_s = local_s(now)
    known = forecast_from(truth, now_s, HOURS)
    return plan_with_grounds(demo_plant(), known, levels or usual_levels(), now_s, HOURS)


@pytest.fixture(scope="module")
def saturday(whately_2015: HourlyWeather) -> tuple[PlanReport, Planned]:
    """Return the plan of a Saturday with a run."""
    return _plan(whately_2015)


@pytest.fixture(scope="module")
def winter(whately_2015: HourlyWeather) -> tuple[PlanReport, Planned]:
    """Return the plan of a day in deep winter, tanks empty."""
    return _plan(whately_2015, "2015-02-15 05:10", Levels())


# --- one run for many questions ------------------------------------------------------------------


def test_going_on_from_a_midnight_is_running_through(
    saturday: tuple[PlanReport, Planned],
) -> None:
    _, planned = saturday
    drive = planned.weathers.checked
    straight = run_many(planned.plant, drive, planned.plan[np.newaxis], planned.state)
    ends = planned.checked.ends
    assert np.array_equal(straight.totals, ends[-1].totals)
    assert np.array_equal(straight.states, ends[-1].states)
    for day in range(len(ends)):  # and so is a plan that differs only later
        other = planned.plan.copy()
        other[day, at.FIRE_START] = of.NOT
        gone_on = planned.checked.on_from(day, other[np.newaxis])
        straight = run_many(planned.plant, drive, other[np.newaxis], planned.state)
        assert np.array_equal(straight.totals, gone_on.totals)
    days = sum(planned.checked.totals_by_day())
    through = ends[-1].totals[0]
    for place in (at.SAP_WATER_KG, at.FIRE_S, at.HANDS_MONEY, at.ELECTRICITY_J):
        assert days[:, place] == pytest.approx(through[:, place], rel=1e-12, abs=1e-9)


# --- nothing that loses --------------------------------------------------------------------------


def _may_cost(place: Place) -> float:
    """What a full tank calls for may cost a little in weathers without a great run."""
    return GUARD_MONEY if place[1] in CALLS else 1e-6


def test_no_action_of_a_plan_loses(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    reasons = [a.reason for day in report.days for a in day.actions if a.reason is not None]
    assert reasons
    assert min(reason.money for reason in reasons) >= 0.0
    base = net_money(planned.plant, planned.checked.ends[-1]).mean()
    for place in planned.places():  # asked again, straight through
        other = follow(
            planned.plant, planned.weathers.checked, without(planned.plan, place), planned.state
        )
        spared = net_money(planned.plant, other.ends[-1]).mean() - base
        assert spared <= _may_cost(place) or breaks(other.ends[-1]) > breaks(
            planned.checked.ends[-1]
        )


def test_a_start_that_loses_is_left_out(saturday: tuple[PlanReport, Planned]) -> None:
    """A wash of a clean membrane every morning costs its cleaner and half an hour."""
    _, planned = saturday
    plan = planned.plan.copy()
    plan[:, at.WASH_AT], plan[:, at.WASH_AFTER_S] = 9 * 60.0, 0.0
    worse = Planned(
        planned.plant, planned.menu, planned.weathers, planned.state, plan, planned.habit
    )
    better, reasons = without_losses(worse)
    assert (better.plan[:, at.WASH_AT] < 0.0).any()
    assert all(reason.money >= -_may_cost(place) for place, reason in reasons.items())
    gain = net_money(worse.plant, better.checked.ends[-1]) - net_money(
        worse.plant, worse.checked.ends[-1]
    )
    assert gain.mean() > 0.0


@pytest.fixture(scope="module")
def dear_hours() -> Planned:
    """Return a plan of the demo's Thursday that makes no syrup: at $45 an hour none is worth it.

    It runs the membrane all the same, and washes it, for a sap tank that would call tomorrow.
    """
    demo = files("sugarwright") / "demo"
    house = parse_house((demo / "sugarhouse.toml").read_text(encoding="utf-8"))
    dear = tuple(replace(person, hour_money_s=45.0 / 3600.0) for person in house.people)
    plant = assemble(replace(house, people=dear))
    now_s = local_s("2026-03-19 05:10")
    with as_file(demo / "weather.csv") as file:
        weathers = make_weathers(plant, read_weather_csv(file), now_s, 72, now_s - now_s % 3600)
    levels = Levels(gallons(270, 2.0), gallons(50, 4.6), gallons(249, 0.0), pan_brix=14.0)
    state = start_state(plant, levels)
    menu = make_menu(plant, weathers.searched, state)
    habit = habit_rows(plant, menu.days)
    plan, per_minute = habit.copy(), GALLON_M3 / 60.0
    plan[:, [at.MEMBRANE_START, at.WASH_AT, at.FIRE_START]] = of.NOT
    plan[:, [at.NIGHT_FLOW_M3_S, at.PASS_AGAIN_BRIX, at.CALL_FLOW_M3_S]] = 0.0
    plan[:, [at.MEMBRANE_STOP, at.FIRE_STOP]] = of.END_OF_DAY
    plan[:, at.WASH_AFTER_S] = 3 * 3600.0
    plan[:, [at.FIRE_STOCK_M3, at.MEMBRANE_SAP_M3]] = 30 * GALLON_M3, 45 * GALLON_M3
    plan[:, [at.MEMBRANE_CALL_M3, at.FIRE_CALL_M3]] = 400 * GALLON_M3, 125 * GALLON_M3
    plan[2, at.MEMBRANE_CALL_M3] = 0.0
    plan[:, at.MEMBRANE_FLOW_M3_S] = 0.15 * per_minute
    plan[1, at.CALL_FLOW_M3_S] = 0.39 * per_minute
    plan[0, at.MEMBRANE_START], plan[0, at.WASH_AT] = 17 * 60.0, 21 * 60.0
    plan[0, at.MEMBRANE_SAP_M3] = 150 * GALLON_M3
    plan[0, at.MEMBRANE_FLOW_M3_S] = 0.31 * per_minute
    return Planned(plant, menu, weathers, state, plan, habit)


def test_what_loses_only_together_is_left_out(dear_hours: Planned) -> None:
    planned = dear_hours
    net = net_money(planned.plant, planned.checked.ends[-1]).mean()
    for place in planned.places():  # each alone is worth keeping
        other = follow(
            planned.plant, planned.weathers.checked, without(planned.plan, place), planned.state
        )
        assert net_money(planned.plant, other.ends[-1]).mean() - net <= _may_cost(place)
    better, reasons = without_losses(planned)
    gain = net_money(planned.plant, better.checked.ends[-1]).mean() - net
    assert gain > GUARD_MONEY
    assert better.plan[0, at.MEMBRANE_START] < 0.0
    assert (0, at.MEMBRANE_START) not in reasons
    assert losing_together(better, set(), dict.fromkeys(reasons, -GUARD_MONEY)) is None
    settled, _ = without_losses(planned, frozenset({(0, at.MEMBRANE_START)}))
    assert settled.plan[0, at.MEMBRANE_START] == planned.plan[0, at.MEMBRANE_START]


# --- what would change it ------------------------------------------------------------------------


def test_changes_are_few_worth_it_and_not_the_rule(
    saturday: tuple[PlanReport, Planned],
) -> None:
    report, planned = saturday
    assert len(report.changes) <= MOST_LINES
    for change in report.changes:
        assert change.money > LEAST_MONEY
        assert 0.0 < change.probability <= MOST_SHARE
        assert report.begin_s < change.time_s < report.end_s
    assert changes_of(planned) == report.changes


def test_a_plan_that_forgot_a_fire_is_told_of_it(whately_2015: HourlyWeather) -> None:
    """A day with much concentrate, and no fire planned: a look finds that lighting would pay.

    With the stock nearly always high that is no exception but the rule, and no change; with half of
    the weathers below it, it is one. So the levels stand near what a fire is worth lighting for.
    """
    levels = usual_levels(sap=gallons(5, 2.0, 1), stock=gallons(75, 9.0, 10), pan_brix=30.0)
    _, planned = _plan(whately_2015, SATURDAY, levels)
    lazy = planned.plan.copy()
    lazy[:, [at.FIRE_START, at.WASH_AT]] = of.NOT
    lazy[:, [at.FIRE_CALL_M3, at.MEMBRANE_CALL_M3]] = 0.0
    lazy[:, at.MEMBRANE_START] = of.NOT
    lazy[0, at.MEMBRANE_START] = planned.menu.starts[0][1]
    lazy[0, at.MEMBRANE_STOP] = of.END_OF_DAY
    lazy[0, at.MEMBRANE_FLOW_M3_S] = planned.menu.flows_m3_s[3]
    idle = Planned(
        planned.plant, planned.menu, planned.weathers, planned.state, lazy, planned.habit
    )
    changes = changes_of(idle)
    assert changes
    for change in changes:
        assert change.money > LEAST_MONEY
    # the same, where every other way costs more: an hour worth a thousand
    house = demo_house()
    dear = tuple(replace(person, hour_money_s=1000.0 / 3600.0) for person in house.people)
    plant = assemble(replace(house, people=dear))
    calendar = planned.weathers.checked.calendar.copy()
    calendar[:, at.HOUR_MONEY_S] = 1000.0 / 3600.0
    weathers = replace(
        planned.weathers, checked=replace(planned.weathers.checked, calendar=calendar)
    )
    costly = Planned(plant, planned.menu, weathers, planned.state, lazy, planned.habit)
    assert not [change for change in changes_of(costly) if change.instead == "light"]


# --- worth of more -------------------------------------------------------------------------------


def test_more_room_is_worth_something_only_where_it_binds(
    winter: tuple[PlanReport, Planned], whately_2015: HourlyWeather
) -> None:
    report, _ = winter
    assert {limit.what for limit in report.limits} == {
        "sap tank", "stock tank", "permeate tank", "membrane elements", "evening hour", "wood",
    }  # fmt: skip
    assert all(limit.money < 0.5 for limit in report.limits)
    full = usual_levels(sap=gallons(424, 2.0, 5), stock=gallons(133, 7.0, 5))
    _, tight = _plan(whately_2015, SATURDAY, full)
    lazy = Planned(
        tight.plant, tight.menu, tight.weathers, tight.state, _without_all(tight), tight.habit
    )
    worth = {limit.what: limit.money for limit in limits_of(lazy)}
    # nothing is worked off and sap runs: what does not fit is lost
    spilled = lazy.checked.ends[-1].totals[0, :16, at.SPILLED_SUGAR_KG].mean()
    assert spilled > 0.0
    assert worth["sap tank"] > 0.5


def _without_all(planned: Planned) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    plan = planned.plan.copy()
    for place in planned.places():
        plan = without(plan, place)
    return plan


def test_wood_is_worth_something_where_there_is_none(whately_2015: HourlyWeather) -> None:
    levels = usual_levels(wood_m3=0.0, stock=gallons(130, 8.0, 5))
    _, planned = _plan(whately_2015, SATURDAY, levels)
    plan = planned.plan.copy()
    plan[0, at.FIRE_START], plan[0, at.FIRE_STOP] = 9 * 60.0, of.END_OF_DAY
    plan[0, at.FIRE_STOCK_M3] = 0.0
    cold = Planned(
        planned.plant, planned.menu, planned.weathers, planned.state, plan, planned.habit
    )
    assert cold.checked.ends[-1].totals[..., at.FIRE_S].max() == 0.0
    worth = {limit.what: limit.money for limit in limits_of(cold)}
    assert worth["wood"] > 5.0


def test_where_nobody_is_there_no_more_of_anything_is_worth_money() -> None:
    """A crowded tank is the search's own charge, and a wider membrane needs hands to start it."""
    house, now_s, hours = demo_house(), local_s("2015-02-16 05:10"), 24
    away = tuple(replace(each, weekdays=(), weekends=()) for each in house.people)
    plant = assemble(replace(house, people=away))
    levels = usual_levels(sap=gallons(400, 2.0, 5), stock=gallons(0), pan_brix=0.0)
    report, planned = plan_with_grounds(plant, none_known(now_s, hours), levels, now_s, hours)
    assert report.plan.money.crowding < -1.0
    assert report.plan.lost_m3 == 0.0
    assert {limit.what for limit in report.limits} >= {"sap tank", "membrane elements"}
    assert all(limit.money < 0.01 for limit in limits_of(planned))


# --- days with nothing to do ---------------------------------------------------------------------


def test_a_day_with_nothing_to_do_says_why(winter: tuple[PlanReport, Planned]) -> None:
    report, _ = winter
    assert all(day.idle is not None for day in report.days)
    idle = report.days[0].idle
    assert idle is not None
    assert idle.why == "no sap"
    assert idle.next_look_s is not None
    assert idle.next_look_s >= report.days[0].end_s
    text = " ".join(plan_lines(report))
    assert "Nothing to do today." in text
    assert "0 gal in the tanks" in text
    assert "Next look Monday 05:30" in text  # 16 February 2015 was a Monday


def test_a_fire_that_does_not_pay_is_told_with_its_cost(whately_2015: HourlyWeather) -> None:
    """The best fire of a day is at least as good as any one fire of it, run as a plan."""
    _, planned = _plan(whately_2015, SATURDAY, usual_levels(stock=gallons(120, 7.0, 5)))
    quiet = Planned(
        planned.plant, planned.menu, planned.weathers, planned.state, _without_all(planned),
        planned.habit,
    )  # fmt: skip
    idle = idle_of(quiet, 0)
    assert idle.best_fire_money is not None
    assert idle.best_fire_s is not None
    base = net_money(quiet.plant, quiet.checked.ends[-1]).mean()
    hour = planned.menu.lights[0][1]
    lit = quiet.plan.copy()
    lit[0, at.FIRE_START], lit[0, at.FIRE_STOP] = hour, of.END_OF_DAY
    lit[0, at.FIRE_STOCK_M3] = planned.menu.stock_gauges_m3[0]
    runs = run_many(quiet.plant, quiet.weathers.checked, lit[np.newaxis], quiet.state)
    assert (runs.totals[..., at.FIRE_S] > 0.0).mean() > 0.5
    assert idle.best_fire_money >= net_money(quiet.plant, runs).mean() - base - 1e-9


# --- every number traced -------------------------------------------------------------------------


def test_traced_numbers_are_those_printed(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    printed = {
        "syrup": (report.plan.syrup_m3, "syrup_m3"),
        "hours": (report.plan.fire_s, "fire_s"),
        "wood": (report.plan.wood_m3, "wood_m3"),
        "sap": (None, "sap_m3"),
        "power": (None, "energy_j"),
        "permeate": (None, "permeate_m3"),
    }
    for what, (mean, field) in printed.items():
        found = explain(planned, report, what)
        if mean is not None:
            assert found.mean == pytest.approx(mean, rel=1e-9), what
        for day, traced in zip(report.days, found.by_day, strict=True):
            assert asdict(traced) == pytest.approx(asdict(getattr(day, field)), rel=1e-9), what
        hours = sum(hour.amount or 0.0 for hour in found.hours)
        assert hours == pytest.approx(found.forecast_amount, rel=1e-9, abs=1e-12), what
        assert found.hours[-1].time_s == report.end_s


def test_traced_syrup_is_what_the_trace_draws(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    found = explain(planned, report, "syrup")
    drawn_kg = planned.trace.column(at.T_SYRUP_KG)[-1]
    assert drawn_kg > 0.0
    # 66.9 Brix and 20 °C: 1.3323 kg/L by ICUMSA SPS-4 (1998), table of densities at 20 °C, from
    # memory to three digits; the demo's finish is within half a Brix of it, 0.3 % of density
    assert found.forecast_amount == pytest.approx(drawn_kg / 1332.0, rel=5e-3)


def test_traced_money_is_that_printed(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    found = explain(planned, report, "money")
    lines = {line.name: line for line in found.money}
    for name in asdict(report.plan.money).keys() - {"syrup", "left"}:
        assert lines[name].plan_money == pytest.approx(getattr(report.plan.money, name))
        assert lines[name].other_money == pytest.approx(getattr(report.habit.money, name))
    aged = ("syrup", "older", "left")  # what age takes is told apart from what it takes it from
    for way, field in ((report.plan, "plan_money"), (report.habit, "other_money")):
        told = sum(getattr(lines[name], field) for name in aged)
        assert told == pytest.approx(way.money.syrup + way.money.left)
    fresh_money = report.plan.syrup_m3 * planned.plant.house.prices.syrup_money_m3
    assert lines["syrup"].plan_money == pytest.approx(fresh_money)
    assert lines["older"].plan_money < 0.0
    assert found.money[-1].name == "net"
    assert sum(line.plan_money for line in found.money[:-1]) == pytest.approx(found.mean)


def test_what_a_reason_calls_age_is_the_difference_of_that_line(
    saturday: tuple[PlanReport, Planned],
) -> None:
    report, planned = saturday
    told = 0
    for number, action in enumerate(report.days[report.main_day].actions, 1):
        if action.reason is not None:
            (older,) = [
                each for each in explain(planned, report, str(number)).money if each.name == "older"
            ]
            difference = older.plan_money - older.other_money
            assert action.reason.older_money == pytest.approx(difference, abs=1e-9)
            told += 1
    assert told


def test_the_gain_over_the_habit_is_that_printed(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    found = explain(planned, report, "habit")
    gain = report.plan.money.net - report.habit.money.net
    assert found.mean == pytest.approx(gain)
    assert len(found.by_weather) == report.weathers
    assert found.hours[-1].other_sap_m3 is not None


def test_stock_is_traced_to_what_its_tank_holds(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    found = explain(planned, report, "stock")
    (fan,) = [each for each in report.fans if each.what == "stock"]
    assert found.by_day[-1].middle == pytest.approx(fan.middle[-1], abs=1e-4)
    assert found.forecast_amount == found.hours[-1].stock_m3


def test_numbers_of_an_action_are_those_of_its_steps(
    saturday: tuple[PlanReport, Planned],
) -> None:
    report, planned = saturday
    actions = report.days[report.main_day].actions
    number, go = next(
        (n, each) for n, each in enumerate(actions, 1) if each.kind == "let the fire go"
    )
    steps = {step.what: step for step in explain(planned, report, str(number)).steps}
    assert steps["look"].time_s == go.time_s
    assert steps["leave"].time_s == go.leave_s
    assert not steps["out"].fire_on
    assert steps["out"].reserve_m3 == pytest.approx(go.reserve_m3, rel=0.1)
    number, light = next(
        (n, each) for n, each in enumerate(actions, 1) if each.kind.startswith("light the fire")
    )
    steps = {step.what: step for step in explain(planned, report, str(number)).steps}
    assert light.expected_s == steps["begin"].time_s
    assert steps["begin"].fire_on
    assert light.trigger is not None
    assert steps["begin"].stock_m3 >= light.trigger.at_least_m3 - 1e-9


def test_strength_of_the_concentrate_is_read_from_the_sap_of_its_step(
    saturday: tuple[PlanReport, Planned],
) -> None:
    """Of the water that goes in, concentrate and permeate are all that comes out."""
    report, planned = saturday
    found = explain(planned, report, "brix")
    told = [a.concentrate_brix for day in report.days for a in day.actions if a.concentrate_brix]
    assert [step.concentrate_brix for step in found.steps] == told
    for step in found.steps:
        assert step.flow_m3_s
        assert step.permeate_m3_s
        assert step.concentrate_brix
        assert step.membrane_on
        times = 1.0 + step.permeate_m3_s / step.flow_m3_s
        # sugar is kept but for what leaks through, some hundredths; densities differ by as much
        assert step.concentrate_brix == pytest.approx(step.sap_brix * times, rel=0.06)


def test_slack_is_traced_to_what_other_starts_cost(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    starts = explain(planned, report, "slack").starts
    told = 0
    for action in report.days[report.main_day].actions:
        if action.slack is None:
            continue
        day = next(d for d in report.days if d.begin_s <= action.time_s < d.end_s)
        within = [
            each
            for each in starts
            if each.kind == action.kind
            and day.begin_s <= each.time_s < day.end_s
            and action.slack.earliest_s <= each.time_s <= action.slack.latest_s
        ]
        assert any(each.planned for each in within)
        assert all(each.costs_money <= action.slack.costs_less_than_money for each in within)
        told += 1
    assert told
    assert all(each.costs_money == 0.0 for each in starts if each.planned)


def test_what_cannot_be_explained_lists_what_can(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    count = len(report.days[report.main_day].actions)
    with pytest.raises(InputError, match=f"1 to {count} .its actions., syrup, .*slack"):
        explain(planned, report, "99")
    with pytest.raises(InputError, match=r"syrup, .*slack, more, work, watch, if, or the number"):
        explain(planned, report, "banana")
    assert explain(planned, report, "Spilled").of == "lost"


def test_an_action_is_traced_to_its_reason(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    traced = 0
    for number, action in enumerate(report.days[report.main_day].actions, 1):
        found = explain(planned, report, str(number))
        assert found.steps[0].time_s >= report.begin_s
        if action.reason is None:
            assert found.mean is None
            continue
        assert found.mean == pytest.approx(action.reason.money, abs=1e-9)
        lines = sum(line.plan_money - line.other_money for line in found.money[:-1])
        assert lines == pytest.approx(action.reason.money, abs=1e-9)
        traced += 1
    assert traced


def test_an_hour_that_a_full_tank_calls_for_all_the_same_says_so(
    saturday: tuple[PlanReport, Planned],
) -> None:
    report, planned = saturday
    actions = report.days[report.main_day].actions
    number = 1 + [each.kind for each in actions].index("membrane on")
    level_m3 = 60 * GALLON_M3
    plan = planned.plan.copy()
    plan[0, [at.MEMBRANE_START, at.MEMBRANE_STOP]] = 390.0, 1440.0  # as somebody comes in
    plan[0, [at.MEMBRANE_SAP_M3, at.MEMBRANE_CALL_M3, at.CALL_FLOW_M3_S]] = level_m3, level_m3, 0.0
    full = replace(planned, plan=plan)
    found = explain(full, report, str(number))
    assert found.call_m3 == pytest.approx(level_m3)
    assert found.of_day  # the hour alone changes nothing: the day without the membrane is told
    no_hour = without(plan, (0, at.MEMBRANE_START))
    for other, differs in ((no_hour, False), (without(no_hour, (0, at.MEMBRANE_CALL_M3)), True)):
        runs = run_many(full.plant, full.weathers.checked, other[np.newaxis], full.state)
        lost = net_money(full.plant, full.checked.ends[-1]) - net_money(full.plant, runs)
        assert (lost[0].tolist() == pytest.approx(found.by_weather, abs=1e-9)) is differs
        assert lost.any() == differs
    said = " ".join(explanation_lines(report, found))
    assert "its hour left out, a tank with 60 gal calls for it all the same" in said
    assert "without the membrane today, all else the same" in " ".join(said.split())
    plan[0, at.MEMBRANE_CALL_M3] = 0.0
    found = explain(replace(planned, plan=plan), report, str(number))
    assert found.call_m3 is None
    assert any(gain != 0.0 for gain in found.by_weather)


def test_a_start_on_which_later_runs_hang_is_told_as_the_day_s(
    saturday: tuple[PlanReport, Planned],
) -> None:
    report, planned = saturday
    actions = report.days[report.main_day].actions
    number = 1 + [each.kind for each in actions].index("membrane on")
    place, plan = (0, at.MEMBRANE_START), planned.plan.copy()
    plan[0, [at.MEMBRANE_START, at.MEMBRANE_STOP, at.NIGHT_FLOW_M3_S]] = 390.0, 1440.0, 0.0
    plan[0, [at.MEMBRANE_SAP_M3, at.MEMBRANE_CALL_M3]] = 60 * GALLON_M3, 0.0
    often = replace(planned, plan=plan)  # at each filling of the tank
    assert runs_again(often, place)
    alone = {place: Reason(5.0, 0.0, 0.0, 0.0)}
    told = of_day(often, alone)[place]
    found = explain(often, report, str(number))
    assert told.of_day
    assert found.again
    assert found.mean == pytest.approx(told.money, abs=1e-9)
    said = " ".join(" ".join(explanation_lines(report, found)).split())
    assert "runs more than once that day, and all its runs hang on this start" in said
    assert "and without the membrane today, all else the same" in said
    plan[0, at.MEMBRANE_STOP] = 420.0
    once = replace(planned, plan=plan.copy())
    assert not runs_again(once, place)
    assert of_day(once, alone) == alone
    assert not explain(once, report, str(number)).of_day


def test_a_full_tank_is_traced_to_its_weathers(saturday: tuple[PlanReport, Planned]) -> None:
    report, planned = saturday
    found = explain(planned, report, "full")
    times = [time for time in found.by_weather if time is not None]
    watched = [watch for watch in report.watch if watch.what == "sap tank full"]
    assert found.mean == len(times) / report.weathers
    if watched:
        assert watched[0].probability == found.mean
        assert watched[0].time_s == pytest.approx(np.median(times), abs=1.0)


def test_explanations_fit_the_page_and_wrong_ones_are_refused(
    saturday: tuple[PlanReport, Planned],
) -> None:
    report, planned = saturday
    actions = report.days[report.main_day].actions
    for what in (*QUANTITIES, *(str(n) for n in range(1, len(actions) + 1))):
        lines = list(explanation_lines(report, explain(planned, report, what)))
        assert max(map(len, lines)) <= 80, what
    for wrong in ("sugar", "0", "99", ""):
        with pytest.raises(InputError):
            explain(planned, report, wrong)


# --- fans ----------------------------------------------------------------------------------------


def test_fans_stand_on_whole_hours_and_end_where_the_runs_end(
    saturday: tuple[PlanReport, Planned],
) -> None:
    report, planned = saturday
    p, states = planned.plant.p, planned.checked.ends[-1].states[0]
    for fan in report.fans:
        assert fan.begin_s % 3600 == 0
        assert len(fan.low) == len(fan.middle) == len(fan.high)
    tanks = {"sap": at.SAP, "stock": at.STOCK, "permeate": at.PERMEATE}
    fans = {fan.what: fan for fan in report.fans}
    assert fans.keys() == {*tanks, "air"}
    for what, tank in tanks.items():
        water, sugar = states[:, tank + at.WATER], states[:, tank + at.SUGAR]
        held_m3 = water * p[at.WATER_M3_KG] + sugar * p[at.SUGAR_M3_KG]
        fan = fans[what]
        assert fan.begin_s + (len(fan.middle) - 1) * fan.every_s == report.end_s
        ends = np.quantile(held_m3, (0.1, 0.5, 0.9))
        assert (fan.low[-1], fan.middle[-1], fan.high[-1]) == pytest.approx(ends, abs=1e-4)
    assert fans["air"].begin_s == local_s("2015-03-21 05:00")


# --- words ---------------------------------------------------------------------------------------


def test_changes_and_limits_in_words(saturday: tuple[PlanReport, Planned]) -> None:
    report, _ = saturday
    words = Words(report)
    at_s = local_s("2015-03-21 15:00")
    change = Change(
        at_s, "sap", False, 60 * GALLON_M3, None, "leave out", "light the fire",
        local_s("2015-03-21 17:00"), None, 12.0, 0.2,
    )  # fmt: skip
    assert change_text(words, change) == (
        "the sap tank holds under 60 gal at 15:00 (2 in 10): no fire at 17:00, worth about $12 then"
    )
    run = replace(change, what="run", level_m3=0.0)
    assert change_text(words, run).startswith("no sap has run by 15:00")
    mild = replace(
        change, what="coldest", over=True, level_m3=None, mark_c=0.0, kind="membrane on",
        action_s=local_s("2015-03-22 06:30"),
    )  # fmt: skip
    assert "the air has stayed over 32 °F until 15:00" in change_text(words, mild)
    assert "leave the membrane off on Sunday" in change_text(words, mild)
    limits = (
        Limit("sap tank", 50 * GALLON_M3, None, None, 12.3),
        Limit("membrane elements", None, None, 1, 8.0),
        Limit("wood", 3.62, None, None, 0.0),
    )
    text = limits_text(Words(replace(report, limits=limits)))
    assert "50 gal of sap tank $12; 1 more element of membrane $8" in text
    assert "more wood: no worth in these days" in text


def test_an_idle_day_in_words(winter: tuple[PlanReport, Planned]) -> None:
    report, _ = winter
    idle = report.days[0].idle
    assert idle is not None
    costly = replace(
        idle, why="costs more", held_m3=40 * GALLON_M3, best_fire_money=-25.0,
        best_fire_s=local_s("2015-02-15 17:00"),
    )  # fmt: skip
    text = idle_text(Words(report), costly)
    assert "40 gal in the tanks" in text
    assert "lit at 17:00, would cost $25 more than it brings" in text
    assert "nobody is there" in idle_text(Words(report), replace(idle, why="nobody there"))
