"""The benchmark of decisions: its truth, its forecasts, its people and its sums."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest

from planning_cases import quick
from regret import cache
from regret.bound import bound_money
from regret.busy import busy_mornings
from regret.houses import Case, cases
from regret.lateness import CLOCKS, FORGOTTEN, LATE_MIN, late, on_coming_in
from regret.mornings import lived, table
from regret.neighbour import habit_of_today
from regret.outcome import outcome, ready
from regret.planner import (
    DEPARTURE,
    OLD_H,
    Planner,
    a_day_later,
    as_forecast,
    as_it_comes,
    known_trees,
)
from regret.rolling import work
from regret.run_seen import run_seen
from regret.seasons import Season, held_out, season, training
from regret.truth import HORIZON_H, ISSUE_MEMORY, Truth
from regret.variations import VARIATIONS, Change, changed
from sugarwright.answering.plan import OLD_S
from sugarwright.planning import choose
from sugarwright.planning.search import Budget
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import make_drive, tree_parameters
from sugarwright.plant.simulate import simulate
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s, worth_lines
from sugarwright.twin.planned import OFF_FRACTION
from sugarwright.weather.ensemble import PRIOR, RUN_SD

WEEK = 7
NAMES = list(cases())


def week(name: str = "whately", days: int = WEEK) -> Season:
    """The first days of a season."""
    return replace(season(name), days=days)


def case(name: str) -> Case:
    return cases()[name]


@pytest.fixture(scope="module")
def undersized() -> tuple[Plant, Truth]:
    """Return a house in its first week."""
    return ready(case("undersized membrane"), week())


def test_seasons_of_training_are_held_back() -> None:
    assert not set(training()) & set(held_out())
    assert len(held_out()) >= 50
    told, kept = season(held_out()[3]), season(training()[1])
    assert not np.array_equal(told.weather.temperature_c, kept.weather.temperature_c)


def test_a_season_is_the_same_every_time() -> None:
    first, again = season("normals 3"), season("normals 3")
    assert first.seed == again.seed
    assert first.tapped == again.tapped
    assert np.array_equal(first.weather.temperature_c, again.weather.temperature_c)


def test_errors_of_forecasts_have_the_size_of_the_model_at_their_lead() -> None:
    # 60 mornings of a spring, hours hang together: the spread of a figure over three seasons of
    # some 20 independent ones each is a tenth, and three such are allowed.
    _, truth = ready(case("tiny"), season("normals 3"))
    _, other = ready(case("tiny"), season("normals 5"))
    _, third = ready(case("tiny"), season("normals 6"))
    for lead_h in (0, 24, 48, 71):
        found = [_at_lead(each, lead_h) for each in (truth, other, third)]
        assert np.std(np.concatenate(found)) == pytest.approx(PRIOR.sd_k(lead_h), rel=0.3)


def _at_lead(truth: Truth, lead_h: int) -> np.ndarray:
    first = (truth.begin_s - truth.season.weather.first_s) // 3600
    days = np.arange(truth.season.days)
    return truth.errors_k[days, first + 24 * days + lead_h]


def test_errors_of_the_same_hour_hang_together_from_morning_to_morning() -> None:
    _, truth = ready(case("tiny"), season("normals 3"))
    first = (truth.begin_s - truth.season.weather.first_s) // 3600
    days = np.arange(truth.season.days - 1)
    hours = first + 24 * (days + 1) + 15
    early, late_one = truth.errors_k[days, hours], truth.errors_k[days + 1, hours]
    # Fisher's z of 60 pairs has a spread of 0.13; successive days hang together a little too.
    assert np.arctanh(np.corrcoef(early, late_one)[0, 1]) == pytest.approx(
        np.arctanh(ISSUE_MEMORY), abs=0.45
    )


def test_what_has_been_observed_has_no_error(undersized: tuple[Plant, Truth]) -> None:
    _, truth = undersized
    known = truth.forecast(4)
    weather = truth.season.weather.between(known.first_s, known.end_s)
    past = known.time_s < truth.morning_s(4)
    apart_k = known.temperature_c - weather.temperature_c
    assert np.array_equal(apart_k[past], np.zeros(past.sum()))
    assert (apart_k[~past] != 0.0).all()
    assert (~past).sum() == HORIZON_H


def test_days_one_by_one_are_the_week_straight_through(undersized: tuple[Plant, Truth]) -> None:
    plant, truth = undersized
    rows = habit_of_today(plant, start_state(plant, Levels()), False, WEEK + 2)
    daily = work(plant, truth, lambda day, _: rows[day:])
    straight = simulate(plant, truth.day(0, 24 * WEEK), rows, start_state(plant, Levels()))
    assert daily.states[-1] == pytest.approx(straight.state, rel=1e-9, abs=1e-9)
    since = [at.SAP_FULL_AT_S, at.STOCK_FULL_AT_S, at.SPOILED_AT_S, at.FIRST_DRAW_AT_S]
    counted = np.setdiff1d(np.arange(at.TOTALS_SIZE), since)
    assert daily.totals[-1][counted] == pytest.approx(straight.totals[counted], rel=1e-9, abs=1e-9)


def test_a_late_person_is_late_for_all_and_forgets_some_washes() -> None:
    chance = np.random.default_rng(3)
    rows = np.full((4000, at.PLAN_WIDTH), 600.0)
    rows[0, at.FIRE_START] = -1.0
    nobody_comes = np.zeros((1, 1441), dtype=np.bool_)
    done = late(rows, chance, nobody_comes)
    assert done[0, at.FIRE_START] == -1.0
    forgotten = done[:, at.WASH_AT] < 0.0
    # binomial: 4000 draws of a tenth have a spread of 0.005
    assert forgotten.mean() == pytest.approx(FORGOTTEN, abs=0.02)
    kept = done[~forgotten][1:][:, list(CLOCKS)] - 600.0
    assert kept.min() >= LATE_MIN[0]
    assert kept.max() <= LATE_MIN[1]
    others = [k for k in range(at.PLAN_WIDTH) if k not in CLOCKS]
    assert (done[:, others] == 600.0).all()


def test_a_late_person_begins_on_coming_in_what_is_told_for_then() -> None:
    rows = np.full((2, at.PLAN_WIDTH), 600.0)
    comes_in = np.zeros((2, 1441), dtype=np.bool_)
    comes_in[1, 600] = True
    done = late(rows, np.random.default_rng(4), comes_in)
    starts, stops = [at.MEMBRANE_START, at.FIRE_START], [at.MEMBRANE_STOP, at.FIRE_STOP]
    assert (done[0, starts] >= 630.0).all()
    assert (done[1, starts] == 600.0).all()
    assert (done[:, stops] >= 630.0).all()


def test_who_comes_home_in_the_evening_comes_in_then() -> None:
    plant, truth = ready(case("evenings"), week())
    told = on_coming_in(truth, 1, plant.step_s)
    assert told[0, 1020]  # a Monday, at five
    assert not told[0, 1050]


def test_what_burns_when_a_new_plan_is_made_goes_on_after_clocks_have_changed() -> None:
    # At a look on a day after the change the clock shows an hour more than it did before: what a
    # plan made then tells for now is no later, or a fire would be let go to be lit again.
    plant, truth = ready(case("evenings"), week("whately", 20))
    looks = {truth.calendar_at(day, 12)[at.MINUTE] for day in range(20)}
    assert looks == {17 * 60.0, 18 * 60.0}
    told = np.full((2, at.PLAN_WIDTH), -1.0)
    told[0, at.FIRE_START], told[0, at.FIRE_STOP] = 18 * 60.0, 22 * 60.0
    comes_in = on_coming_in(truth, 19, plant.step_s)
    done = late(told, np.random.default_rng(3), comes_in, truth.calendar_at(19, 12)[at.MINUTE])
    assert done[0, at.FIRE_START] == 18 * 60.0
    assert done[0, at.FIRE_STOP] >= 22.5 * 60.0


def test_a_look_during_the_day_asks_for_what_the_tool_asks_for() -> None:
    assert DEPARTURE == OFF_FRACTION
    assert OLD_H * 3600.0 == OLD_S


@pytest.mark.parametrize("name", NAMES)
def test_nobody_beats_the_bound(name: str) -> None:
    plant, truth = ready(case(name), week("normals 3", 14))
    bound = bound_money(plant, truth)
    source = np.random.default_rng(len(name))
    rows = habit_of_today(plant, start_state(plant, Levels()), False, 16)
    best = -np.inf
    for _ in range(40):
        plan = rows.copy()
        plan[:, at.FIRE_START] = 30.0 * source.integers(12, 40)
        plan[:, at.MEMBRANE_START] = 30.0 * source.integers(12, 40)
        plan[:, [at.FIRE_STOCK_M3, at.MEMBRANE_SAP_M3]] *= source.uniform(0.2, 1.5)
        plan[:, at.MEMBRANE_FLOW_M3_S] *= source.uniform(0.5, 2.0)
        plan[:, at.FIRE_STOP] = 1440.0
        trace = simulate(plant, truth.day(0, 24 * 14), plan, start_state(plant, Levels()))
        if broken_s(trace.totals) == 0.0:
            best = max(best, float(worth_lines(plant, trace.totals, trace.state).net))
    assert 0.0 < best <= bound


def test_no_sap_is_worth_nothing() -> None:
    plant, truth = ready(case("no membrane"), week())
    truth.drive.sap_kg_s[:] = 0.0
    assert bound_money(plant, truth) == 0.0


def test_some_days_by_the_planner_that_knows_the_weather_beat_the_habit() -> None:
    plant, truth = ready(case("undersized membrane"), week("whately", 4))
    usual = outcome(plant, truth, lambda _, x: habit_of_today(plant, x, False, 2))
    decide = Planner(plant, truth, as_it_comes(truth), Budget(population=48, rounds=3)).morning
    found = outcome(plant, truth, decide)
    assert found.net_money > usual.net_money
    assert found.dry_pans == found.alone_s == 0.0
    assert found.net_money == pytest.approx(sum(found.lines_money.values()))


def test_yesterdays_plan_is_handed_on_without_its_day_that_is_over() -> None:
    days = np.arange(4.0)[:, np.newaxis] * np.ones(at.PLAN_WIDTH)
    assert a_day_later(days)[:, 0].tolist() == [1.0, 2.0]  # and not the last night of the horizon


def test_a_new_plan_at_a_look_only_when_a_tank_is_off_or_the_plan_is_old() -> None:
    plant, truth = ready(case("no membrane"), week("whately", 3))
    weathers_of = as_forecast(plant, truth, known_trees(plant))
    planner = Planner(plant, truth, weathers_of, Budget(population=24, rounds=1))
    state = start_state(plant, Levels(sap=Contents(0.8)))
    rows = planner.morning(1, state)
    forecast = weathers_of(1, 0).forecast

    def after(hours: int) -> Floats:
        return simulate(plant, forecast, rows, state, last=round(hours * 3600 / plant.step_s)).state

    early = OLD_H - 3  # at seven in the morning; below at five in the afternoon
    assert planner.again(1, early, after(early), rows) is rows
    off = after(early)
    off[at.SAP + at.WATER] += 0.11 * plant.p[at.SAP_CAPACITY_M3] / plant.p[at.WATER_M3_KG]
    assert planner.again(1, early, off, rows) is not rows
    planner.morning(1, state)
    assert planner.again(1, OLD_H + 7, after(OLD_H + 7), rows) is not rows


def test_what_was_forecast_of_hours_that_are_over_is_forgotten(
    undersized: tuple[Plant, Truth],
) -> None:
    _, truth = undersized
    morning, noon = truth.forecast(2), truth.forecast(2, 7)
    over = (morning.time_s >= truth.morning_s(2)) & (morning.time_s < truth.morning_s(2) + 7 * 3600)
    weather = truth.season.weather.between(noon.first_s, noon.end_s)
    assert np.array_equal(noon.temperature_c[over], weather.temperature_c[over])
    later = morning.time_s >= truth.morning_s(2) + 7 * 3600
    assert np.array_equal(noon.temperature_c[later], morning.temperature_c[later])


def test_a_variation_changes_its_constant_and_sets_it_back() -> None:
    before = choose.KEEP_MONEY
    with changed((Change("sugarwright.planning.choose", "KEEP_MONEY", before + 1.0),)):
        assert before + 1.0 == choose.KEEP_MONEY
    assert before == choose.KEEP_MONEY
    for each in (change for changes in VARIATIONS.values() for change in changes):
        assert hasattr(import_module(each.module), each.name)


def test_mornings_are_lived_in_the_same_weathers_whatever_is_changed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    quick(monkeypatch)
    as_it_is = Change("sugarwright.planning.choose", "KEEP_MONEY", choose.KEEP_MONEY)
    dear = Change("sugarwright.planning.plainer", "PLAIN_TOTAL_MONEY", 400.0)
    plainest = (dear, replace(dear, name="PLAIN_MONEY"))
    worth = lived("tiny", "blocks 3", 2, 2, {"": (), "same": (as_it_is,), "poor": plainest})
    assert worth.shape == (2, 3)
    assert np.array_equal(worth[:, 0], worth[:, 1])
    assert worth[:, 2].mean() < worth[:, 0].mean()
    assert "| poor | -" in table({"tiny": worth[:, [0, 2]]}, ["poor"])


def test_busy_mornings_are_those_with_the_most_sap_ahead(undersized: tuple[Plant, Truth]) -> None:
    plant, truth = undersized
    busy = busy_mornings(case("undersized membrane"), plant, truth, 3)
    ahead_kg = [truth.day(day, HORIZON_H).sap_kg_s.sum() for day in range(WEEK)]
    assert [day for day, _ in busy] == np.argsort(ahead_kg)[::-1][:3].tolist()


def test_results_are_handed_on_without_their_days_and_only_for_the_same_sources(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cache, "FOLDER", tmp_path / "cache")
    monkeypatch.setattr(cache, "PACKED", tmp_path / "results.jsonl")
    name, other = ("tiny", "plan", "newark 0123"), ("tiny", "plan", "newark 4567")
    cache.keep({"net_money": 12.5, "days": [[1.0, 2.0]]}, *name)
    assert cache.pack([name, other]) == 1
    monkeypatch.setattr(cache, "FOLDER", tmp_path / "another machine")
    assert cache.load(*name) == {"net_money": 12.5}
    assert cache.load(*other) is None
    assert cache.pack([name]) == 1  # packing again loses nothing
    assert cache.load(*name) == {"net_money": 12.5}


def test_what_has_come_of_a_run_tells_how_much_it_gives_the_better_the_more(
    undersized: tuple[Plant, Truth],
) -> None:
    plant, truth = undersized
    seen = run_seen(plant, truth)
    first_s = truth.begin_s - 14 * 86400
    end_s = truth.begin_s + 3600 * truth.drive.air_c.shape[1]
    known = truth.season.weather.between(first_s, end_s)
    air_c = known.temperature_c[np.newaxis]
    modelled = make_drive(plant, first_s, air_c, truth.begin_s, end_s).sap_kg_s[0].sum(axis=(1, 2))
    true = truth.drive.sap_kg_s[0].sum(axis=(1, 2))
    told = []
    for day in range(WEEK):
        for hour in (4, 7, 10, 14):
            run, now = seen(day, hour), 24 * day + hour
            if run is not None and modelled[now] > 0.0:
                scale = tree_parameters(plant.house.trees).bush_scale * true[now] / modelled[now]
                told.append((run.sd_log, np.log(run.scale / scale)))
    assert len(told) >= 5
    assert all(0.09 < sd_log < RUN_SD for sd_log, _ in told)
    assert max(abs(off) / sd_log for sd_log, off in told) < 3.5
    assert seen(0, 0) is None  # on the first morning nothing has come yet


def test_lateness_leaves_what_goes_on_when_a_plan_is_made() -> None:
    rows = np.full((2, at.PLAN_WIDTH), 600.0)
    nobody_comes = np.zeros((1, 1441), dtype=np.bool_)
    done = late(rows, np.random.default_rng(1), nobody_comes, now_min=720.0)
    assert (done[0, list(CLOCKS)] == 600.0).all() or done[0, at.WASH_AT] == -1.0
    assert done[1, at.FIRE_START] >= 630.0
    assert done[0, at.FIRE_START] == 600.0
