"""Draining as it is told: a frost that has begun, what freezes, what does not fit, who is there."""

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
from planning_cases import (
    demo_house,
    forecast_from,
    gallons,
    local_s,
    quick,
    without_membrane,
)
from sugarwright.cli.plan_message import message
from sugarwright.planning.action import Action
from sugarwright.planning.drained import without_membrane as rest_without
from sugarwright.planning.draining import frost, frozen_full
from sugarwright.planning.report import Watch
from sugarwright.planning.today import plan_today
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.house import Chore, House, Person
from sugarwright.plant.special_hours import Presence, SpecialHours
from sugarwright.plant.state import Levels
from sugarwright.plant.tank_kernel import Floats
from sugarwright.saying.plan_actions import does_texts, headline_text
from sugarwright.saying.plan_outside import drain_beside_text
from sugarwright.saying.plan_watches import watch_text
from sugarwright.weather.hours import HourlyWeather

HOUR_S = 3600
KIND = "drain before the frost"
SHORT = Chore(
    name="drain line and pump", when="before a frost", duration_s=1200.0, people=1, per_m3=None
)
NO_FIRE = {"FIRE_START": -1.0}


def pumping(*people: Person) -> House:
    """Return the invented house with a pump, whose draining takes 20 minutes."""
    return replace(gathering_house("pump", people), chores=(SHORT,))


def outdoors(house: House) -> House:
    """Return a house with its membrane outdoors."""
    assert house.membrane is not None
    return replace(house, membrane=replace(house.membrane, place="outdoors"))


def hours(*spells: tuple[int, float], days: int = 2, before_c: float = 5.0) -> Floats:
    """Air of two days that changes at hours after Tuesday's midnight; thawing before."""
    air_c = np.full(24 * (LEAD_DAYS + days), before_c)
    air_c[: 24 * (LEAD_DAYS - 1)] = -5.0  # the trees need a frost before they run
    for hour, value_c in spells:
        air_c[24 * LEAD_DAYS + hour :] = value_c
    return air_c


def clock(time_s: float) -> float:
    """Hours after the midnight of Tuesday."""
    return (time_s - TUESDAY_S) / HOUR_S


def said(action: Action) -> str:
    """Return what the plan says of an action."""
    return " ".join(does_texts(words_of(action), action))


def sent(action: Action) -> str:
    """Return the text message of a plan of one action."""
    return message(words_of(action).report)


# --- a frost that has begun ----------------------------------------------------------------------


def test_weathers_in_which_a_frost_has_begun_count_in_its_chance() -> None:
    late, now = hours((2, -4.0)), hours((0, -4.0))
    first = outside(pumping(who((0, 90))), 60.0, late, now, now, now, late, late, **NO_FIRE)
    (action,) = first.told(KIND)
    assert action.probability == 1.0
    assert clock(action.expected_s or 0) == 2.0
    assert action.early_s == TUESDAY_S
    assert "it freezes now, or will by 02:00 (nearly certain)" in said(action)
    assert "hardly before" not in said(action)


@pytest.mark.parametrize(("since", "told"), [(0, True), (-2, True), (-4, False), (-12, False)])
def test_once_it_freezes_draining_is_told_while_the_line_may_still_drain(
    since: int, told: bool
) -> None:
    there = outside(pumping(who((0, 90))), 60.0, hours((since, -4.0)), **NO_FIRE)
    found = there.told(KIND)
    assert bool(found) == told
    if told:
        assert (found[0].time_s, found[0].ends, found[0].overtime_s) == (TUESDAY_S, "", None)
        assert "it freezes: drain pump and line now (20 min), unless done" in said(found[0])
        assert "00:00 it freezes: drain pump and line unless done." in sent(found[0])


def test_air_that_stayed_at_frost_brought_no_sap_and_needs_no_draining() -> None:
    """Where it had not thawed before, nothing ran."""
    cold = hours((-1, -4.0), before_c=-0.5)
    assert not outside(pumping(who((0, 90))), 0.0, cold, **NO_FIRE).told(KIND)


