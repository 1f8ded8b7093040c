"""What a plan says of a fire that burns already, of several fires in a day, and of their ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from outside_cases import EVENINGS, LEAD_DAYS, TUESDAY_S, air, gathering_house
from planning_cases import (
    CORD_M3,
    GALLON_M3,
    Planner,
    demo_house,
    demo_plant,
    forecast_from,
    gallons,
    local_s,
    quick,
    recording,
    usual_levels,
    without_membrane,
)
from sugarwright.cli.plan_message import message
from sugarwright.cli.plan_text import plan_lines
from sugarwright.planning.action import Action
from sugarwright.planning.actions import actions_of
from sugarwright.planning.by_the_hour import by_the_hour
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.planning.choices import habit_rows
from sugarwright.planning.fires import not_before
from sugarwright.planning.report import PlanReport, Range
from sugarwright.planning.scene import Scene
from sugarwright.planning.today import plan_today
from sugarwright.planning.told_there import with_whoever_tells
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.house import House
from sugarwright.plant.pan_kernel import until_safe_s
from sugarwright.plant.simulate import Trace, simulate
from sugarwright.plant.special_hours import SOMEBODY, Presence, SpecialHours
from sugarwright.plant.state import Levels, start_state
from sugarwright.saying.plan_actions import gauge_text, headline_text
from sugarwright.saying.plan_calendar import calendar_file
from sugarwright.saying.plan_parts import expected_text
from sugarwright.saying.plan_words import PlanWords
from sugarwright.weather.hours import HOUR_S, HourlyWeather

SATURDAY = "2015-03-21 09:00"  # people all day
NIGHT = "2015-03-16 23:00"  # nobody there any more
NOT = -1.0


@pytest.fixture(scope="module")
def planner() -> Iterator[Planner]:
    """Return a planner of small searches."""
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        yield recording(patch)


@cache
def _dear_house() -> House:
    """The demo's house where an hour costs so much that no fire is worth it."""
    house = demo_house()
    people = tuple(replace(each, hour_money_s=200.0 / 3600.0) for each in house.people)
    return replace(house, people=people)


def _plan(
    truth: HourlyWeather, house: House, levels: Levels, now: str = SATURDAY, hours: int = 24
) -> PlanReport:
    now_s = local_s(now)
    return plan_today(assemble(house), forecast_from(truth, now_s, hours), levels, now_s, hours)


def _text(report: PlanReport) -> str:
    return " ".join("\n".join(plan_lines(report)).split())


def _scene(
    truth: HourlyWeather, levels: Levels, plant: Plant | None = None, **changes: float
) -> Scene:
    """A Saturday of the demo's house by a row that asks for nothing but what is changed."""
    plant = plant or demo_plant()
    now_s = local_s(SATURDAY)
    drive = make_weathers(plant, forecast_from(truth, now_s, 24), now_s, 24, 1).forecast
    rows = habit_rows(plant, 2)
    rows[:, [at.MEMBRANE_START, at.FIRE_START, at.WASH_AT]] = NOT
    rows[:, at.FIRE_STOP] = 1440.0
    for name, value in changes.items():
        rows[0, getattr(at, name)] = value
    trace = simulate(plant, drive, rows, start_state(plant, levels))
    midnight = int(np.flatnonzero(drive.calendar[:, at.MINUTE] == 0.0)[0])
    return Scene(plant, drive, trace, rows[0], 0, midnight, levels.membrane_on, levels.fire_on)


def _fires(scene: Scene) -> list[Action]:
    return [each for each in actions_of(scene) if "fire" in each.kind]


# --- a fire that burns and is not kept ------------------------------------------------------------


