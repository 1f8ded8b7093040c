"""Draining a membrane outdoors: what fills it again comes before, and in a frost it is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from outside_cases import (
    LEAD_DAYS,
    NOBODY,
    TUESDAY_S,
    Outside,
    gathering_house,
    outside,
    who,
    words_of,
)
from plant_houses import INVENTED
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action
from sugarwright.planning.actions import actions_of
from sugarwright.planning.draining import frost, frozen_full
from sugarwright.planning.frosts import FrostNight
from sugarwright.plant import layout as at
from sugarwright.plant.house import Chore, House, Person
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.tank_kernel import Floats
from sugarwright.saying.plan_actions import does_texts, headline_text
from sugarwright.saying.plan_outside import drain_beside_text, drain_title
from sugarwright.saying.plan_parts import later_texts

HOUR_S = 3600
STEPS_HOUR = 12
KIND = "drain before the frost"
SHORT = Chore(
    name="drain line and membrane", when="before a frost", duration_s=1200.0, people=1, per_m3=None
)
IDLE = {"FIRE_START": -1.0, "MEMBRANE_START": -1.0, "WASH_AT": -1.0}
EVENING = who((15 * 60, 22 * 60))


def outdoors(*people: Person) -> House:
    """Return the invented house with its membrane outdoors, and no pump or trip."""
    house = parse_house(INVENTED.replace("[membrane]\n", '[membrane]\nplace = "outdoors"\n'))
    return replace(house, people=people, chores=(SHORT,))


def hours(*spells: tuple[float, float]) -> Floats:
    """Air of three days that changes at hours after Tuesday's midnight; thawing before."""
    air_c = np.full(24 * (LEAD_DAYS + 3), 5.0)
    air_c[: 24 * (LEAD_DAYS - 1)] = -5.0  # the trees need a frost before they run
    for hour, value_c in spells:
        air_c[int(24 * LEAD_DAYS + hour) :] = value_c
    return air_c


def clock(time_s: float | None) -> float:
    """Hours after the midnight of Tuesday."""
    assert time_s is not None
    return (time_s - TUESDAY_S) / HOUR_S


def at_hour(hour: float) -> int:
    """Step of an hour after the midnight of Tuesday."""
    return round(hour * STEPS_HOUR)


def said(action: Action) -> str:
    """Return what the plan says of an action."""
    return " ".join(does_texts(words_of(action), action))


def flushing(there: Outside, column: int, begin: float, end: float) -> Outside:
    """Return a plan that has the membrane run, or cleaned, between two hours."""
    span = slice(at_hour(begin), at_hour(end) - 1)  # what ends in a step is over at its end
    rows, flushed = there.trace.rows.copy(), there.yard.flushed.copy()
    rows[span, column], flushed[:, span] = 1.0, True
    yard = replace(there.yard, flushed=flushed)
    return replace(there, trace=replace(there.trace, rows=rows), yard=yard, checked=yard)


def burning(there: Outside, begin: float, end: float) -> Outside:
    """Return a plan with a lit pan between two hours."""
    rows = there.trace.rows.copy()
    rows[at_hour(begin) : at_hour(end), [at.T_HEAT, at.T_FIRE_ON]] = 1.0
    return replace(there, trace=replace(there.trace, rows=rows))


# --- it runs, and it freezes ---------------------------------------------------------------------


@pytest.mark.parametrize("since", [-1, -5, -20])
def test_a_membrane_that_runs_in_a_frost_is_drained_however_long_that_has_lasted(
    since: float,
) -> None:
    air_c = hours((since, -8.0))
    there = outside(outdoors(who((0, 300))), 0.0, air_c, membrane_on=True, **IDLE)
    told = actions_of(there.scene())
    assert [each.kind for each in told] == ["stop the membrane", KIND]
    stop, drain = told
    assert clock(stop.time_s) == 0.0
    assert stop.rinse_m3
    assert (clock(drain.time_s), drain.ends) == (0.25, "after the run")  # a rinse takes 15 min
    assert said(drain) == "drain membrane (20 min) as soon as it is rinsed: it freezes"
    text = message(words_of(drain).report)
    assert "00:15 it freezes: drain membrane once rinsed." in text
    words = words_of(drain)
    assert headline_text(words, drain) == "It freezes: drain membrane"
    assert drain_beside_text(words, drain) == "as soon as it is rinsed"
    assert "unless done" not in said(drain) + text
    assert drain_title(words, drain) == "It freezes: drain membrane"