def test_a_fire_that_ties_whoever_is_there_while_it_freezes() -> None:
    there = outside(pumping(who((0, 300))), 60.0, hours((0, -4.0)), **NO_FIRE)
    rows = there.trace.rows.copy()
    rows[:, at.T_HEAT] = np.where(np.arange(len(rows)) < 12, 1.0, 0.0)  # lit for an hour from now
    (tied,) = frost(replace(there.scene(), trace=replace(there.trace, rows=rows)))
    assert tied.ends == "nobody free"
    assert tied.time_s == TUESDAY_S
    assert "the fire ties whoever could drain pump and line" in said(tied)
    assert "call somebody, or do it as soon as the pan may be left, about 01:05" in said(tied)


@pytest.mark.parametrize(("comes", "told"), [(2, True), (5, False)])
def test_who_comes_in_soon_after_a_frost_drains_first_thing(comes: int, told: bool) -> None:
    house = pumping(who((comes * 60, comes * 60 + 120)))
    found = outside(house, 60.0, hours((1, -4.0)), **NO_FIRE).told(KIND)
    assert [clock(each.time_s) for each in found] == ([comes] if told else [])
    if told:
        text = said(found[0])
        assert "frost by 01:00 (nearly certain) it may freeze before you come in" in text
        assert "do that first of all, or call somebody before" in text


def test_a_frost_that_has_begun_with_nobody_there_is_a_watch() -> None:
    alone = outside(pumping(*NOBODY), 60.0, hours((0, -4.0)))
    assert not alone.told(KIND)
    (watch,) = frozen_full(alone.scene(), alone.weathers)
    text = "it freezes with nobody there to drain pump and line: what is left full bursts"
    assert watch_text(words_of(), watch) == text


# --- what freezes --------------------------------------------------------------------------------


def test_a_membrane_outdoors_is_named() -> None:
    house = outdoors(pumping(who((16 * 60, 22 * 60))))
    (action,) = outside(house, 60.0, hours((23, -4.0)), **NO_FIRE).told(KIND)
    assert action.drains == ("pump", "line", "membrane")
    assert "drain pump, line and membrane (20 min): frost by 23:00" in said(action)
    assert "drain pump, line and membrane: frost." in sent(action)
    indoors = outside(pumping(who((16 * 60, 22 * 60))), 60.0, hours((23, -4.0)), **NO_FIRE)
    assert "membrane" not in said(indoors.told(KIND)[0])


def naming(name: str, *people: Person, **membrane: bool) -> House:
    """Return the invented house without a pump, whose own chore before a frost has a name."""
    house = gathering_house("trips", people)
    assert house.membrane is not None
    return replace(
        house,
        chores=(replace(SHORT, name=name),),
        membrane=replace(house.membrane, **membrane),
    )


ALONE = {"unattended": True, "low_flow_cutout": True, "full_tank_cutout": True,
         "frost_cutout": True}  # fmt: skip
ALL = "drain line, pump and membrane"
LATE_RUN = {**NO_FIRE, "MEMBRANE_START": 21 * 60.0, "MEMBRANE_STOP": 5 * 60.0,
            "NIGHT_FLOW_M3_S": 2e-5}  # fmt: skip


def test_a_membrane_that_runs_on_is_not_drained_with_the_rest() -> None:
    """To leave it on overnight and to drain it stood at the same minute."""
    house = naming(ALL, who((16 * 60, 22 * 60)), **ALONE)
    running = outside(house, 60.0, hours((23, -4.0)), **LATE_RUN)
    (run,) = running.told("membrane on")
    (drain,) = running.told(KIND)
    assert run.left_alone_s == (TUESDAY_S + 22 * HOUR_S,)
    assert drain.time_s < TUESDAY_S + 22 * HOUR_S
    assert (drain.drains, drain.membrane_left) == (("drain line and pump",), "kept")
    text = said(drain)
    assert "drain line and pump (20 min): frost by 23:00" in text
    assert "the membrane runs on: leave it out, its frost cut-out keeps it from freezing" in text
    assert "drain line and pump, not the membrane (runs on): frost" in sent(drain)
    assert "not the membrane: it runs on" in drain_beside_text(words_of(), drain)
    (still,) = outside(house, 60.0, hours((23, -4.0)), **NO_FIRE, MEMBRANE_START=-1.0).told(KIND)
    assert (still.drains, still.membrane_left) == ((ALL,), "")  # its own maker names it
    assert "runs on" not in said(still) + sent(still)


