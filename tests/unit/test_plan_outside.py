"""What a plan says of outside: trips for sap, full gathering tanks, draining before a frost."""

from __future__ import annotations

import re
from dataclasses import asdict, replace

import numpy as np
import pytest

from outside_cases import (
    DRAINING,
    EVENINGS,
    LEAD_DAYS,
    NOBODY,
    TUESDAY_S,
    Outside,
    air,
    gathering_house,
    outside,
    who,
    words_of,
)
from planning_cases import (
    GALLON_M3,
    demo_house,
    forecast_from,
    gallons,
    local_s,
    quick,
    without_membrane,
)
from sugarwright.answering.today import doings
from sugarwright.cli.plan_message import message
from sugarwright.cli.plan_text import plan_lines
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.planning.action import Action, Alone, Trigger
from sugarwright.planning.actions import actions_of
from sugarwright.planning.beginning import PointTank
from sugarwright.planning.draining import frozen_full
from sugarwright.planning.outlook import lost_m3
from sugarwright.planning.report import Watch
from sugarwright.planning.report_file import report_of
from sugarwright.planning.today import plan_today
from sugarwright.planning.trip_hands import busy_until_s, with_hands
from sugarwright.planning.watches import gathering_full
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import Person
from sugarwright.plant.simulate import run_many
from sugarwright.plant.special_hours import Outage, SpecialHours
from sugarwright.plant.state import Levels
from sugarwright.saying.plan_actions import does_texts, headline_text
from sugarwright.saying.plan_parts import standing_text
from sugarwright.saying.plan_watches import watch_text, watch_texts
from sugarwright.weather.hours import HourlyWeather

MILD, COLD = air(3.0), air(-4.0)
HOUR_S = 3600
LOW, HIGH = -0.9, -4.0


def clock(time_s: float) -> float:
    """Hours after the midnight of Tuesday."""
    return (time_s - TUESDAY_S) / HOUR_S


@pytest.fixture(scope="module")
def fetched() -> Outside:
    """Return a day that begins with 150 gal in the pails, and people there in the evening too."""
    return outside(gathering_house("trips", (EVENINGS,)), 150.0, COLD)


# --- trips ---------------------------------------------------------------------------------------


def test_trips_in_a_row_are_one_action_with_what_they_bring(fetched: Outside) -> None:
    first = fetched.told("gather sap")[0]
    assert clock(first.time_s) == 6.0
    assert first.on_arrival
    assert first.trigger == Trigger("gathering:road pails", pytest.approx(40 * GALLON_M3))
    assert first.loads == 3
    assert first.gathered_m3 == pytest.approx(150 * GALLON_M3, rel=0.1)
    assert first.until_s is not None  # three whole loads of 40 minutes, and a membrane to stop
    assert (first.until_s - first.time_s) / 60 == 3 * 40 + 5
    assert first.overtime_s == 5 * 60


def test_what_trips_bring_is_what_the_sap_tank_gains(fetched: Outside) -> None:
    told = [each for day in (0, 1) for each in fetched.told("gather sap", day)]
    held = fetched.trace.column(at.T_GATHERED_M3)[-1]
    came = fetched.yard.come_m3[0, :, 1].sum()
    brought = sum(each.gathered_m3 or 0.0 for each in told)
    assert brought == pytest.approx(150 * GALLON_M3 + came - held, rel=1e-6)


def test_sap_is_gathered_before_the_fire_that_waits_for_it() -> None:
    plan = {"FIRE_START": 6 * 60.0, "MEMBRANE_START": 6 * 60.0}
    found = actions_of(outside(gathering_house("trips", (EVENINGS,)), 150.0, COLD, **plan).scene())
    assert found[0].kind == "gather sap"
    assert {"light the fire", "membrane on"} <= {
        each.kind for each in found if each.time_s == found[0].time_s
    }