def test_a_fire_that_is_not_kept_is_let_go_first_of_all(
    planner: Planner, whately_2015: HourlyWeather
) -> None:
    del planner  # its small searches are enough
    levels = usual_levels(fire_on=True, stock=gallons(100, 6.0))
    report = _plan(whately_2015, _dear_house(), levels)
    first = report.days[0].actions[0]
    assert (first.kind, first.caution) == ("let the fire go now", "burn-down")
    assert first.time_s == report.begin_s
    assert first.leave_s == report.begin_s + int(demo_plant().p[at.CLEAR_S])
    text = _text(report)
    assert "1 09:00 no more wood now: let the fire go" in text
    liquid = "keep liquid over the whole floor of the pan: feed it on"
    assert f"{liquid}, the 100 gal in the stock tank are enough" in text
    assert "stay until it has died down, about 10:09" in text
    assert CAUTIONS["burn-down"] in text
    shown = gauge_text(PlanWords(report), first)
    assert shown.startswith("keep liquid over the whole floor of the pan: feed it on")
    assert shown.endswith("; stay until it has died down, about 10:09")
    assert "Don't light" not in message(report)
    said = "let the fire go, no more wood, keep liquid over the whole pan floor, stay till 10:09."
    assert f"09:00 {said}" in message(report)
    calendar = calendar_file(report).decode().replace("\r\n ", "")
    assert "SUMMARY:Let the fire go now" in calendar
    assert "keep liquid over the whole floor of the pan" in calendar


def test_a_burning_fire_short_of_feed_is_told_to_be_fed_not_left_unlit(
    planner: Planner, whately_2015: HourlyWeather
) -> None:
    del planner
    levels = usual_levels(
        fire_on=True, sap=gallons(20), stock=gallons(3, 6.0), permeate=gallons(0, 0.0)
    )
    report = _plan(whately_2015, demo_house(), levels, "2015-03-16 19:00")
    assert "pan short of feed" in report.broken
    text = _text(report)
    assert "don't light" not in text
    warning = "a fire burns, and its feed may not last until it has died: stop stoking, "
    assert f"{warning}pour in sap, permeate or water before the pan is bare" in text
    assert text.index(warning) < text.index("no more wood now: let the fire go")
    assert "the 3 gal in the stock tank may not be enough: pour in sap, permeate or water" in text
    said = message(report)
    now = "The fire that burns now: feed may not last. Stop stoking, pour in sap, permeate or water"
    assert said.startswith(f"{now}, stay. Monday: 19:00 let the fire go")


def test_without_a_membrane_nobody_is_told_to_pour_in_permeate(
    planner: Planner, whately_2015: HourlyWeather
) -> None:
    del planner
    levels = Levels(sap=gallons(3), pan_brix=20.0, fire_on=True)
    report = _plan(whately_2015, without_membrane(demo_house()), levels, "2015-03-16 19:00")
    text = _text(report)
    assert "pour in sap or water before the pan is bare" in text
    assert "permeate" not in text.partition("habit")[0].partition("more ")[0]


def test_a_kept_fire_is_kept_without_a_gauge(whately_2015: HourlyWeather) -> None:
    levels = usual_levels(fire_on=True, stock=gallons(60, 6.0))
    keep, go = _fires(_scene(whately_2015, levels, FIRE_START=0.0, FIRE_STOCK_M3=0.4))
    assert (keep.kind, go.kind) == ("keep the fire", "let the fire go")
    assert keep.trigger is None


def test_a_fire_that_a_full_tank_keeps_is_told_as_kept(whately_2015: HourlyWeather) -> None:
    levels = usual_levels(fire_on=True, stock=gallons(130, 6.0))
    full = {"FIRE_CALL_M3": 105 * GALLON_M3}
    kinds = [each.kind for each in _fires(_scene(whately_2015, levels, **full))]
    assert kinds[:2] == ["keep the fire", "let the fire go"]
    assert "fire at need" not in kinds
    let_go = _fires(_scene(whately_2015, levels))
    assert [each.kind for each in let_go] == ["let the fire go now"]


