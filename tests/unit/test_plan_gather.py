"""When sap is fetched: a choice of the plan, weighed against the fire that one person leaves unlit.

The house of pails is the tiny one of the benchmark, invented.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchmarks.regret.houses import cases

from outside_cases import air, gathering_house, outside, who, words_of
from planning_cases import GALLON_M3, demo_house, forecast_from, gallons, local_s
from sugarwright.cli.plan_message import message
from sugarwright.errors import InputError
from sugarwright.planning import choices as of
from sugarwright.planning.choices import make_menu
from sugarwright.planning.if_today import Today
from sugarwright.planning.if_words import read_if
from sugarwright.planning.judging import PlanJudge, judge_plans
from sugarwright.planning.lateness import LATE_MIN, LATE_SHARE, LateJudge
from sugarwright.planning.presets import presets
from sugarwright.planning.report import PlanReport
from sugarwright.planning.suppositions import Forced, forcing
from sugarwright.planning.today import plan_today
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.state import Contents, Levels
from sugarwright.saying.plan_actions import does_texts
from sugarwright.weather.hours import HourlyWeather

COLD = air(-4.0)
HOUR_S = 3600
ALL_DAY = who((6 * 60, 22 * 60))
EVENING = "2015-04-01 18:30"  # a Wednesday; the maker leaves at half past nine


@pytest.fixture(scope="module")
def pails() -> Plant:
    """Return the house whose sap is fetched from pails by one person."""
    return assemble(cases()["tiny"].house)


@pytest.fixture(scope="module")
def evening(pails: Plant, whately_2015: HourlyWeather) -> PlanReport:
    """Return the plan of an evening with 63 gal in the pails, and time for one fire or for them."""
    levels = Levels(
        sap=gallons(30, 2.0, 10), stock=gallons(20, 6.0), permeate=gallons(30, 0.0),
        gathered=(Contents(63 * GALLON_M3),), pan_brix=30.0,
    )  # fmt: skip
    now_s = local_s(EVENING)
    return plan_today(pails, forecast_from(whately_2015, now_s, 72), levels, now_s)


# --- in the simulator ----------------------------------------------------------------------------


def set_out_hours(**plan: float) -> list[float]:
    """Hours of Tuesday at which somebody begins to fetch the 150 gal of the pails."""
    rows = {"FIRE_START": -1.0, "MEMBRANE_START": -1.0, "WASH_AT": -1.0, **plan}
    day = outside(gathering_house("trips", (ALL_DAY,)), 150.0, COLD, **rows)
    going = day.yard.emptying[0, : 24 * 12, 1]
    begins = np.flatnonzero(going & ~np.append(False, going[:-1]))
    return (begins / 12.0).tolist()


def test_whenever_it_is_worth_a_trip_where_no_hour_is_told() -> None:
    assert set_out_hours(GATHER_START=of.WHENEVER)[0] == 6.0


def test_nobody_sets_out_before_the_hour_that_is_told() -> None:
    assert set_out_hours(GATHER_START=11 * 60.0)[0] == 11.0


def test_nobody_sets_out_on_a_day_without_trips() -> None:
    assert set_out_hours(GATHER_START=of.NOT) == []


def test_a_fire_told_before_the_trips_is_lit_and_they_wait_till_it_is_out() -> None:
    fire = {"FIRE_START": 6 * 60.0, "FIRE_STOP": 9 * 60.0, "FIRE_STOCK_M3": 20 * GALLON_M3}
    assert set_out_hours(**fire, GATHER_START=of.WHENEVER)[0] == 6.0
    (after, *_) = set_out_hours(**fire, GATHER_START=7 * 60.0)
    assert after > 9.0


# --- what there is to choose from ----------------------------------------------------------------


def test_trips_are_a_choice_only_where_sap_is_fetched_by_hand() -> None:
    menus = {}
    for way in ("trips", "pump"):
        day = outside(gathering_house(way, (ALL_DAY,)), 150.0, COLD)
        menus[way] = make_menu(day.plant, day.forecast, day.state)
    by_hand, pumped = menus["trips"], menus["pump"]
    assert (by_hand.choices, pumped.choices) == (of.GATHER + 1, of.GATHER)
    assert pumped.gathers == ()
    assert pumped.pairs(0) == []
    assert by_hand.gathers[0][0] == of.WHENEVER
    calendar = outside(gathering_house("trips", (ALL_DAY,)), 150.0, COLD).forecast.calendar
    for minute in by_hand.gathers[0][1:]:
        assert calendar[int(minute // 5), at.STAY_S] >= 40 * 60.0  # there and back
    pairs = {option for move in by_hand.pairs(0) for choice, option in move if choice == of.GATHER}
    assert pairs == {0, len(by_hand.gathers[0]) - 1}
    habit = np.zeros((by_hand.days, at.PLAN_WIDTH))
    begun = presets(by_hand, habit)
    assert begun.shape[1:] == (by_hand.days, by_hand.choices)
    assert (begun[:, 0, of.GATHER] == len(by_hand.gathers[0]) - 1).any()


def test_only_an_hour_that_is_told_for_trips_may_be_late() -> None:
    day = outside(gathering_house("trips", (ALL_DAY,)), 150.0, COLD, *[COLD] * 16)
    judge = LateJudge(PlanJudge(day.plant, day.weathers, day.state))

    def by_hand(told_min: float, done_min: float) -> float:
        rows = np.stack([day.rows, day.rows])
        rows[:, :, [at.MEMBRANE_START, at.FIRE_START, at.WASH_AT]] = -1.0
        rows[:, :, [at.MEMBRANE_STOP, at.FIRE_STOP]] = of.END_OF_DAY
        rows[0, :, at.GATHER_START], rows[1, :, at.GATHER_START] = told_min, done_min
        in_time, late = judge_plans(day.plant, day.weathers, rows, day.state)
        assert judge.values(rows[:1])[0] == pytest.approx(
            (1.0 - LATE_SHARE) * in_time + LATE_SHARE * late
        )
        return float(in_time - late)

    assert by_hand(13 * 60.0, 13 * 60.0 + LATE_MIN) != 0.0
    assert by_hand(of.WHENEVER, of.WHENEVER) == 0.0


# --- what a plan makes of it ---------------------------------------------------------------------


def test_one_fire_is_worth_more_than_full_pails_this_evening(evening: PlanReport) -> None:
    """Fetched first, as the house's rule has it, there is no time left to boil what waits."""
    today = evening.days[0].actions
    assert "gather sap" not in [each.kind for each in today]
    (fire,) = (each for each in today if each.kind == "light the fire")
    assert fire.time_s == evening.begin_s
    assert fire.sap_waits == ("pails",)
    words = words_of(fire)
    money = fire.fetched_first_money
    assert money is not None
    assert money > 5.0
    said = f"what is in pails waits till it is out; fetched first: {words.money(money)} less"
    assert said in " ".join(does_texts(words, fire))
    older = replace(fire, fetched_first_money=None)  # of a plan kept before that was reckoned
    assert "fetched first" not in " ".join(does_texts(words, older))
    assert "sap in pails waits till it is out" in message(evening)