def test_a_membrane_outdoors_that_runs_on_is_neither_drained_nor_said_to_run_again() -> None:
    house = outdoors(pumping(who((16 * 60, 22 * 60))))
    assert house.membrane is not None
    house = replace(house, membrane=replace(house.membrane, **ALONE))
    air_c = hours((23, 1.0), (27, -4.0))
    (drain,) = outside(house, 0.0, air_c, **LATE_RUN).told(KIND)
    assert (drain.drains, drain.membrane_left) == (("pump", "line"), "kept")
    assert "membrane would run again" not in said(drain)


def test_where_nothing_but_the_running_membrane_would_be_drained_nobody_is_sent() -> None:
    house = naming("drain the membrane", who((16 * 60, 22 * 60)), **ALONE)
    assert not outside(house, 60.0, hours((23, -4.0)), **LATE_RUN).told(KIND)


def test_a_house_without_a_membrane_is_never_told_to_drain_one() -> None:
    house = without_membrane(naming(ALL, who((16 * 60, 22 * 60))))
    (drain,) = outside(house, 60.0, hours((23, -4.0)), **NO_FIRE).told(KIND)
    assert drain.drains == ("drain line and pump",)
    assert "membrane" not in said(drain) + sent(drain)


@pytest.mark.parametrize(
    ("name", "rest"),
    [
        (ALL, "drain line and pump"),
        ("Drain the membrane, pump and line", "Drain pump and line"),
        ("drain pump & RO", "drain pump"),
        ("drain hoses, pump, line, and the R.O.", "drain hoses, pump and line"),
        ("empty the hoses", "empty the hoses"),
        ("rodent guards and hoses off", "rodent guards and hoses off"),
    ],
)
def test_a_chore_is_named_without_its_membrane(name: str, rest: str) -> None:
    assert rest_without((name,)) == (rest,)


def test_a_watch_names_what_the_house_s_own_chore_drains() -> None:
    watch = Watch("freezes with nobody there", 1.0, TUESDAY_S, TUESDAY_S, drains=(ALL,))
    text = f"it freezes with nobody there to {ALL}: what is left full bursts"
    assert watch_text(words_of(), watch) == text


def test_draining_of_an_older_plan_still_reads() -> None:
    action = Action(KIND, TUESDAY_S, expected_s=TUESDAY_S + 22 * HOUR_S, caution="frost")
    assert "drain pump, line and whatever else holds water: frost by 22:00" in said(action)
    assert "drain pump" in sent(action)


@pytest.mark.parametrize("with_chore", [True, False])
def test_a_chore_before_a_frost_is_told_in_a_house_without_pump(
    whately_2015: HourlyWeather, with_chore: bool
) -> None:
    house = demo_house()
    gravity = tuple(each for each in house.gathering if each.way == "gravity")
    hoses = replace(SHORT, name="empty the hoses")
    house = replace(house, gathering=gravity, chores=(hoses,) if with_chore else ())
    now_s, levels = local_s("2015-03-16 15:10"), Levels(sap=gallons(60))
    known = forecast_from(whately_2015, now_s, 36)
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        report = plan_today(assemble(house), known, levels, now_s, 36)
    found = [each for day in report.days for each in day.actions if each.kind == KIND]
    assert bool(found) == with_chore
    if with_chore:
        assert found[0].drains == ("empty the hoses",)
        assert "whoever could empty the hoses" in said(found[0])  # a fire burns till nine


# --- what fits -----------------------------------------------------------------------------------


def boiled(stop: float, *spells: tuple[int, float], house: House, **more: float) -> Outside:
    """Return a day with a fire from four in the afternoon until it is let go at an hour."""
    fire = {"FIRE_START": 16 * 60.0, "FIRE_STOP": stop * 60.0, "FIRE_STOCK_M3": 0.05, **more}
    return outside(house, 100.0, hours(*spells), **fire)


EVENING = who((15 * 60, 22 * 60))


def test_draining_that_ends_after_people_leave_says_how_much_longer_to_stay() -> None:
    late = boiled(22.0, (22, -4.0), house=pumping(EVENING))
    (action,) = late.told(KIND)
    assert action.ends == "after the fire"
    assert action.overtime_s
    end_s = action.time_s + 1200.0
    assert action.overtime_s == end_s - (TUESDAY_S + 22 * HOUR_S)
    more, till = action.overtime_s / 60, words_of().clock(end_s)
    text = said(action)
    assert f"stay {more:.0f} min more for it, till {till}; it may freeze already then" in text
    assert "min sooner, or call somebody" in text
    assert f"frost, stay till {till}" in sent(action)