@pytest.mark.parametrize(("lit_in", "kind"), [(7, "light the fire"), (6, "fire at need")])
def test_a_fire_that_a_full_tank_calls_for_in_most_weathers_is_told_as_any(
    lit_in: int, kind: str, whately_2015: HourlyWeather
) -> None:
    scene = _scene(
        whately_2015, usual_levels(stock=gallons(130, 6.0)), FIRE_CALL_M3=105 * GALLON_M3
    )
    light_ups = np.array([1.0] * lit_in + [0.0] * (10 - lit_in))
    fires = [each for each in actions_of(scene, light_ups) if "fire" in each.kind]
    light, go = fires[:2]
    assert (light.kind, light.by_call) == (kind, kind == "light the fire")
    assert light.trigger is not None
    assert light.trigger.at_least_m3 == pytest.approx(105 * GALLON_M3)
    assert go in by_the_hour(fires) or kind == "fire at need"
    assert (light in by_the_hour(fires)) == light.by_call
    assert scene.trace.column(at.T_FIRE_ON)[0] > 0.0
    assert light.expected_s == light.time_s


def test_a_fire_let_go_now_does_not_hide_the_one_to_be_lit_later(
    whately_2015: HourlyWeather,
) -> None:
    levels = usual_levels(fire_on=True, stock=gallons(120, 6.0))
    fires = _fires(_scene(whately_2015, levels, FIRE_START=14 * 60.0))
    assert [each.kind for each in fires] == [
        "let the fire go now", "light the fire", "let the fire go"
    ]  # fmt: skip
    assert fires[1].time_s - fires[0].time_s == 5 * 3600


# --- somebody is there only for what runs ---------------------------------------------------------


def _by_a_greedy_plan(truth: HourlyWeather, told: Presence, levels: Levels) -> Trace:
    """A night of the demo's house by a plan that would begin everything at any minute."""
    now_s = local_s(NIGHT)
    plant = replace(demo_plant(), special=SpecialHours((told,)))
    drive = make_weathers(plant, forecast_from(truth, now_s, 6), now_s, 6, 1).forecast
    rows = habit_rows(plant, 2)
    rows[:, [at.MEMBRANE_START, at.FIRE_START, at.WASH_AT, at.WASH_AFTER_S]] = 0.0
    rows[:, [at.MEMBRANE_SAP_M3, at.FIRE_STOCK_M3]] = 0.0
    rows[:, [at.MEMBRANE_STOP, at.FIRE_STOP]] = 1440.0
    return simulate(plant, drive, rows, start_state(plant, levels))


@pytest.mark.parametrize("only_for_what_runs", [True, False])
def test_in_hours_counted_for_what_runs_nothing_new_is_begun(
    only_for_what_runs: bool, whately_2015: HourlyWeather
) -> None:
    begin_s = local_s(NIGHT)
    told = Presence(SOMEBODY, begin_s, begin_s + 5 * 3600, True, only_for_what_runs)
    levels = usual_levels(stock=gallons(100, 6.0), permeate=gallons(200, 0.0))
    trace = _by_a_greedy_plan(whately_2015, told, levels)
    begun = [trace.column(each).any() for each in (at.T_FIRE_ON, at.T_MEMBRANE_ON, at.T_CLEANING)]
    assert any(begun) is not only_for_what_runs
    burning = _by_a_greedy_plan(whately_2015, told, replace(levels, fire_on=True))
    on = burning.column(at.T_FIRE_ON) > 0.0
    assert on[:12].all()  # what runs is kept
    assert not on[-1]


def test_who_is_counted_is_offered_nothing_new(whately_2015: HourlyWeather, planner: Any) -> None:
    levels = usual_levels(
        fire_on=True, pan_brix=20.0, stock=gallons(120, 6.0), permeate=gallons(200, 0.0)
    )
    now_s = local_s(NIGHT)
    known = forecast_from(whately_2015, now_s, 12)
    worked = planner(demo_plant(), known, levels, now_s, 12)
    _, until_s = with_whoever_tells(demo_plant(), levels, now_s)
    assert worked.report.counted_until_s == until_s
    assert until_s is not None
    menu, at_min = worked.menu, 23 * 60.0
    np.testing.assert_array_equal(menu.lights[0], [NOT, at_min])  # to keep what burns
    np.testing.assert_array_equal(menu.washes[0], [NOT])
    np.testing.assert_array_equal(menu.starts[0], [NOT])
    new = ("light", "wash", "membrane on")
    early = [each for day in worked.report.days for each in day.actions if each.time_s < until_s]
    assert early
    assert not [each.kind for each in early if each.kind.startswith(new)]
    assert "Outside the hours of sugarhouse.toml nothing new is begun" in _text(worked.report)


