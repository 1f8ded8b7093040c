"""The search: what it finds, what it counts, and that cores don't change it."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from planning_cases import demo_plant, forecast_from, local_s, quick, usual_levels
from sugarwright.planning import choices as of
from sugarwright.planning.choices import Menu, Picks, habit_rows, make_menu, rows, without_idle
from sugarwright.planning.choose import KEEP_MONEY, choose
from sugarwright.planning.judging import BROKEN_MONEY, PlanJudge, judge_plans
from sugarwright.planning.lateness import LateJudge
from sugarwright.planning.plainer import GAUGE_MONEY, PLAIN_MONEY, PLAIN_TOTAL_MONEY, plainer
from sugarwright.planning.presets import presets
from sugarwright.planning.rule_card import Card, card_rows
from sugarwright.planning.search import AT_ONCE, FINALISTS, Ledger, search
from sugarwright.planning.today import plan_today
from sugarwright.planning.weathers import Weathers, make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import run_each, run_many
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines
from sugarwright.weather.hours import HourlyWeather

NOW = "2015-03-16 05:10"
HOURS = 36


@pytest.fixture(scope="module")
def weathers(whately_2015: HourlyWeather) -> Weathers:
    """Return the weathers of a Monday with a run."""
    now_s = local_s(NOW)
    return make_weathers(demo_plant(), forecast_from(whately_2015, now_s, HOURS), now_s, 36, 3)


@pytest.fixture(scope="module")
def menu(weathers: Weathers) -> Menu:
    """Return what can be done in them."""
    return make_menu(demo_plant(), weathers.searched, start_state(demo_plant(), Levels()))


class _Counting:
    """A judge that knows the best plan, and remembers what it was asked."""

    def __init__(self, menu: Menu, draws: np.random.Generator) -> None:
        self.goal = without_idle(draws.integers(0, menu.sizes()))
        self.sizes = menu.sizes()
        self.asked: set[bytes] = set()

    def __call__(self, picks: Picks) -> Floats:
        self.asked.update(one.tobytes() for one in picks)
        away = np.abs(picks - self.goal) / np.maximum(1, self.sizes - 1)
        value: Floats = -100.0 * away.sum(axis=(1, 2))
        return value


def test_a_hill_is_climbed_to_its_top(menu: Menu) -> None:
    # One choice at a time alone climbs a hill whose slopes don't depend on each other, so that
    # nothing but what a plainer plan may cost can be missing.
    for seed in range(3):
        judge = _Counting(menu, np.random.default_rng(seed))
        found = search(menu, judge, seed, presets(menu, habit_rows(demo_plant(), menu.days)))
        assert found.best_money == pytest.approx(0.0, abs=1e-9)
        assert found.value_money == pytest.approx(judge(found.picks[np.newaxis])[0])


def test_choices_that_only_pay_together_are_found(menu: Menu) -> None:
    # Membrane and fire pay only on the same day: either alone costs. From "nothing", changing one
    # choice at a time finds no way up.
    def judge(picks: Picks) -> Floats:
        start, light = picks[..., of.START] > 0, picks[..., of.LIGHT] > 0
        value: Floats = np.where(start & light, 50.0, -10.0 * (start ^ light)).sum(axis=1)
        return value

    nothing = np.zeros((1, menu.days, menu.choices), dtype=np.int64)
    found = search(menu, judge, 4, nothing)
    fire_and_membrane = [
        len(menu.starts[d]) > 1 and len(menu.lights[d]) > 1 for d in range(menu.days)
    ]
    assert found.best_money == 50.0 * sum(fire_and_membrane)


def test_nothing_is_planned_when_nothing_pays(menu: Menu) -> None:
    def judge(picks: Picks) -> Floats:
        value: Floats = -1.0 * (picks[..., [of.START, of.LIGHT, of.WASH]] > 0).sum(axis=(1, 2))
        return value

    found = search(menu, judge, 4, presets(menu, habit_rows(demo_plant(), menu.days)))
    assert not found.picks[:, [of.START, of.LIGHT, of.WASH]].any()


def test_what_hardly_pays_is_left_out(menu: Menu) -> None:
    def judge(picks: Picks) -> Floats:
        value: Floats = 0.4 * PLAIN_MONEY * (picks[..., of.WASH] > 0).sum(axis=1)
        return value

    found = search(menu, judge, 4, presets(menu, habit_rows(demo_plant(), menu.days)))
    assert not found.picks[:, of.WASH].any()


def test_a_dear_call_leaves_the_gauges_of_later_days_as_they_are(menu: Menu) -> None:
    # What is left out on the first day costs a part of what a plainer plan may, and the call of a
    # nearly full tank nearly a dollar by itself: together they are worth less than all of it.
    best = np.zeros((menu.days, menu.choices), dtype=np.int64)
    best[0, of.WASH] = best[:, of.START] = 1
    best[1, of.SAP_GAUGE] = 1

    def judge(picks: Picks) -> Floats:
        started = (picks[:, :2, of.START] == 1).sum(axis=1)
        washed, called = picks[:, 0, of.WASH] > 0, picks[:, 0, of.SAP_CALL] > 0
        gauge = picks[:, 1, of.SAP_GAUGE] == 1
        value: Floats = 50.0 * started + 0.9 * PLAIN_MONEY * washed - 0.9 * called + 1.0 * gauge
        return value

    ledger = Ledger(judge)
    found = plainer(menu, ledger, best)
    assert found[0, of.WASH] == 0
    assert found[0, of.SAP_CALL] > 0
    assert ledger.value(found) < ledger.value(best) - PLAIN_TOTAL_MONEY
    assert found[1, of.SAP_GAUGE] == 1


@pytest.mark.parametrize(
    ("slack_min", "dear_min", "named_min"),
    [(0.0, -1.0, 1110.0), (60.0, -1.0, 1050.0), (60.0, 1050.0, 1080.0)],
    ids=["the latest", "an hour before it", "as far before it as that is free"],
)
def test_a_fire_s_hour_leaves_slack_before_the_latest_that_is_free(
    menu: Menu, slack_min: float, dear_min: float, named_min: float
) -> None:
    times = menu.lights[0]
    assert {1020.0, 1050.0, 1080.0, 1110.0, 1140.0} <= set(times)
    best = np.zeros((menu.days, menu.choices), dtype=np.int64)
    best[0, of.LIGHT] = np.flatnonzero(times == 1020.0)[0]

    def judge(picks: Picks) -> Floats:
        lit = times[picks[:, 0, of.LIGHT]]
        value: Floats = 50.0 * ((lit > 0.0) & (lit <= 1110.0)) - 5.0 * (lit == dear_min)
        return value

    found = plainer(menu, Ledger(judge), best, slack_min)
    assert times[found[0, of.LIGHT]] == named_min


def test_the_best_are_told_apart_in_other_weathers(menu: Menu) -> None:
    # A judge whose few weathers flatter some plans by chance: the best of hundreds is one of those.
    true = _Counting(menu, np.random.default_rng(3))

    def flattering(picks: Picks) -> Floats:
        luck = [np.random.default_rng(one.ravel()).normal(0.0, 30.0) for one in picks]
        value: Floats = true(picks) + np.array(luck)
        return value

    starts = presets(menu, habit_rows(demo_plant(), menu.days))
    flattered = search(menu, flattering, 5, starts)
    found = search(menu, flattering, 5, starts, compare=true)
    assert flattered.value_money > true(flattered.picks[np.newaxis])[0] + 30.0
    assert found.best_money > true(flattered.picks[np.newaxis])[0]
    assert found.value_money == pytest.approx(true(found.picks[np.newaxis])[0])
    assert found.value_money >= found.best_money - PLAIN_TOTAL_MONEY


def test_the_best_is_refined_where_the_best_are_told_apart(menu: Menu) -> None:
    true = _Counting(menu, np.random.default_rng(3))
    first: list[Floats] = []

    def unlucky(picks: Picks) -> Floats:
        luck = [np.random.default_rng(one.ravel()).normal(0.0, 10.0) for one in picks]
        value: Floats = true(picks) + np.array(luck)
        return value

    def compare(picks: Picks) -> Floats:
        first.append(true(picks))
        return first[-1]

    starts = presets(menu, habit_rows(demo_plant(), menu.days))
    found = search(menu, unlucky, 5, starts, compare=compare)
    assert len(first[0]) == FINALISTS
    assert found.best_money > first[0].max() + 1.0


def test_what_the_clock_leaves_no_time_for_is_worth_nothing_at_all(menu: Menu) -> None:
    judge = _Counting(menu, np.random.default_rng(3))
    picks = np.random.default_rng(4).integers(0, menu.sizes(), (3 * AT_ONCE, *menu.sizes().shape))

    def slow(some: Picks) -> Floats:
        time.sleep(0.2)
        return judge(some)

    ledger = Ledger(slow, time.monotonic() + 0.3)
    found = ledger.values_in_time(picks)
    assert np.isfinite(found[:AT_ONCE]).all()
    assert np.isneginf(found[-AT_ONCE:]).all()
    assert ledger.is_over
    assert np.isfinite(Ledger(judge).values_in_time(picks)).all()


def test_candidates_are_counted_once_each(menu: Menu) -> None:
    judge = _Counting(menu, np.random.default_rng(1))
    found = search(menu, judge, 1, presets(menu, habit_rows(demo_plant(), menu.days)))
    assert found.candidates == len(judge.asked)
    assert found.candidates > 400


def test_a_seed_gives_one_plan(menu: Menu) -> None:
    starts = presets(menu, habit_rows(demo_plant(), menu.days))
    first, second = (
        search(menu, _Counting(menu, np.random.default_rng(2)), 7, starts) for _ in range(2)
    )
    assert np.array_equal(first.picks, second.picks)
    assert first.candidates == second.candidates


def test_the_plan_is_no_worse_than_the_best_preset(
    menu: Menu, weathers: Weathers, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick(monkeypatch)
    plant = demo_plant()
    judging = PlanJudge(plant, weathers.searched, start_state(plant, usual_levels()))

    def judge(picks: Picks) -> Floats:
        return judging.values(rows(menu, picks))

    starts = presets(menu, habit_rows(plant, menu.days))
    found = search(menu, judge, 1, starts)
    best = judge(starts).max()
    gauges = 2 * menu.days * GAUGE_MONEY  # two gauges a day are raised after all else
    assert found.best_money >= best
    assert found.value_money >= found.best_money - PLAIN_TOTAL_MONEY - gauges
    assert found.value_money == pytest.approx(judge(found.picks[np.newaxis])[0])


def test_cores_do_not_change_the_plan(
    whately_2015: HourlyWeather, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick(monkeypatch)
    now_s = local_s(NOW)
    known = forecast_from(whately_2015, now_s, HOURS)
    reports = []
    for cores in (1, 7):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        reports.append(plan_today(demo_plant(), known, usual_levels(), now_s, HOURS))
    assert reports[0] == reports[1]


def test_a_judge_gives_the_mean_net_worth(menu: Menu, weathers: Weathers) -> None:
    plant = demo_plant()
    state = start_state(plant, usual_levels())
    plans = rows(menu, presets(menu, habit_rows(plant, menu.days))[:3])
    results = run_many(plant, weathers.searched, plans, state)
    assert not results.totals[..., [at.SHORT_S, at.LIT_ALONE_S]].any()
    net = worth_lines(plant, results.totals, results.states).net
    judged = judge_plans(plant, weathers.searched, plans, state)
    assert judged == pytest.approx(net.mean(axis=1))


def test_days_run_once_are_worth_what_they_are_run_through(
    menu: Menu, weathers: Weathers, monkeypatch: pytest.MonkeyPatch
) -> None:
    plant = demo_plant()
    state = start_state(plant, usual_levels())
    starts = presets(menu, habit_rows(plant, menu.days))
    draws = np.random.default_rng(3)
    changing = np.concatenate([starts, starts])
    changing[:, -1] = draws.integers(0, menu.sizes()[-1], size=changing[:, -1].shape)
    monkeypatch.setattr("sugarwright.planning.judging.MOST_KEPT_BYTES", 1e5)  # some are let go
    judging = PlanJudge(plant, weathers.searched, state)
    for picks in (starts, changing, starts[:1], changing[::-1]):
        plans = rows(menu, picks)
        through = judge_plans(plant, weathers.searched, plans, state)
        assert judging.values(plans) == pytest.approx(through, abs=1e-9)


def counting(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many runs are really run at a time: all but those for which another stands."""
    runs: list[int] = []

    def counted(*arguments: Any) -> None:
        run_each(*arguments)
        notes, ends_as = arguments[8][-2:]
        runs.append(np.sum(ends_as == len(notes) - len(ends_as) + np.arange(len(ends_as))))

    monkeypatch.setattr("sugarwright.planning.judging.run_each", counted)
    return runs


