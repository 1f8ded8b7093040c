"""A fire that waits in the plan itself until one person alone has fetched the sap."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from outside_cases import gathering_house, who
from planning_cases import forecast_from, gallons, local_s, quick
from plant_houses import habit
from sugarwright.planning import after_trips
from sugarwright.planning.action import Action, Alone
from sugarwright.planning.actions import actions_of
from sugarwright.planning.after_trips import lit_after_trips
from sugarwright.planning.planned import Planned
from sugarwright.planning.today import plan_with_grounds
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.simulate import simulate
from sugarwright.plant.state import Levels
from sugarwright.weather.hours import HourlyWeather

NOW_S = local_s("2015-03-31 12:00")
EVENING = who((16 * 60, 22 * 60 + 30))
LEVELS = Levels(
    sap=gallons(60), stock=gallons(90, 5.0), permeate=gallons(200, 0.0),
    gathered=(gallons(0), gallons(150)), pan_brix=14.0,
)  # fmt: skip
HOUR_S = 3600


@pytest.fixture
def asked_at_four(whately_2015: HourlyWeather, monkeypatch: pytest.MonkeyPatch) -> Planned:
    """A plan of the invented house that has one alone fetch 150 gal at four, and light the fire."""
    quick(monkeypatch)
    plant = assemble(gathering_house("trips", (EVENING,)))
    forecast = forecast_from(whately_2015, NOW_S, 36)
    _, planned = plan_with_grounds(plant, forecast, LEVELS, NOW_S, 36)
    rows = habit(
        plant, len(planned.plan), FIRE_START=16 * 60.0, FIRE_STOP=20 * 60.0,
        MEMBRANE_START=-1.0, WASH_AT=-1.0, FIRE_STOCK_M3=0.1, FIRE_CALL_M3=0.0,
    )  # fmt: skip
    return replace(planned, plan=rows)


def _told(planned: Planned, kind: str) -> Action:
    return next(each for each in actions_of(planned.scene(0)) if each.kind == kind)


def test_a_fire_of_one_who_fetches_alone_is_asked_for_once_the_last_load_is_in(
    asked_at_four: Planned,
) -> None:
    asked = _told(asked_at_four, "light the fire")
    trips = _told(asked_at_four, "gather sap")
    end_s = trips.until_s or 0
    assert trips.time_s < (asked.expected_s or 0) < end_s  # the run is done sooner than a person
    assert trips.loads == 3
    held = lit_after_trips(asked_at_four)
    fire, trips = _told(held, "light the fire"), _told(held, "gather sap")
    assert trips.until_s == end_s == NOW_S + 6 * HOUR_S  # three loads of 40 minutes
    assert fire.time_s == fire.expected_s == end_s
    later_min = (end_s - (asked.expected_s or 0)) / 60.0
    assert held.plan[0, at.FIRE_START] == 18 * 60.0
    assert held.plan[0, at.FIRE_STOP] == 20 * 60.0 + later_min  # kept as long
    assert held.plan[0, at.FIRE_STOP] > 20 * 60.0
    others = [each for each in range(at.PLAN_WIDTH) if each not in (at.FIRE_START, at.FIRE_STOP)]
    assert (held.plan[0, others] == asked_at_four.plan[0, others]).all()
    assert lit_after_trips(held) is held


def test_what_such_a_fire_gives_is_of_the_hour_at_which_it_is_lit(asked_at_four: Planned) -> None:
    held = lit_after_trips(asked_at_four)
    asked, fire = (_told(each, "light the fire") for each in (asked_at_four, held))
    later_s = (fire.expected_s or 0) - (asked.expected_s or 0)
    assert later_s >= 600
    assert (fire.first_draw_s or 0) - (asked.first_draw_s or 0) == pytest.approx(later_s, abs=300)
    assert (fire.until_s or 0) - (asked.until_s or 0) == pytest.approx(later_s, abs=300)
    trace = simulate(held.plant, held.weathers.forecast, held.plan, held.state)
    lit = int(np.argmax(trace.column(at.T_FIRE_ON) > 0.0))
    assert trace.begin_s + lit * trace.step_s == fire.expected_s


def test_a_fire_that_another_lights_meanwhile_stays(asked_at_four: Planned) -> None:
    two = asked_at_four.weathers.forecast
    people = two.calendar.copy()
    people[people[:, at.PEOPLE] > 0.0, at.PEOPLE] = 2.0
    weathers = replace(asked_at_four.weathers, forecast=replace(two, calendar=people))
    both = replace(asked_at_four, weathers=weathers)
    assert lit_after_trips(both) is both


def test_a_fire_whose_hour_is_settled_stays(asked_at_four: Planned) -> None:
    days = range(len(asked_at_four.plan))
    settled = frozenset((day, at.FIRE_START) for day in days)
    assert lit_after_trips(asked_at_four, settled) is asked_at_four


def test_a_fire_asked_for_on_the_way_is_moved_though_none_is_lit_by_then() -> None:
    """The run waits for hands, and lights it as the trips end; who reads the hour would not."""
    end_s = NOW_S + 3 * HOUR_S
    trips = Action(
        "gather sap", NOW_S, expected_s=NOW_S, until_s=end_s, alone=Alone(light_after=True)
    )
    fire = Action("light the fire", NOW_S + HOUR_S // 2, expected_s=end_s)
    assert after_trips._lit_in_trips([trips, fire]) == (end_s, end_s)
    for other in (
        replace(fire, time_s=end_s),
        replace(fire, by_call=True),
        replace(fire, time_s=NOW_S - 60, expected_s=end_s),
    ):
        assert after_trips._lit_in_trips([trips, other]) is None
    assert after_trips._lit_in_trips([replace(trips, alone=None), fire]) is None


def test_a_fire_that_waits_for_its_feed_until_then_stays(asked_at_four: Planned) -> None:
    late = asked_at_four.plan.copy()
    late[:, at.FIRE_START] = 19 * 60.0
    planned = replace(asked_at_four, plan=late)
    assert lit_after_trips(planned) is planned


def test_the_plan_tells_of_such_a_fire_no_earlier(
    whately_2015: HourlyWeather, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the search finds: no plan has a fire lit, or offers to, while one alone fetches."""
    quick(monkeypatch)
    plant = assemble(gathering_house("trips", (EVENING,)))
    found = 0
    for day in ("30", "31"):
        now_s = local_s(f"2015-03-{day} 12:00")
        forecast = forecast_from(whately_2015, now_s, 36)
        report, _ = plan_with_grounds(plant, forecast, LEVELS, now_s, 36)
        for each in report.days:
            trips = [a for a in each.actions if a.kind == "gather sap" and a.expected_s]
            fires = [a for a in each.actions if a.kind == "light the fire" and a.expected_s]
            for trip in trips:
                for fire in fires:
                    assert not trip.time_s <= (fire.expected_s or 0) < (trip.until_s or 0)
                    if trip.alone is not None and trip.alone.light_after:
                        found += 1
                        earliest_s = fire.time_s if fire.slack is None else fire.slack.earliest_s
                        assert earliest_s >= (trip.until_s or 0)
    assert found