def test_a_fire_kept_beyond_the_house_s_hours_says_first_who_must_stay_and_else_what(
    planner: Planner, whately_2015: HourlyWeather
) -> None:
    del planner
    levels = usual_levels(fire_on=True, pan_brix=20.0, stock=gallons(120, 6.0))
    report = _plan(whately_2015, demo_house(), levels, NIGHT, 12)
    keep, go = report.days[0].actions[:2]
    assert (keep.kind, go.kind) == ("keep the fire", "let the fire go")
    assert keep.only_if_stay_s == go.only_if_stay_s == go.leave_s
    assert keep.else_stay_s == report.begin_s + int(demo_plant().p[at.CLEAR_S])
    stay = datetime.fromtimestamp(go.leave_s or 0, ZoneInfo("America/New_York")).strftime("%H:%M")
    first = f"only if you can stay until about Tuesday {stay}"
    otherwise = "else no more wood now, and stay until about Tuesday 00:09"
    text = _text(report)
    assert f"1 23:00 {first}: keep the fire, as long as" in text
    assert f"above the reserve; {otherwise}" in text
    assert "if you stayed: last wood when" in text
    assert "stay until it has ended, or let the fire go now if you can't stay so long" in text
    words = PlanWords(report)
    assert gauge_text(words, keep) == f"{first}; {otherwise}"
    assert headline_text(words, keep) == "Keep the fire, only if you can stay"
    said = message(report)
    assert f"23:00 only if you can stay till {stay}: keep the fire, last wood" in said
    assert "; else no more wood now, stay till 00:09." in said
    calendar = calendar_file(report).decode().replace("\r\n ", "")
    assert "SUMMARY:Keep the fire\\, only if you can stay" in calendar
    assert "SUMMARY:Let the fire go\\, if you stayed" in calendar


def test_a_fire_that_somebody_must_stay_for_comes_first(whately_2015: HourlyWeather) -> None:
    found = actions_of(_called_after_midnight(whately_2015, membrane_on=True))
    assert found[0].time_s == found[1].time_s
    assert [each.kind for each in found[:2]] == ["keep the fire", "membrane runs on"]


def test_a_fire_kept_within_the_house_s_hours_asks_for_no_more(whately_2015: HourlyWeather) -> None:
    levels = usual_levels(fire_on=True, stock=gallons(60, 6.0))
    keep, go = _fires(_scene(whately_2015, levels, FIRE_START=0.0, FIRE_STOCK_M3=0.4))
    assert keep.only_if_stay_s is keep.else_stay_s is go.only_if_stay_s is None


def test_a_fire_let_go_within_an_hour_dies_from_then_on() -> None:
    begin_s = local_s(SATURDAY)
    go = Action("let the fire go now", begin_s, expected_s=begin_s, leave_s=begin_s + 4000)
    keep = Action("keep the fire", begin_s, only_if_stay_s=begin_s + 9000, else_stay_s=begin_s + 60)
    now = not_before(go, begin_s + 240)
    assert (now.time_s, now.leave_s) == (begin_s + 240, begin_s + 4240)
    kept = not_before(keep, begin_s + 240)
    assert (kept.only_if_stay_s, kept.else_stay_s) == (begin_s + 9000, begin_s + 300)
    assert not_before(go, begin_s - 3600) == go


# --- several fires in a day -----------------------------------------------------------------------