def test_nobody_is_sent_who_is_not_there() -> None:
    alone = outside(gathering_house("trips", NOBODY), 195.0, COLD)
    assert not alone.told("gather sap")
    assert not alone.told("gather at need")


def test_pumped_sap_needs_no_trip() -> None:
    pumped = outside(gathering_house("pump", (EVENINGS,)), 150.0, COLD)
    assert pumped.yard.emptying.any()
    assert not pumped.told("gather sap")


def test_trips_that_other_weathers_bring_are_told_at_need() -> None:
    frozen = air(-6.0, highest_c=-3.0)
    house = gathering_house("trips", (EVENINGS,))
    some = outside(house, 5.0, frozen, frozen, frozen, COLD)
    assert not some.told("gather sap")
    need = some.told("gather at need", 1) or some.told("gather at need")
    assert need[0].probability == pytest.approx(1 / 3)
    none = outside(house, 5.0, frozen, frozen)
    assert not none.told("gather at need") + none.told("gather at need", 1)


def test_trips_are_said_with_place_amount_level_and_hands(fetched: Outside) -> None:
    action = fetched.told("gather sap")[0]
    words = words_of(action)
    text = " ".join(does_texts(words, action))
    for part in ("from road pails", "its tank has 40 gal", "else wait for it", "3 loads",
                 "till about 08:05", "leave the last load, or stay",
                 "one person 40 min"):  # fmt: skip
        assert part in text
    assert headline_text(words, action) == "Gather sap, road pails"
    assert "06:00 gather sap road pails, 3 loads, if 40 gal there, look" in message(words.report)


def test_a_gauge_that_is_met_now_is_not_waited_for(fetched: Outside) -> None:
    action = replace(fetched.told("gather sap")[0], time_s=TUESDAY_S)
    tank = PointTank("road pails", 150 * GALLON_M3, 2.0, 200 * GALLON_M3)
    assert "has 40 gal" not in " ".join(does_texts(words_of(action, gathered=(tank,)), action))
    low = replace(tank, held_m3=20 * GALLON_M3)
    assert "has 40 gal" in " ".join(does_texts(words_of(action, gathered=(low,)), action))


def test_trips_are_done_once_the_log_has_them_all(fetched: Outside) -> None:
    action = fetched.told("gather sap")[0]
    report = words_of(action).report

    def state(*gallons: float, place: str = "gathering:road pails") -> str:
        entries = [
            Entry(f"k{n:07d}", "gather", action.time_s + 600.0 * n, 0.0, place=place,
                  measures=(Measure("volume", each * GALLON_M3),))
            for n, each in enumerate(gallons)
        ]  # fmt: skip
        return doings(report, entries, action.time_s + HOUR_S)[0].state

    assert state(55) == "due"
    assert state(60, 70) == "done"
    assert state(10, 10, 10) == "done"  # three loads, however small
    assert state(150, place="gathering:elsewhere") == "due"


# --- tanks ---------------------------------------------------------------------------------------


def test_what_was_told_of_gathering_and_pan_is_echoed() -> None:
    tank = PointTank("road pails", 150 * GALLON_M3, 2.0, 200 * GALLON_M3)
    text = standing_text(words_of(gathered=(tank,), pan_brix=20.0))
    assert "road pails 150 of 200 gal, 2.0 Brix; pan 20.0 Brix" in text
    assert "pan empty" in standing_text(words_of(pan_brix=0.0))
    assert "pan" not in standing_text(words_of())  # a plan kept before it was told