def test_what_comes_to_the_same_is_run_once(
    menu: Menu, weathers: Weathers, monkeypatch: pytest.MonkeyPatch
) -> None:
    runs, count = counting(monkeypatch), weathers.searched.scenarios
    plant = demo_plant()
    plans = rows(menu, presets(menu, habit_rows(plant, menu.days))[:1]).repeat(9, axis=0)
    plans[:, 0, at.FIRE_STOCK_M3] = 100.0 + np.arange(9)  # no tank holds that: no fire that day
    plans[:, 0, at.FIRE_CALL_M3] = 0.0
    judging = PlanJudge(plant, weathers.searched, start_state(plant, usual_levels()))
    values = judging.values(plans)
    assert len(set(values.tolist())) == 1
    assert runs == [count] * menu.days


def test_what_differs_in_one_weather_is_run_in_that_one(
    menu: Menu, weathers: Weathers, monkeypatch: pytest.MonkeyPatch
) -> None:
    runs, sap_kg_s = counting(monkeypatch), np.zeros_like(weathers.searched.sap_kg_s)
    sap_kg_s[0] = 0.05, 0.001  # it runs in the first weather alone
    drive = replace(weathers.searched, sap_kg_s=sap_kg_s)
    plant = demo_plant()
    plans = rows(menu, presets(menu, habit_rows(plant, menu.days))[:1]).repeat(2, axis=0)
    plans[:, 0, at.MEMBRANE_START] = -1.0
    plans[:, 0, at.MEMBRANE_CALL_M3] = 0.0, 0.5  # a level that nothing but a run brings
    state = start_state(plant, Levels())
    judged = PlanJudge(plant, drive, state).values(plans)
    assert judged == pytest.approx(judge_plans(plant, drive, plans, state), abs=1e-9)
    assert judged[0] != judged[1]
    later = menu.days - 1
    assert runs == [2 * drive.scenarios, *(drive.scenarios + 1 for _ in range(later))]