def test_a_membrane_that_stood_still_in_a_long_frost_needs_no_draining() -> None:
    air_c = hours((-5, -8.0))
    assert not outside(outdoors(who((0, 300))), 0.0, air_c, **IDLE).told(KIND)


# --- filled in a frost, or soon before -----------------------------------------------------------


def test_a_membrane_washed_in_a_frost_is_drained_after_it() -> None:
    cold = outside(outdoors(EVENING), 0.0, hours((-10, -8.0)), **IDLE)
    assert not cold.told(KIND)
    (drain,) = frost(flushing(cold, at.T_CLEANING, 18, 19).scene())
    assert (clock(drain.time_s), drain.ends) == (19.0, "rinsed in the frost")
    assert said(drain) == "drain membrane (20 min) as soon as it is rinsed: it freezes"
    assert drain.probability == 1.0


def test_a_wash_that_lasts_into_the_frost_is_waited_for() -> None:
    there = outside(outdoors(EVENING), 0.0, hours((20, -8.0)), **IDLE)
    (drain,) = frost(flushing(there, at.T_CLEANING, 19.5, 20.5).scene())
    assert (clock(drain.time_s), drain.ends) == (20.5, "after the run")
    assert "as soon as it is rinsed: frost by 20:00" in said(drain)
    text = "till 20:50: it may freeze already then. Else be done with the membrane 50 min sooner"
    assert text in said(drain)


def test_a_run_between_two_frosts_of_a_day_is_drained_after() -> None:
    """The line of the trees stays drained in so short a thaw; what runs in it does not."""
    air_c = hours((-10, -8.0), (14, 4.0), (18, -8.0))
    there = outside(outdoors(EVENING), 0.0, air_c, **IDLE)
    assert not there.told(KIND)
    ran = outside(outdoors(EVENING), 0.0, air_c, **{**IDLE, "MEMBRANE_START": 15 * 60.0,
                                                   "MEMBRANE_SAP_M3": 0.1})  # fmt: skip
    assert ran.trace.column(at.T_MEMBRANE_ON)[at_hour(15) : at_hour(16)].any()
    (drain,) = ran.told(KIND)
    assert clock(drain.expected_s) == 18.0


# --- the run beside it ---------------------------------------------------------------------------


def test_draining_comes_after_the_run_of_the_membrane_itself() -> None:
    there = outside(outdoors(EVENING), 0.0, hours((19, -8.0)), **IDLE)
    (early,) = frost(flushing(there, at.T_MEMBRANE_ON, 15, 17).scene())
    assert clock(early.time_s) == pytest.approx(19 - 1 / 3)
    (late,) = frost(flushing(there, at.T_MEMBRANE_ON, 15, 19.25).scene())
    assert (clock(late.time_s), late.ends) == (19.25, "after the run")
    assert (early.pumped_again_s, late.pumped_again_s) == (None, None)