def test_a_gathering_tank_that_gets_full_is_watched_with_what_is_lost() -> None:
    alone = outside(gathering_house("trips", NOBODY), 195.0, COLD, COLD, air(-3.0))
    (watch,) = gathering_full(alone.plant, alone.checked)
    assert (watch.what, watch.point) == ("gathering tank full", "road pails")
    assert watch.why == "nobody there"
    assert watch.probability == 1.0
    plans = alone.rows[np.newaxis]
    totals = run_many(alone.plant, alone.weathers, plans, alone.state).totals[0]
    assert (totals[:, at.SAP_PEAK_M3] < alone.plant.p[at.SAP_CAPACITY_M3]).all()  # all lost there
    assert watch.lost_m3 == pytest.approx(np.median(lost_m3(alone.plant, totals)), rel=1e-3)
    text = watch_text(words_of(), watch)
    assert text.startswith("road pails full: nearly certain, about 00:50")
    assert "nobody there to fetch it" in text
    assert f"about {watch.lost_m3 / GALLON_M3:.0f} gal run over" in text


def test_a_tank_that_is_fetched_from_in_time_is_not_watched(fetched: Outside) -> None:
    assert not gathering_full(fetched.plant, fetched.checked)


def test_a_pump_out_of_order_is_why_its_tank_gets_full() -> None:
    house = gathering_house("pump", (EVENINGS,))
    works = outside(house, 60.0, COLD)
    assert not gathering_full(works.plant, works.checked)
    out = SpecialHours(outages=(Outage("pump", TUESDAY_S, TUESDAY_S + 2 * 86400),))
    broken = outside(house, 60.0, COLD, special=out)
    (watch,) = gathering_full(broken.plant, broken.checked)
    assert "its pump is out of order" in watch_text(words_of(), watch)


def test_a_whole_plan_of_a_house_with_nobody_there_knows_its_pails(
    whately_2015: HourlyWeather,
) -> None:
    pails = replace(gathering_house("trips").gathering[1], name="road pails")
    house = replace(without_membrane(demo_house()), gathering=(pails,), people=NOBODY, chores=())
    now_s, levels = local_s("2015-03-16 05:10"), Levels(sap=gallons(60), gathered=(gallons(195),))
    known = forecast_from(whately_2015, now_s, 36)
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        report = plan_today(assemble(house), known, levels, now_s, 36)
    (tank,) = report.standing.gathered
    assert (tank.name, tank.held_m3) == ("road pails", pytest.approx(195 * GALLON_M3))
    idle = report.days[0].idle
    assert idle is not None
    assert idle.held_m3 == pytest.approx(255 * GALLON_M3)
    assert "gathering tank full" in [each.what for each in report.watch]
    text = re.sub(r"\s+", " ", "\n".join(plan_lines(report)))
    assert "road pails 195 of 200 gal" in text
    assert "255 gal in the tanks" in text
    assert "road pails full: nearly certain" in text
    assert report_of(asdict(report)) == report


def test_a_pumped_tank_behind_a_full_sap_tank_has_no_line_of_its_own() -> None:
    sap = Watch("sap tank full", 0.5, TUESDAY_S, TUESDAY_S)
    point = Watch("gathering tank full", 0.3, TUESDAY_S, TUESDAY_S, "east", 0.1, "sap tank full")
    words = words_of()
    (day,) = words.report.days

    def lines(*watch: Watch) -> list[str]:
        object.__setattr__(words.report, "watch", watch)
        return list(watch_texts(words, day))

    assert len(lines(sap, point)) == 1
    assert len(lines(sap, replace(point, probability=0.7))) == 2
    assert len(lines(sap, replace(point, why="frost"))) == 2


# --- frost ---------------------------------------------------------------------------------------

PUMP = gathering_house("pump", (EVENINGS,))
NO_FIRE = {"FIRE_START": -1.0}


def with_chore(people: int, hours: float, *there: object) -> Outside:
    """Return a day without a fire, in which draining takes so many people so long."""
    chore = replace(DRAINING, people=people, duration_s=hours * HOUR_S)
    house = replace(PUMP, chores=(chore,), people=there or PUMP.people)
    return outside(house, 60.0, COLD, **NO_FIRE)