def test_trips_have_a_reason_and_an_hour_that_is_free_or_not(evening: PlanReport) -> None:
    trips = [each for each in evening.days[1].actions if each.kind == "gather sap"]
    first = trips[0]
    assert first.reason is not None
    assert first.reason.of_day
    assert first.reason.money > 1.0
    assert first.slack is not None or first.delay is not None
    text = " ".join(does_texts(words_of(first), first))
    assert "gather sap from pails" in text
    for later in trips[1:]:
        assert (later.reason, later.slack, later.delay) == (None, None, None)


# --- supposed otherwise --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "minute"),
    [("gather 20:00", 1200.0), ("fetch sap at 8 pm", 1200.0), ("no gathering", -1.0),
     ("no trips today", -1.0)],
)  # fmt: skip
def test_trips_are_supposed_at_another_hour_or_not_at_all(text: str, minute: float) -> None:
    now_s, day = local_s(EVENING), 735689
    today = Today(cases()["tiny"].house, now_s, now_s + 72 * HOUR_S)
    (found,) = read_if(text, today)
    assert found == Forced("gather", day, minute)
    force = forcing((found,), day)
    assert force is not None
    rows = force(np.zeros((2, 3, at.PLAN_WIDTH)))
    assert (rows[:, 0, at.GATHER_START] == minute).all()
    assert (rows[:, 1:] == 0.0).all()


def test_trips_are_supposed_only_where_sap_is_fetched() -> None:
    now_s = local_s(EVENING)
    with pytest.raises(InputError, match="no sap is fetched by hand"):
        read_if("gather 20:00", Today(demo_house(), now_s, now_s + 72 * HOUR_S))