def test_a_fire_that_ties_the_only_one_as_the_membrane_is_done_with_is_said_then() -> None:
    there = outside(outdoors(EVENING), 0.0, hours((19, -8.0)), **IDLE)
    fire = burning(flushing(there, at.T_MEMBRANE_ON, 15, 19.25), 16, 21.5)
    (drain,) = frost(fire.scene())
    assert (clock(drain.time_s), drain.ends) == (19.25, "nobody free")
    assert clock(drain.leave_s) == pytest.approx(21.5, abs=0.1)
    text = said(drain)
    assert "frost by 19:00 (nearly certain), and the fire ties whoever could drain membrane" in text
    assert "call somebody, let the fire go 2 h 20 min sooner, or do it (20 min) as soon as" in text
    assert text.count(", when it may be ice") == 1
    beside = drain_beside_text(words_of(drain), drain)
    assert "call somebody, or as soon as the pan may be left, about 21:35, when it may" in beside
    soon = replace(drain, leave_s=drain.time_s + HOUR_S // 2)
    assert "it may be ice" not in said(soon)
    title = "Call somebody. Drain membrane before the frost"
    assert drain_title(words_of(drain), drain) == title


def test_a_membrane_is_not_drained_while_it_is_washed() -> None:
    """The one that a fire ties from the wash's end on is not sent within it."""
    there = outside(outdoors(EVENING), 0.0, hours((19, -8.0)), **IDLE)
    washed = burning(flushing(there, at.T_CLEANING, 15, 16), 16, 21.5)
    (drain,) = frost(washed.scene())
    assert clock(drain.time_s) >= 16.0
    assert drain.ends == "nobody free"


def test_a_run_that_ends_as_people_leave_keeps_them_to_drain_it() -> None:
    there = outside(outdoors(EVENING), 0.0, hours((23, -8.0)), **IDLE)
    (drain,) = frost(flushing(there, at.T_MEMBRANE_ON, 16, 22).scene())
    assert (clock(drain.time_s), drain.overtime_s) == (22.0, 1200.0)
    assert "stay 20 min more for it, till 22:20" in said(drain)


def test_a_run_that_goes_on_with_nobody_there_is_stopped_and_left_off() -> None:
    there = outside(outdoors(EVENING), 0.0, hours((28, -8.0)), **IDLE)
    (drain,) = frost(flushing(there, at.T_MEMBRANE_ON, 16, 28).scene())
    assert clock(drain.time_s) == pytest.approx(22 - 1 / 3)
    assert clock(drain.pumped_again_s) == 22.0
    assert "from about 22:00 the membrane would run, with nobody free to drain it" in said(drain)
    assert "stop and rinse it before, if it runs, and leave it off once drained" in said(drain)


def test_a_frost_that_has_begun_is_no_part_of_the_next_night_s() -> None:
    """One was drained for first thing, and the pump left off all day for the other."""
    all_day = who((60, 22 * 60))
    house = replace(gathering_house("pump", (all_day,)), chores=(SHORT,))
    begun = FrostNight(0, 0.5, 0)
    scene = replace(
        outside(house, 0.0, hours((26, -8.0)), **IDLE).scene(),
        frosts=(begun, FrostNight(at_hour(23), 0.9, at_hour(22))),
    )
    first, evening = frost(scene)
    assert (first.frosts, evening.frosts) == (1, 1)
    assert clock(first.time_s) == 1.0  # as somebody comes in
    assert clock(evening.time_s) > 21.0
    assert first.pumped_again_s is None


@pytest.mark.parametrize("runs", [True, False])
def test_nobody_is_sent_before_a_frost_to_a_membrane_that_runs_through_it(runs: bool) -> None:
    """It was counted on till morning, and to be drained "first" by whoever read it at eleven."""
    house = replace(gathering_house("pump", NOBODY), chores=(SHORT,))
    there = outside(house, 60.0, hours((20, -8.0)), **IDLE)
    ran = flushing(there, at.T_MEMBRANE_ON, 15, 30) if runs else there
    scene = replace(ran.scene(), plant=replace(ran.plant, house=house))
    (watch,) = frozen_full(scene, there.weathers)
    assert watch.drains == ("pump", "line")
    chore = replace(SHORT, name="drain the membrane")
    alone = replace(house, chores=(chore,), gathering=())
    found = frozen_full(replace(scene, plant=replace(ran.plant, house=alone)), there.weathers)
    assert [each.drains for each in found] == ([] if runs else [("drain the membrane",)])


# --- trips ---------------------------------------------------------------------------------------


def carrying(begin: float, end: float, *spells: tuple[float, float]) -> Outside:
    """Return an evening of one person who fetches sap between two hours, and of no fire."""
    house = replace(gathering_house("trips", (EVENING,)), chores=(SHORT,))
    there = outside(house, 0.0, hours(*spells), **IDLE)
    emptying = np.zeros_like(there.yard.emptying)
    emptying[0, at_hour(begin) : at_hour(end), there.plant.points[:, at.BY_HAND] > 0.0] = True
    return replace(there, yard=replace(there.yard, emptying=emptying))


def test_nobody_drains_who_is_on_a_trip() -> None:
    (free,) = frost(carrying(16, 17, (21, -8.0)).scene())
    assert clock(free.time_s) == pytest.approx(21 - 1 / 3)
    (before,) = frost(carrying(20, 21.5, (21, -8.0)).scene())
    assert clock(before.time_s) == pytest.approx(20 - 1 / 3)


def test_a_trip_after_the_fire_is_waited_for() -> None:
    late = burning(carrying(20.5, 22, (26, -8.0)), 15, 20.4)
    (drain,) = frost(late.scene())
    assert (clock(drain.time_s), drain.ends) == (22.0, "after the trip")
    text = said(drain)
    assert text.startswith("drain line and membrane (20 min) as soon as the sap is in: frost by")
    assert "Else do it before the last load, or call somebody" in text


def test_one_who_fetches_until_the_frost_is_not_told_of_a_short_stay() -> None:
    """Nobody stayed so long, it said of one who was there till ten."""
    (drain,) = frost(carrying(15, 17.5, (17, -8.0)).scene())
    assert (clock(drain.time_s), drain.ends, drain.people_free) == (17.5, "after the trip", 1)
    assert "Else do it before the last load, or call somebody" in said(drain)


@pytest.mark.parametrize("used", ["membrane", "sap", ""])
def test_what_is_used_again_is_drained_after_the_fire(used: str) -> None:
    """Ten hours early it would stand full again; what nothing goes through stays drained."""
    there = burning(carrying(15, 15, (27, -8.0)), 17, 21.9)
    ran = flushing(there, at.T_MEMBRANE_ON, 16, 21.5) if used == "membrane" else there
    if used != "sap":  # half of the taps run straight into the sap tank: no more from 16 on
        sap_kg_s = ran.forecast.sap_kg_s.copy()
        sap_kg_s[:, int(ran.forecast.calendar[at_hour(16), at.HOUR]) :] = 0.0
        ran = replace(ran, forecast=replace(ran.forecast, sap_kg_s=sap_kg_s))
    (drain,) = frost(ran.scene())
    assert clock(drain.time_s) == pytest.approx(22.0 if used else 17 - 1 / 3, abs=0.1)
    assert drain.ends == ("after the fire" if used else "")


# --- days after ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("thaws", "told"), [(None, False), (46, True)])
def test_a_later_day_s_run_that_frost_holds_up_all_day_is_not_told_today(
    thaws: int | None, told: bool
) -> None:
    spells = ((12, -8.0), *(() if thaws is None else ((thaws, 6.0),)))
    evening = {"FIRE_START": -1.0, "WASH_AT": -1.0, "MEMBRANE_START": 21.5 * 60}
    there = outside(outdoors(who((15 * 60, 23 * 60))), 0.0, hours(*spells), **evening)
    (run,) = there.told("membrane on", 1)
    assert [(each.why, each.until_s is None) for each in run.waits] == [("frost", not told)]
    assert (run.expected_s is not None) == told
    words = words_of()
    today, later = words.report.days[0], replace(words.report.days[0], actions=(run,))
    later = replace(later, begin_s=TUESDAY_S + 24 * HOUR_S)
    object.__setattr__(words.report, "days", (today, later))
    assert bool(list(later_texts(words, today))) == told