def test_draining_takes_as_long_as_the_house_s_chore_says() -> None:
    short, long = (with_chore(1, hours).told("drain before the frost")[0] for hours in (0.5, 2.0))
    assert (short.duration_s, long.duration_s) == (1800.0, 7200.0)
    assert short.time_s - long.time_s == 5400  # done by when people leave, or it freezes
    assert "(2 h)" in " ".join(does_texts(words_of(long), long))


def test_draining_that_takes_two_waits_for_the_second_or_says_so() -> None:
    helper = who((17 * 60, 18 * 60), name="helper")
    both = with_chore(2, 0.5, EVENINGS, helper).told("drain before the frost")[0]
    assert clock(both.time_s) == 17.5
    assert (both.ends, both.people, both.people_free) == ("", 2, 2)
    one = with_chore(2, 0.5).told("drain before the frost")[0]
    assert (one.ends, one.people, one.people_free) == ("too few people", 2, 1)
    text = " ".join(does_texts(words_of(one), one))
    assert "that takes two, and one is free then: call somebody" in text
    assert "call somebody" not in " ".join(does_texts(words_of(both), both))


def test_a_stay_too_short_is_not_laid_to_a_fire() -> None:
    short = with_chore(1, 1.0, who((17 * 60, 17 * 60 + 30)))
    (action,) = short.told("drain before the frost")
    assert (clock(action.time_s), action.ends) == (17.0, "short stay")
    text = " ".join(does_texts(words_of(action), action))
    assert "fire" not in text
    assert "nobody stays so long as that takes (1 h)" in text


def test_a_line_that_is_pumped_full_again_after_the_draining_is_told() -> None:
    early = with_chore(1, 0.5, who((6 * 60, 8 * 60)))
    (action,) = early.told("drain before the frost")
    runs = np.flatnonzero(early.yard.emptying[0, :, 1]) * 300 + TUESDAY_S
    later = runs[runs >= action.time_s + 1800]
    assert action.pumped_again_s == later[0] < action.expected_s
    text = " ".join(does_texts(words_of(action), action))
    assert "the pump would fill the line again" in text
    assert "switch it off once drained" in text
    (late,) = with_chore(1, 0.5, who((16 * 60, 24 * 60))).told("drain before the frost")
    assert late.pumped_again_s is None


def test_pumping_that_only_other_weathers_bring_counts_if_likely() -> None:
    frozen = air(-6.0, highest_c=-2.5)
    house = replace(PUMP, people=(who((6 * 60, 8 * 60)),))
    dry = outside(house, 0.0, frozen, frozen)
    assert not dry.told("drain before the frost")  # nothing ran: nothing to drain
    some = outside(house, 0.0, frozen, COLD, COLD, frozen, **NO_FIRE)
    (action,) = some.told("drain before the frost")
    assert action.pumped_again_s is not None
    assert action.probability == pytest.approx(2 / 3)


def test_a_frost_with_nobody_there_before_it_is_a_watch() -> None:
    alone = outside(replace(PUMP, people=NOBODY), 60.0, COLD)
    assert not alone.told("drain before the frost")
    (watch,) = frozen_full(alone.scene(), alone.weathers)
    assert watch.what == "frost with nobody there"
    assert watch.time_s is not None
    assert 18.0 < clock(watch.time_s) < 30.0
    assert "nobody there to drain pump and line" in watch_text(words_of(), watch)
    there = outside(PUMP, 60.0, COLD)
    found = frozen_full(there.scene(), there.weathers)
    assert [each.what for each in found] == ["freezes with nobody there"]  # at midnight, not later


@pytest.mark.parametrize(("colder", "told"), [(1, False), (3, True)])
def test_a_frost_likely_enough_is_drained_for_though_the_forecast_stays_above(
    colder: int, told: bool
) -> None:
    weathers = [air(HIGH)] * colder + [air(LOW)] * (8 - colder)
    evening = outside(PUMP, 60.0, air(LOW), *weathers, **NO_FIRE)
    found = evening.told("drain before the frost")
    assert bool(found) == told
    if told:
        assert found[0].probability == pytest.approx(colder / 8)
        assert "(4 in 10" in " ".join(does_texts(words_of(found[0]), found[0]))


