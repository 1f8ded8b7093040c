"""The membrane's course as learnt: held against invented membranes of the full model.

``benchmarks/membrane_learning.py`` does at length what the small study here does.
"""

from __future__ import annotations

import dataclasses
import math
import random

import numpy as np
import pytest

from membrane_learning import score
from membrane_worlds import Membrane, World, invented_house, true_machine
from sugarwright.errors import InputError
from sugarwright.learning.as_learnt import as_learnt
from sugarwright.learning.kept import kept_of
from sugarwright.learning.membrane import learn_membrane
from sugarwright.learning.membrane_course import FALL, FIXED, LOSS, Course, logistic, logit
from sugarwright.learning.membrane_known import fitted
from sugarwright.learning.membrane_lesson import MembraneLesson
from sugarwright.learning.membrane_log import Step
from sugarwright.learning.membrane_money import Fouling, Usual, lost_by_hour, wash_interval
from sugarwright.learning.membrane_next import sd_after
from sugarwright.learning.membrane_usual import days_of, running_reading, usual_of
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.physics.membrane_condition import fouled_condition, recovered_condition
from sugarwright.plant.assemble import assemble
from sugarwright.plant.worth import boiling_money_kg, wash_money

HOUSE = invented_house()


def lived(world: World, seed: int = 3) -> list[Entry]:
    return Membrane(world, true_machine(HOUSE), seed).live()


@pytest.fixture(scope="module")
def week() -> list[Entry]:
    return lived(World())


@pytest.fixture(scope="module")
def lesson(week: list[Entry]) -> MembraneLesson:
    return learn_membrane(HOUSE, week, 1_800_000_000)


def test_a_fall_is_told_and_none_is_not() -> None:
    # Of 12 logs an interval of nine tenths holds 10.8, and 8 or fewer once in forty times; the
    # study of 200 is in docs/learn.md.
    falls, none = score(World(), 12), score(World(fall_day=0.0), 12)
    assert falls.holds >= 9 / 12
    assert falls.falls >= 9 / 12
    assert none.holds >= 9 / 12
    assert none.falls <= 2 / 12


def test_the_course_is_that_of_the_plant() -> None:
    # By the formulas of fouling, rinse and wash with which the simulator runs.
    steps = (
        Step("run", 0.0, 6.0),
        Step("rinse", 0.0),
        Step("run", 0.0, 5.0),
        Step("wash", 0.0),
        Step("read", 0.0, reading=0),
    )
    course = Course(steps, 0.0)
    parameters = np.array(
        [math.log(0.9), 0.0, math.log(-math.log1p(-0.02)), logit(0.9), logit(0.4), -30.0, 0.0, 0.0]
    )
    condition = fouled_condition(1.0, 0.02, 6.0 * 3600.0)
    condition = fouled_condition(recovered_condition(condition, 0.4), 0.02, 5.0 * 3600.0)
    seen, slopes, states = course.with_slopes(parameters)
    washed = recovered_condition(condition, 0.9)
    assert seen[0] == pytest.approx(math.log(0.9 * washed), abs=1e-9)
    assert states[-1] == pytest.approx(math.log(washed), abs=1e-9)
    assert slopes.shape == (1, FIXED + 2)
    assert slopes[0, 0] == pytest.approx(1.0)


def test_a_fall_is_counted_in_days_before_the_end() -> None:
    course = Course((Step("read", 0.0, reading=0), Step("read", 86400.0, reading=1)), 86400.0)
    seen, _, _ = course.with_slopes(np.array([0.0, 0.01, 0.0, 0.0, 0.0, -30.0]))
    assert seen[0] - seen[1] == pytest.approx(0.01)


def test_the_order_of_entries_does_not_matter(week: list[Entry], lesson: MembraneLesson) -> None:
    shuffled = week.copy()
    random.Random(5).shuffle(shuffled)
    assert learn_membrane(HOUSE, shuffled, 1_800_000_000) == lesson