def test_what_was_judged_in_some_weathers_is_known_in_all(
    menu: Menu, weathers: Weathers, monkeypatch: pytest.MonkeyPatch
) -> None:
    runs, drive = counting(monkeypatch), weathers.searched
    plant = demo_plant()
    state = start_state(plant, usual_levels())
    plans = rows(menu, presets(menu, habit_rows(plant, menu.days))[:2])
    judging = PlanJudge(plant, drive, state)
    few = judging.values(plans, slice(0, 3))
    assert few == pytest.approx(judge_plans(plant, drive.some(slice(0, 3)), plans, state), abs=1e-9)
    before = sum(runs)
    judged = judging.values(plans)
    assert judged == pytest.approx(judge_plans(plant, drive, plans, state), abs=1e-9)
    assert sum(runs) == pytest.approx(before / 3 * drive.scenarios)


def test_a_broken_rule_in_one_weather_sinks_a_plan(
    menu: Menu, weathers: Weathers, monkeypatch: pytest.MonkeyPatch
) -> None:
    plant = demo_plant()
    state = start_state(plant, usual_levels())
    plans = rows(menu, presets(menu, habit_rows(plant, menu.days))[:2])
    fair = judge_plans(plant, weathers.searched, plans, state)

    def one_left_alone(*arguments: object, **options: object) -> object:
        results = run_many(*arguments, **options)  # type: ignore[arg-type]
        results.totals[0, 3, at.LIT_ALONE_S] = 60.0
        return results

    monkeypatch.setattr("sugarwright.planning.judging.run_many", one_left_alone)
    judged = judge_plans(plant, weathers.searched, plans, state)
    assert judged[0] < fair[0] - 0.99 * BROKEN_MONEY / weathers.searched.scenarios
    assert judged[1] == fair[1]