def test_how_likely_a_frost_of_the_forecast_is_is_told_too() -> None:
    weathers = [air(HIGH)] * 3 + [air(LOW)] * 2
    (action,) = outside(PUMP, 60.0, air(HIGH), *weathers, **NO_FIRE).told("drain before the frost")
    assert action.probability == pytest.approx(0.6)
    assert "(6 in 10)" in " ".join(does_texts(words_of(action), action))


def test_a_frost_that_may_come_early_says_so() -> None:
    action = Action(
        "drain before the frost", TUESDAY_S, expected_s=TUESDAY_S + 20 * HOUR_S,
        early_s=TUESDAY_S + 18 * HOUR_S, probability=0.9, caution="frost",
    )  # fmt: skip
    text = " ".join(does_texts(words_of(action), action))
    assert "frost by 20:00 (9 in 10, hardly before 18:00)" in text


def test_a_watch_of_an_older_plan_still_reads() -> None:
    watch = Watch("sap tank full", 0.3, None, None)
    assert watch_text(words_of(), watch) == "sap tank full: 3 in 10"


# --- fetching alone ------------------------------------------------------------------------------


def fetching(*people: Person, **plan: float) -> Outside:
    """Return a day on which 150 gal are fetched from six on in three loads of 40 minutes."""
    rows = {"FIRE_START": -1.0, "MEMBRANE_START": -1.0, "WASH_AT": -1.0, **plan}
    return outside(gathering_house("trips", people), 150.0, COLD, **rows)


LONG = who((6 * 60, 14 * 60))
RUN = {"MEMBRANE_START": 6 * 60.0, "MEMBRANE_SAP_M3": 20 * GALLON_M3, "MEMBRANE_STOP": 7 * 60.0}


def test_loads_end_no_sooner_than_one_after_the_other() -> None:
    (trips,) = fetching(LONG).told("gather sap")[:1]
    assert clock(trips.until_s or 0) == 8.0  # the simulator has 150 gal in by 07:40
    assert (trips.overtime_s, trips.alone) == (None, None)


def test_one_alone_drains_once_the_last_load_is_in() -> None:
    """The run has its 150 gal in by 07:40, and whoever carries the last till eight drained then."""
    alone = fetching(LONG)
    trips, scene = alone.told("gather sap")[0], alone.scene()
    drain = Action("drain before the frost", trips.time_s + 6300, duration_s=1800.0, people_free=1)
    assert clock(drain.time_s) == 7.75
    told = with_hands(scene, [trips, drain])[1]
    assert (clock(told.time_s), told.ends, told.overtime_s) == (8.0, "after the trip", None)
    assert "as soon as the sap is in" in " ".join(does_texts(words_of(told), told))
    short = fetching(who((6 * 60, 8 * 60 + 10)))
    told = with_hands(short.scene(), [*short.told("gather sap")[:1], drain])[1]
    assert told.overtime_s == 1200
    later = replace(drain, time_s=drain.time_s + 900)
    both = fetching(LONG, replace(LONG, name="other"))
    for each, hands in ((later, scene), (drain, both.scene())):
        assert with_hands(hands, [trips, each])[1] == each


def test_a_load_that_does_not_fit_says_so() -> None:
    (trips,) = fetching(who((6 * 60, 7 * 60 + 50))).told("gather sap")[:1]
    assert trips.overtime_s == 600
    text = " ".join(does_texts(words_of(trips), trips))
    assert (
        "that is 10 min longer than somebody is free for it: leave the last load, or stay" in text
    )