def test_the_lesson_says_what_was_logged(lesson: MembraneLesson) -> None:
    assert lesson.readings == 48
    assert lesson.washes == 9  # one before the first day
    assert lesson.run_h == pytest.approx(8 * 7.0)
    assert len(lesson.cleanings) == 9
    for each in lesson.cleanings:
        assert each.before_fraction < each.after_fraction
        assert 0.0 < each.recovery_fraction.low < each.recovery_fraction.high < 1.0
    for each in (lesson.lasting_fraction, lesson.now_fraction, lesson.loss_per_hour_fraction):
        assert each.low < each.middle < each.high


def test_a_slip_is_named_and_moves_little(week: list[Entry], lesson: MembraneLesson) -> None:
    place = 30
    assert week[place].kind == "reading"
    wrong = tuple(
        dataclasses.replace(each, value=1.4 * each.value)
        if each.quantity == "permeate_flow"
        else each
        for each in week[place].measures
    )
    slipped = week.copy()
    slipped[place] = dataclasses.replace(week[place], measures=wrong)
    found = learn_membrane(HOUSE, slipped, 1_800_000_000)
    assert week[place].at_s in {each.at_s for each in found.doubts}
    assert week[place].at_s not in {each.at_s for each in lesson.doubts}
    fall = lesson.fall_per_day_fraction
    moved = abs(found.fall_per_day_fraction.middle - fall.middle)
    assert moved < 0.5 * (fall.high - fall.middle)


def test_without_a_wash_a_fall_is_not_said_to_be_for_good() -> None:
    found = learn_membrane(HOUSE, lived(World(wash_days=0, a_day=2)), 0)
    assert found.verdict == "cannot tell"
    # A wash shows what was fouling: no reading without one tells as much.
    assert found.next_readings[0].what.startswith("a wash")
    assert all(each.sd_ratio < 1.0 for each in found.next_readings)


def test_what_a_day_will_tell_is_what_it_told() -> None:
    # The spread foretold for one more such day, against that of the log with the day in it. Days
    # differ in pressure, strength and flow.
    entries = lived(World(days=5))
    last_s = entries[-1].at_s - 0.8 * 86400.0
    before, _ = fitted(HOUSE, [each for each in entries if each.at_s < last_s])
    after, _ = fitted(HOUSE, entries)
    usual = usual_of(before)
    reading = running_reading(before, usual)
    days = days_of(before, usual)
    assert (days.readings, days.wash_every, days.rinsed) == (6, 1, False)
    gap_h = usual.day_h / 6
    day = [
        part
        for _ in range(6)
        for part in (
            (Step("run", before.log.end_s + 0.6 * 86400.0, gap_h), None),
            (Step("read", before.log.end_s + 0.6 * 86400.0), reading),
        )
    ]
    assert sd_after(before.fit, [day]) == pytest.approx(after.fit.sd(FALL), rel=0.15)
    assert after.fit.sd(FALL) < before.fit.sd(FALL)


def test_more_scatter_than_stated_widens_what_is_said(week: list[Entry]) -> None:
    def surer(entry: Entry) -> Entry:
        measures = tuple(
            dataclasses.replace(each, sd=None if each.sd is None else 0.2 * each.sd)
            for each in entry.measures
        )
        return dataclasses.replace(entry, measures=measures)

    boasting, _ = fitted(HOUSE, [surer(each) for each in week])
    plain, _ = fitted(HOUSE, week)
    assert boasting.fit.scatter_ratio > 2.5
    assert boasting.fit.sd(LOSS) > 0.5 * plain.fit.sd(LOSS)


def test_the_wash_interval_is_that_of_the_square_root_law() -> None:
    # Cost by the hour W/T + v q e k T/2 is least at T = sqrt(2 W / (v q e k)): F.W. Harris, "How
    # many parts to make at once", Factory 10 (1913), from memory. Here the loss bends a little and
    # hours are whole.
    plant = assemble(HOUSE)
    usual = Usual(13.8e5, 30.0 * 3.785e-3 / 3600.0, 2.0, 4.0, 7.0, rinsed=False)
    fouling = Fouling(0.9, 0.002, 0.999, 0.0)
    lost = lost_by_hour(plant, usual, fouling)
    a_kg_h = 3600.0 * _permeate_kg_s(plant, usual)
    worth = boiling_money_kg(plant) * a_kg_h * (lost[10] - lost[0]) / 10.0
    expected = math.sqrt(2.0 * wash_money(plant) / worth)
    found = wash_interval(plant, usual, fouling)
    assert found.why == "money"
    assert found.hours_h == pytest.approx(expected, abs=1.5)