def test_a_gauge_is_never_lowered_into_a_loss(menu: Menu) -> None:
    # Waiting for the third gauge is worth 20 more than any lower one, higher ones cost 20: one
    # step below the highest that is fine would be a loss.
    def judge(picks: Picks) -> Floats:
        lit = np.where(picks[..., of.LIGHT] > 0, 5.0, 0.0)
        value: Floats = (lit + np.where(picks[..., of.STOCK_GAUGE] == 3, 20.0, 0.0)).sum(axis=1)
        return value

    found = search(menu, judge, 4, presets(menu, habit_rows(demo_plant(), menu.days)))
    burning = sum(len(times) > 1 for times in menu.lights)  # others wait for a full tank's call
    assert found.best_money == 20.0 * menu.days + 5.0 * burning
    assert found.value_money >= found.best_money - PLAIN_TOTAL_MONEY


def test_a_card_as_good_as_what_is_found_stands(
    menu: Menu, weathers: Weathers, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick(monkeypatch)
    plant = demo_plant()
    state = start_state(plant, usual_levels())
    free = choose(plant, weathers, state, 1)
    week = tuple(tuple(row) for row in free.plan[[0, 0]].tolist())
    card = Card(week)
    with_card = choose(plant, weathers, state, 1, card=card)
    own_rows = card_rows(card, weathers.compared)[np.newaxis]
    own = LateJudge(PlanJudge(plant, weathers.compared, state)).values(own_rows)
    assert with_card.value_money >= max(free.value_money, own[0]) - 1e-9
    assert (with_card.whose == "card") == (own[0] > free.value_money)


def test_the_plan_before_stays_within_two_dollars_of_a_new_one_and_goes_beyond(
    menu: Menu, weathers: Weathers, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick(monkeypatch)
    plant = demo_plant()
    state = start_state(plant, usual_levels())
    judging = LateJudge(PlanJudge(plant, weathers.compared, state))
    found = choose(plant, weathers, state, 1)
    earlier = np.repeat(found.plan[np.newaxis], 40, axis=0)
    earlier[:, 0, at.MEMBRANE_FLOW_M3_S] *= np.linspace(1.0, 1.8, 40)  # ever weaker concentrate
    less = judging.values(found.plan[np.newaxis])[0] - judging.values(earlier)
    for way, kept in ((earlier[(less > 0.5) & (less < 1.9)], True), (earlier[less > 2.5], False)):
        assert len(way)
        again = choose(plant, weathers, state, 1, before=way[0])
        worth = judging.values(way[:1])[0]
        assert (again.whose == "before") == kept
        assert np.array_equal(again.plan, way[0]) == kept
        assert kept or again.value_money > worth + KEEP_MONEY