def test_loads_never_bring_more_than_they_hold() -> None:
    trips = Action("gather sap", TUESDAY_S, Trigger("gathering:pails", 0.1), point="pails",
                   loads=1, load_m3=20 * GALLON_M3, gathered_m3=21.4 * GALLON_M3)  # fmt: skip
    assert "about 20 gal in 1 load of up to 20 gal" in " ".join(does_texts(words_of(trips), trips))


def test_one_who_fetches_alone_starts_and_stops_the_membrane_between_loads() -> None:
    day = fetching(LONG, **RUN)
    (trips,) = day.told("gather sap")[:1]
    (run,) = day.told("membrane on")
    assert (clock(run.expected_s or 0), clock(run.until_s or 0)) == (6.0, 7.0)
    # a quarter of an hour to start it: out at 06:15, back at 06:55, a load would last till 07:35
    assert trips.alone == Alone(
        start_first=True, stop_load=2, stop_s=TUESDAY_S + (6 * 60 + 55) * 60
    )
    text = " ".join(does_texts(words_of(trips), trips))
    told = "nobody else is free: start the membrane first, stop it before load 2, about"
    assert f"{told} 06:55" in text
    assert "if 40 gal there, start the membrane first, stop it" in message(words_of(trips).report)


def test_one_who_is_not_alone_is_told_nothing_of_the_membrane() -> None:
    (trips,) = fetching(LONG, who((6 * 60, 14 * 60), name="helper"), **RUN).told("gather sap")[:1]
    assert trips.alone is None
    assert "only one" not in " ".join(does_texts(words_of(trips), trips))


def two_places(*people: Person, road_m3: float = 60 * GALLON_M3) -> tuple[Outside, list[Action]]:
    """Return a day with trips to two places from six on: three loads, and one of 60 gal."""
    day = fetching(*people)
    first = day.told("gather sap")[0]
    other = replace(first, point="far road", loads=1, until_s=first.time_s + 1200)
    return day, with_hands(day.scene(), [first, replace(other, gathered_m3=road_m3)])


def test_one_alone_goes_to_one_place_after_the_other() -> None:
    day, (first, other) = two_places(LONG)
    assert (clock(first.time_s), clock(first.until_s or 0)) == (6.0, 8.0)
    assert (clock(other.time_s), clock(other.until_s or 0)) == (8.0, 8 + 2 / 3)
    assert other.overtime_s is None
    _, both = two_places(LONG, replace(LONG, name="helper"))
    assert [clock(each.time_s) for each in both] == [6.0, 6.0]
    _, short = two_places(who((6 * 60, 8 * 60)))
    assert [each.point for each in short] == [first.point]  # nobody is there any more at eight
    assert day.scene().drive.calendar[:, at.PEOPLE].max() == 1.0


def test_where_all_fetch_the_last_to_set_out_starts_the_membrane() -> None:
    day = fetching(LONG, replace(LONG, name="helper"), **RUN)
    first = day.told("gather sap")[0]
    other = replace(first, point="far road", loads=2)
    run = day.told("membrane on")[0]
    told = with_hands(day.scene(), [first, other, run])
    assert told[0].alone is None
    assert told[1].alone == Alone(
        start_first=True, stop_load=2, stop_s=TUESDAY_S + (6 * 60 + 55) * 60
    )
    drain = Action("drain before the frost", first.time_s + 600, duration_s=1800.0, people=2)
    late = with_hands(day.scene(), [first, other, run, drain])[-1]
    assert (clock(late.time_s), late.ends) == (8.0, "after the trip")