def _permeate_kg_s(plant: object, usual: Usual) -> float:
    from sugarwright.learning.membrane_condition import permeate_kg_s

    machine = plant.membrane_map.machine  # type: ignore[attr-defined]
    setting = (usual.pressure_pa, usual.concentrate_flow_m3_s, usual.feed_brix, usual.temperature_c)
    return permeate_kg_s(machine, 0.9, *setting)


def test_free_washes_come_at_once_and_a_dear_one_at_a_tenth() -> None:
    usual = Usual(13.8e5, 30.0 * 3.785e-3 / 3600.0, 2.0, 4.0, 7.0, rinsed=False)
    fouling = Fouling(0.9, 0.01, 0.95, 0.4)

    def at(cost: float) -> tuple[float, str]:
        assert HOUSE.membrane is not None
        dear = dataclasses.replace(HOUSE.membrane, wash_cost_money=cost)
        found = wash_interval(assemble(dataclasses.replace(HOUSE, membrane=dear)), usual, fouling)
        return found.hours_h, found.why

    assert at(0.0)[0] < at(20.0)[0]
    assert at(500.0)[1] == "manual"


def test_where_nothing_has_a_price_a_tenth_lost_decides() -> None:
    usual = Usual(13.8e5, 30.0 * 3.785e-3 / 3600.0, 2.0, 4.0, 7.0, rinsed=False)
    prices = dataclasses.replace(HOUSE.prices, wood_money_wood_m3=0.0)
    people = tuple(dataclasses.replace(each, hour_money_s=0.0) for each in HOUSE.people)
    free = assemble(dataclasses.replace(HOUSE, prices=prices, people=people))
    fouling = Fouling(0.9, 0.01, 0.95, 0.4)
    found = wash_interval(free, usual, fouling)
    assert found.why == "manual"
    lost = lost_by_hour(free, usual, fouling)
    assert lost[int(found.hours_h) - 1] >= 0.1 > lost[int(found.hours_h) - 2]
    assert wash_interval(free, usual, Fouling(0.9, 0.0, 0.95, 0.4)).why == "never"


def test_what_is_kept_makes_the_house_as_learnt(lesson: MembraneLesson) -> None:
    kept = kept_of("membrane", lesson.kept.document())
    found = as_learnt(HOUSE, {"membrane": lesson.kept.document()}).house.membrane
    assert found is not None
    assert kept == lesson.kept
    assert found.condition_fraction == pytest.approx(lesson.lasting_fraction.middle)
    assert found.loss_per_hour_fraction == pytest.approx(lesson.loss_per_hour_fraction.middle)


def test_a_price_says_when_a_new_element_pays(week: list[Entry], lesson: MembraneLesson) -> None:
    assert lesson.replacement.pays_back_days is None
    at_s = week[0].at_s - 40 * 86400.0
    bought = Entry(
        "new", "new_membrane", at_s, at_s, place="membrane", measures=(Measure("money", 300.0),)
    )
    found = learn_membrane(HOUSE, [bought, *week], 0).replacement
    assert found.price_money == 300.0
    assert found.pays_back_days == pytest.approx(300.0 / found.lost_money_day)


def test_a_house_without_membrane_or_readings_is_told_so(week: list[Entry]) -> None:
    without = dataclasses.replace(HOUSE, membrane=None, stock_tank=None, permeate_tank=None)
    with pytest.raises(InputError, match="membrane"):
        learn_membrane(without, week, 0)
    with pytest.raises(InputError, match="no reading"):
        learn_membrane(HOUSE, [each for each in week if each.kind == "wash"], 0)


def test_shares_and_their_logits_go_together() -> None:
    assert logistic(np.array([logit(0.9), logit(0.4)])) == pytest.approx([0.9, 0.4])