def test_draining_that_ends_in_time_stays_nobody_longer() -> None:
    early = boiled(19.0, (22, -4.0), house=pumping(EVENING))
    (action,) = early.told(KIND)
    assert (action.ends, action.overtime_s) == ("", None)
    assert action.time_s + 1200.0 == TUESDAY_S + 22 * HOUR_S
    assert "stay" not in said(action)


def test_a_fire_that_dies_early_does_not_bring_the_draining_forward() -> None:
    """A pump that fills the line at night is no reason to drain in the afternoon."""
    warm = boiled(17.0, (0, -4.0), (14, 8.0), (28, -4.0), house=pumping(EVENING))
    (action,) = warm.told(KIND)
    assert clock(action.time_s) == pytest.approx(22.0 - 1.0 / 3.0)
    assert action.pumped_again_s is not None
    assert clock(action.pumped_again_s) >= 22.0
    assert "the pump would fill the line again" in said(action)


def test_a_short_stay_says_how_much_longer() -> None:
    short = outside(pumping(who((17 * 60, 17 * 60 + 10))), 60.0, hours((20, -4.0)), **NO_FIRE)
    (action,) = short.told(KIND)
    assert action.ends == "short stay"
    assert "stay 10 min more for it, till 17:20, or call somebody" in said(action)


# --- who is there --------------------------------------------------------------------------------


def test_frosts_between_which_nobody_is_there_have_one_draining() -> None:
    nights = ((20, -4.0), (34, 5.0), (44, -4.0), (58, 5.0), (68, -4.0))
    air_c = hours(*nights, days=4)
    here = Presence("maker", TUESDAY_S + 10 * HOUR_S, TUESDAY_S + 14 * HOUR_S, True)
    once = outside(
        pumping(who()), 60.0, air_c, special=SpecialHours(presence=(here,)), **NO_FIRE
    )  # fmt: skip
    found = [each for day in range(4) for each in once.told(KIND, day)]
    (action,) = found
    assert action.frosts == 3
    assert clock(action.time_s) == pytest.approx(14.0 - 1.0 / 3.0)
    text = said(action)
    assert "before you leave: nobody is there for the next three frosts" in text
    assert "the first by 20:00" in text
    assert action.pumped_again_s is not None  # the pump fills the line by day


def test_frosts_before_each_of_which_somebody_is_there_are_told_each() -> None:
    air_c = hours((20, -4.0), (34, 5.0), (44, -4.0))
    each_day = outside(pumping(who((10 * 60, 14 * 60))), 60.0, air_c, **NO_FIRE)
    found = [each for day in range(2) for each in each_day.told(KIND, day)]
    assert [each.frosts for each in found] == [1, 1]
    assert "before you leave" not in said(found[0])


# --- on the page ---------------------------------------------------------------------------------


def test_a_page_shows_unfolded_what_to_drain_which_frost_and_how_long_to_stay() -> None:
    (late,) = boiled(22.0, (22, -4.0), house=outdoors(pumping(EVENING))).told(KIND)
    words = words_of(late)
    assert headline_text(words, late) == "Drain pump, line and membrane"
    beside = drain_beside_text(words, late)
    assert beside.startswith("frost by 22:00 (nearly certain); stay ")
    assert " min more for it, till 22:" in beside


def test_a_page_says_first_that_it_freezes() -> None:
    (now,) = outside(pumping(who((0, 90))), 60.0, hours((0, -4.0)), **NO_FIRE).told(KIND)
    words = words_of(now)
    assert headline_text(words, now) == "It freezes: drain pump and line"
    assert drain_beside_text(words, now) == "unless done"
    tied = replace(now, ends="nobody free", leave_s=TUESDAY_S + HOUR_S)
    assert "as soon as the pan may be left, about 01:00" in drain_beside_text(words, tied)
    assert "let the fire go" not in " ".join(does_texts(words, tied))
    lit = words_of(tied, fire_burns=True)
    assert "call somebody, let the fire go now for it, or do it" in " ".join(does_texts(lit, tied))
    older = Action(KIND, TUESDAY_S)
    assert headline_text(words, older) == "Drain before the frost"