def test_whoever_stays_at_a_burning_pan_fetches_nothing() -> None:
    """Two till seven, one of them at the pan: then the other's last loads find nobody free."""
    day = fetching(LONG, who((6 * 60, 7 * 60), name="helper"))
    rows = day.trace.rows.copy()
    rows[:, at.T_HEAT] = 1.0
    scene = replace(day, trace=replace(day.trace, rows=rows)).scene()
    first = replace(day.told("gather sap")[0], until_s=TUESDAY_S + 7 * HOUR_S)
    trips = with_hands(scene, [replace(first, gathered_m3=100 * GALLON_M3, overtime_s=None)])[0]
    assert (clock(trips.until_s or 0), trips.overtime_s) == (8.0, 3600)
    assert (trips.whole_m3 or 0.0) >= 150 * GALLON_M3  # of which the run had 100 in by seven
    assert trips.gathered_m3 == 100 * GALLON_M3
    text = " ".join(does_texts(words_of(trips), trips))
    assert f"about {(trips.whole_m3 or 0.0) / GALLON_M3:.0f} gal in 3 loads" in text
    assert "1 h longer than somebody is free for it: leave the last load, or stay" in text


def test_loads_that_wait_for_room_say_so_and_their_stop_is_no_load_s() -> None:
    day = fetching(LONG, **{**RUN, "MEMBRANE_STOP": 13 * 60.0})
    first = day.told("gather sap")[0]
    trips = with_hands(day.scene(), [replace(first, until_s=TUESDAY_S + 12 * HOUR_S)])[0]
    assert trips.for_room
    stop = Action("stop the membrane", TUESDAY_S + 11 * HOUR_S)
    waits = with_hands(day.scene(), [replace(first, until_s=TUESDAY_S + 12 * HOUR_S), stop])[0]
    assert waits.alone is not None
    assert (waits.alone.stop_load, waits.alone.stop_s) == (None, TUESDAY_S + 11 * HOUR_S)
    text = " ".join(does_texts(words_of(waits), waits))
    assert "each once the sap tank has room" in text
    assert "stop the membrane about 11:00" in text