def test_the_syrup_of_a_day_s_fires_is_the_day_s_syrup(whately_2015: HourlyWeather) -> None:
    levels = usual_levels(
        sap=gallons(400), stock=gallons(40, 6.0), pan_brix=30.0, fire_on=True, membrane_on=True
    )
    scene = _scene(
        whately_2015, levels, FIRE_START=0.0, FIRE_STOCK_M3=20 * GALLON_M3, MEMBRANE_START=0.0,
        MEMBRANE_STOP=1440.0, MEMBRANE_FLOW_M3_S=0.25 * GALLON_M3 / 60.0,
        NIGHT_FLOW_M3_S=0.25 * GALLON_M3 / 60.0,
    )  # fmt: skip
    fires = [each for each in _fires(scene) if each.syrup_m3 is not None]
    assert [each.kind for each in fires][:2] == ["keep the fire", "light the fire again"]
    heat = scene.trace.column(at.T_HEAT)
    again = int((fires[1].time_s - scene.time_s(0)) // scene.trace.step_s)
    assert (heat[:again] > 0.0).all()  # lit before the one before was cold
    drawn_kg = scene.trace.column(at.T_SYRUP_KG)
    assert sum(each.draws or 0 for each in fires) == round(
        float(drawn_kg[-1] / scene.plant.p[at.DRAW_KG])
    )
    today = sum((each.syrup_m3 or 0.0) - (each.syrup_later_m3 or 0.0) for each in fires)
    whole = sum(each.syrup_m3 or 0.0 for each in fires)
    assert today / whole == pytest.approx(float(drawn_kg[scene.last - 1] / drawn_kg[-1]))


def test_a_fire_past_midnight_has_its_latest_hour_on_the_next_day(
    whately_2015: HourlyWeather,
) -> None:
    now_s = local_s(SATURDAY)
    told = Presence(SOMEBODY, now_s, now_s + 20 * 3600, there=True)
    plant = replace(demo_plant(), special=SpecialHours((told,)))
    levels = usual_levels(stock=gallons(130, 6.0), pan_brix=20.0)
    late = {"FIRE_START": 22 * 60.0, "FIRE_STOP": 60.0}
    light, go = _fires(_scene(whately_2015, levels, plant, **late))
    assert light.expected_s == local_s("2015-03-21 22:00")
    assert go.expected_s == go.latest_s == local_s("2015-03-22 01:00")
    assert light.latest_s is not None
    assert light.latest_s > local_s("2015-03-21 22:00")
    assert light.syrup_later_m3


def _called_after_midnight(truth: HourlyWeather, *, membrane_on: bool = False) -> Scene:
    """A fire told of at night, kept till midnight, and past it by a tank that calls then."""
    now_s = local_s(NIGHT)
    levels = usual_levels(
        fire_on=True, membrane_on=membrane_on, stock=gallons(120, 6.0), pan_brix=20.0
    )
    plant, _ = with_whoever_tells(demo_plant(), levels, now_s)
    drive = make_weathers(plant, forecast_from(truth, now_s, 12), now_s, 12, 1).forecast
    rows = habit_rows(plant, 2)
    rows[:, [at.MEMBRANE_START, at.WASH_AT]] = NOT
    if membrane_on:
        rows[0, [at.MEMBRANE_START, at.MEMBRANE_STOP]] = 23 * 60.0, 1440.0
    rows[0, [at.FIRE_START, at.FIRE_STOP, at.FIRE_CALL_M3]] = 23 * 60.0, 1440.0, 0.0
    rows[1, [at.FIRE_START, at.FIRE_STOP]] = 18 * 60.0, 1440.0
    rows[1, at.FIRE_CALL_M3] = 60 * GALLON_M3
    state = start_state(plant, levels)
    trace = simulate(plant, drive, rows, state)
    midnight = int(np.flatnonzero(drive.calendar[:, at.MINUTE] == 0.0)[0])
    return Scene(
        plant, drive, trace, rows[0], 0, midnight, membrane_on, True, plan=rows, state=state
    )


def test_the_latest_hour_of_a_fire_that_a_tank_keeps_past_midnight_is_that_of_the_run(
    whately_2015: HourlyWeather,
) -> None:
    scene = _called_after_midnight(whately_2015)
    keep, go = _fires(scene)
    assert go.expected_s is not None
    assert go.expected_s > local_s("2015-03-17 00:30")
    assert go.time_s == go.latest_s == go.expected_s == keep.until_s
    assert go.leave_s == go.expected_s + int(scene.plant.p[at.CLEAR_S])
    drawn_kg = scene.trace.column(at.T_SYRUP_KG)
    assert keep.draws == round(float(drawn_kg[-1] / scene.plant.p[at.DRAW_KG]))
    assert keep.syrup_later_m3  # and the next day's list does not tell it again


# --- the end of the wood, and of the season -------------------------------------------------------


def test_a_fire_that_burns_its_wood_up_says_when(whately_2015: HourlyWeather) -> None:
    levels = usual_levels(
        fire_on=True, stock=gallons(130, 6.0), wood_m3=0.03 * CORD_M3, pan_brix=20.0
    )
    keep, go = _fires(_scene(whately_2015, levels, FIRE_START=0.0))
    assert keep.ends == go.ends == "fuel"
    assert go.expected_s == keep.until_s == go.time_s
    assert go.latest_s is not None
    assert go.latest_s > go.time_s


@pytest.fixture(scope="module")
def warm(whately_2015: HourlyWeather) -> HourlyWeather:
    """Return a spring that is over: no frost any more, and no sap."""
    air_c = whately_2015.temperature_c.copy()
    begin = int((local_s("2015-03-17 00:00") - int(whately_2015.time_s[0])) // 3600)
    air_c[begin:] = 14.0
    return replace(whately_2015, temperature_c=air_c)


def test_the_last_pan_of_a_season_is_to_be_finished(warm: HourlyWeather) -> None:
    levels = usual_levels(sap=gallons(20), stock=gallons(60, 3.0), pan_brix=2.0)
    light, *_ = _fires(_scene(warm, levels, FIRE_START=0.0, FIRE_STOCK_M3=0.1))
    assert light.draws == 0
    assert light.left_syrup_m3 is not None
    assert light.left_brix is not None
    pan_m3 = sum(demo_house().pan.compartments_m3)
    held_m3 = light.left_syrup_m3 * 66.9 * 1.33 / (light.left_brix * 1.02)
    assert held_m3 == pytest.approx(pan_m3, rel=0.1)
    more = replace(levels, stock=gallons(130, 8.0))
    drawn, *_ = _fires(_scene(warm, more, FIRE_START=0.0, FIRE_STOCK_M3=0.1))
    assert drawn.draws
    assert drawn.left_syrup_m3 is None


# --- as it is read --------------------------------------------------------------------------------


def test_the_end_of_the_wood_and_of_the_season_in_words(
    planner: Planner, whately_2015: HourlyWeather, warm: HourlyWeather
) -> None:
    del planner
    levels = usual_levels(
        fire_on=True, stock=gallons(130, 6.0), wood_m3=0.03 * CORD_M3, pan_brix=20.0
    )
    report = _plan(whately_2015, demo_house(), levels)
    go = next(each for each in report.days[0].actions if each.kind == "let the fire go")
    text = _text(report)
    zone = ZoneInfo("America/New_York")
    gone = datetime.fromtimestamp(go.expected_s or 0, zone).strftime("%H:%M")
    assert f"{gone} the wood is gone about {gone}: have " in text
    assert "last wood when" not in text
    assert "keep the fire, as long as there is wood, and feed above the reserve" in text
    house = without_membrane(demo_house())
    free = replace(house, people=tuple(replace(each, hour_money_s=0.0) for each in house.people))
    late = Levels(sap=gallons(60, 3.0), pan_brix=2.0)
    text = _text(_plan(warm, free, late))
    assert "hardly any sap is to come: the pan will stand at about" in text
    assert "finish it within days: push it through with water, or drain it" in text
    assert "nothing to draw yet" not in text


def test_without_wood_that_is_the_reason_and_the_loss_is_told(
    planner: Planner, warm: HourlyWeather
) -> None:
    del planner
    levels = Levels(sap=gallons(400, 2.0), pan_brix=10.0, wood_m3=0.0)
    report = _plan(warm, without_membrane(demo_house()), levels, hours=72)
    idle = report.days[0].idle
    assert idle is not None
    assert idle.why == "no wood"
    text = _text(report)
    assert "of sap to come: no wood for a fire. Next look" in text
    lost = f"about {report.plan.lost_m3 / GALLON_M3:.0f} gal run over or spoil by Tuesday"
    assert report.plan.lost_m3 > 10 * GALLON_M3
    assert f"no fire is planned, and {lost}. Bring wood" in text
    wood = next(each for each in report.limits if each.what == "wood")
    assert wood.money > 10.0
    needless = replace(report, limits=(replace(wood, money=0.0),))
    assert "Bring wood" not in _text(needless)


@pytest.mark.parametrize(("kind", "why"), [("fire at need", "needed"), ("light the fire", "lit")])
def test_a_fire_that_most_weathers_do_not_have_is_told_as_such(
    kind: str, why: str, planner: Planner, whately_2015: HourlyWeather
) -> None:
    del planner
    report = _plan(whately_2015, demo_house(), usual_levels())
    day = replace(
        report.days[0],
        actions=(Action(kind, report.begin_s),),
        fire_s=Range(0.0, 0.0, 960.0),
        lit_fire_s=Range(1.0 * 3600.0, 3.0 * 3600.0, 4.0 * 3600.0),  # where it comes to one
        wood_m3=Range(0.0, 0.0, 0.4),
    )
    said = expected_text(PlanWords(report), day)
    assert f"no fire most likely, up to 4 h at it if one is {why}" in said
    assert "0 h (0 to" not in said
    assert "of wood" not in said


def test_nothing_said_of_a_dying_fire_can_be_read_as_putting_a_lid_on(
    planner: Planner, whately_2015: HourlyWeather
) -> None:
    del planner
    go_now = _plan(whately_2015, _dear_house(), usual_levels(fire_on=True, stock=gallons(100, 6.0)))
    keep = _plan(whately_2015, demo_house(), usual_levels(fire_on=True, stock=gallons(130, 6.0)))
    short = usual_levels(
        fire_on=True, stock=gallons(130, 6.0), wood_m3=0.03 * CORD_M3, pan_brix=20.0
    )
    gone = _plan(whately_2015, demo_house(), short)
    for report in (go_now, keep, gone):
        said = f"{_text(report)} {message(report)}"
        assert "liquid over the whole" in said
        assert "cover" not in said


# --- a fire that was let go before the plan begins -----------------------------------------------


def test_who_is_alone_with_a_dying_fire_is_counted_until_it_has_died() -> None:
    plant, now_s = demo_plant(), local_s(NIGHT)
    dying = usual_levels(heat_fraction=0.5, pan_brix=20.0, stock=gallons(60, 6.0))
    _, until_s = with_whoever_tells(plant, dying, now_s)
    died_s = until_safe_s(plant.p, start_state(plant, dying))
    assert until_s is not None
    assert died_s < until_s - now_s <= died_s + 2 * plant.step_s + 60  # no feed is boiled first
    for heat_fraction in (0.0, 0.09):
        cold = replace(dying, heat_fraction=heat_fraction)
        assert with_whoever_tells(plant, cold, now_s)[1] is None


@pytest.mark.parametrize("minutes", [30, 57])
def test_a_fire_let_go_before_ties_whoever_drains_until_it_has_died(
    minutes: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick(monkeypatch)
    air_c = air(-12.0)
    known = HourlyWeather(TUESDAY_S + HOUR_S * (np.arange(len(air_c)) - 24 * LEAD_DAYS), air_c)
    plant = assemble(gathering_house("pump", (EVENINGS,)))
    now_s = TUESDAY_S + 21 * HOUR_S + 60 * minutes
    levels = Levels(sap=gallons(20), pan_brix=20.0, heat_fraction=0.9)
    report = plan_today(plant, known, levels, now_s, 24)
    died_s = now_s + until_safe_s(plant.p, start_state(plant, levels))
    stay, drain = report.days[0].actions[:2]
    assert (stay.kind, drain.kind) == ("stay with the pan", "drain before the frost")
    assert stay.time_s == now_s
    assert stay.leave_s == report.standing.fire_dies_s == pytest.approx(died_s, abs=1.0)
    assert died_s <= (drain.leave_s or drain.time_s) <= died_s + 3 * plant.step_s