def test_trips_that_room_is_wanted_for_wait_for_the_sap_tank_s_level() -> None:
    """150 gal stand in the pails, 60 in a sap tank of 90: the membrane first makes room for 40."""
    house = gathering_house("trips", (LONG,))
    small = replace(house, sap_tank=replace(house.sap_tank, volume_m3=90 * GALLON_M3))
    day = outside(small, 150.0, COLD, **{**RUN, "FIRE_START": -1.0, "MEMBRANE_STOP": 13 * 60.0})
    trips = day.told("gather sap")[0]
    assert trips.room_at_m3 == pytest.approx(50 * GALLON_M3)
    assert trips.time_s > TUESDAY_S + 6 * HOUR_S
    scene = day.scene()
    set_out = int((trips.time_s - TUESDAY_S) // scene.trace.step_s)
    sap_m3 = scene.before(at.T_SAP_M3)
    assert sap_m3[set_out] <= 50 * GALLON_M3 < sap_m3[set_out - 1]
    words = words_of(trips)
    assert "once the sap tank is down to 50 gal" in " ".join(does_texts(words, trips))
    assert "once the sap tank is down to 50 gal" in message(words.report)
    assert fetching(LONG).told("gather sap")[0].room_at_m3 is None


def test_a_membrane_that_may_not_run_alone_is_looked_at_between_loads() -> None:
    plan = {**RUN, "MEMBRANE_STOP": 13 * 60.0}
    (trips,) = fetching(LONG, **plan).told("gather sap")[:1]
    assert trips.alone == Alone(start_first=True, looks=True)
    text = " ".join(does_texts(words_of(trips), trips))
    assert "start the membrane first, look at it between loads" in text


def test_a_run_that_ends_within_the_first_load_is_stopped_before_setting_out() -> None:
    run = Action("membrane on", TUESDAY_S, expected_s=TUESDAY_S, until_s=TUESDAY_S + 6 * 3600 + 900,
                 ends="hour", rinse_m3=0.02)  # fmt: skip
    scene = fetching(LONG).scene()
    (trips, _) = with_hands(scene, [fetching(LONG).told("gather sap")[0], run])
    assert trips.alone == Alone(stop_load=1, stop_s=trips.time_s)
    text = " ".join(does_texts(words_of(trips), trips))
    assert "stop the membrane before you set out" in text


def test_a_wash_of_one_who_fetches_alone_is_started_before_setting_out() -> None:
    wash = Action("wash the membrane", TUESDAY_S, expected_s=TUESDAY_S + 6 * HOUR_S)
    day = fetching(LONG)
    trips = with_hands(day.scene(), [day.told("gather sap")[0], wash])[0]
    assert trips.alone == Alone(wash_first=True)
    assert clock(trips.until_s or 0) == pytest.approx(8 + 25 / 60)  # the house's 25 min for it
    text = " ".join(does_texts(words_of(trips), trips))
    assert "nobody else is free: start the wash first" in text


def test_a_fire_waits_for_draining_that_waits_for_the_last_load() -> None:
    day = fetching(LONG)
    trips = day.told("gather sap")[0]
    drain = Action("drain before the frost", trips.time_s + 6300, duration_s=1800.0, people_free=1)
    fire = Action("light the fire", TUESDAY_S, expected_s=TUESDAY_S + 8 * HOUR_S + 1800)
    told = with_hands(day.scene(), [trips, drain, fire])
    assert told[0].alone == Alone(light_after=True)
    assert busy_until_s(told[0], told) == told[1].time_s + 1800 == TUESDAY_S + 8 * HOUR_S + 1800
    later = replace(fire, expected_s=TUESDAY_S + 9 * HOUR_S)
    assert with_hands(day.scene(), [trips, drain, later])[0].alone is None


def test_a_fire_due_during_the_last_load_is_lit_after_it() -> None:
    fire = Action("light the fire", TUESDAY_S, expected_s=TUESDAY_S + 7 * 3600 + 45 * 60)
    scene = fetching(LONG).scene()
    (trips, _) = with_hands(scene, [fetching(LONG).told("gather sap")[0], fire])
    assert trips.alone == Alone(light_after=True)
    assert "light the fire once the last load is in" in " ".join(does_texts(words_of(trips), trips))


def test_a_message_that_is_full_leaves_out_what_one_alone_does_between_loads() -> None:
    trips = fetching(LONG, **RUN).told("gather sap")[0]
    words = words_of(*[replace(trips, point=f"the pails up the {k}. hill") for k in range(6)])
    text = message(words.report)
    assert text.count("gather sap") == 6
    assert "start the membrane first" not in text


@pytest.mark.parametrize(
    ("lit", "pumped", "told"),
    [(False, False, (30.5, "")), (True, False, (22.0, "")), (True, True, (36.0, "nobody free"))],
)
def test_where_the_morning_is_the_fire_s_the_evening_before_drains(
    lit: bool, pumped: bool, told: tuple[float, str]
) -> None:
    """A frost of the morning was drained for at noon, once the fire was out."""
    house = replace(PUMP, people=(who((6 * 60, 7 * 60), (16 * 60, 22 * 60 + 30)),))
    freezes = air(2.0)
    freezes[24 * (LEAD_DAYS + 1) + 7 :] = -6.0  # from seven in the morning on
    made = outside(house, 0.0, freezes, **NO_FIRE)
    rows, emptying = made.trace.rows.copy(), made.yard.emptying.copy()
    hours = np.arange(len(rows)) * made.trace.step_s / 3600.0
    rows[(hours >= 30.0) & (hours < 36.0), at.T_HEAT] = float(lit)
    assert emptying[0, hours >= 22.5].any()  # what was drained would fill again
    emptying[:, hours >= 22.0] &= pumped
    yard = replace(made.yard, emptying=emptying)
    found = replace(made, trace=replace(made.trace, rows=rows), yard=yard, checked=yard)
    (action,) = [*found.told("drain before the frost"), *found.told("drain before the frost", 1)]
    assert (round(clock(action.time_s), 0 if pumped else 6), action.ends) == told
    assert action.expected_s is not None
    assert clock(action.expected_s) > 30.5
