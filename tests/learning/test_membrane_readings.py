"""The membrane's log put in order, and what a reading of it says of its condition."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from membrane_worlds import DAY_S, FIRST_S, invented_house
from sugarwright.learning.membrane_condition import seen_in
from sugarwright.learning.membrane_log import CARRIED_S, Input, Reading, membrane_log
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.physics.activity import osmotic_pressure_pa
from sugarwright.physics.membrane import operating_point
from sugarwright.physics.membrane_condition import net_pressure_pa
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.assemble import assemble
from sugarwright.plant.membrane_machine import Machine

H = 3600.0
GAL_H = 3.785411784e-3 / H
HOUSE = invented_house()
FULL = {
    "temperature": 4.0,
    "pressure": 13.8e5,
    "concentrate_flow": 30.0 * GAL_H,
    "permeate_flow": 30.0 * GAL_H,
    "feed_brix": 2.0,
}


def entry(kind: str, hours: float, place: str = "membrane", **measures: float) -> Entry:
    at_s = FIRST_S + hours * H
    told = tuple(Measure(name, value) for name, value in measures.items())
    return Entry(f"{kind}{hours}", kind, at_s, at_s, place=place, measures=told)


def machine() -> Machine:
    plant = assemble(HOUSE)
    assert plant.membrane_map is not None
    return plant.membrane_map.machine


def made(brix: float, warm_c: float, condition: float) -> tuple[float, float]:
    """Permeate, m³/s, and strength of the concentrate, by the plain formula."""
    known = HOUSE.membrane
    assert known is not None
    point = operating_point(
        brix, warm_c, 13.8e5, 30.0 * GAL_H, known.recirculation_flow_m3_s, known.in_series,
        known.in_parallel, known.element_area_m2, known.element_length_m, known.spacer_height_m,
        known.spacer_porosity_fraction, known.permeability_m_s_pa, known.sugar_permeability_m_s,
        condition, known.film_factor, known.friction_multiplier, 4,
    )  # fmt: skip
    return point.permeate_kg_s / density_kg_m3(0.0, warm_c), point.concentrate_brix


@settings(max_examples=15, deadline=None)
@given(st.floats(1.2, 3.0), st.floats(0.0, 15.0), st.floats(0.3, 1.1), st.booleans())
def test_a_reading_without_error_says_the_true_condition(
    brix: float, warm_c: float, condition: float, by_permeate: bool
) -> None:
    permeate_m3_s, strong = made(brix, warm_c, condition)
    values = {**FULL, "feed_brix": brix, "temperature": warm_c}
    values.pop("permeate_flow")
    values |= {"permeate_flow": permeate_m3_s} if by_permeate else {"concentrate_brix": strong}
    inputs = {name: Input(value, 0.0) for name, value in values.items()}
    found = seen_in(Reading("a", 0.0, False, inputs), machine())
    assert found is not None
    assert found.condition_log == pytest.approx(math.log(condition), abs=1e-6)


def test_clean_water_slopes_are_those_of_the_normalising_formulas() -> None:
    # Temperature correction factor exp[3020 (1/298 - 1/T)] of elements' design equations: 3020/T²
    # for a kelvin. Net pressure as in ASTM D4516: the condition goes by its inverse. The march of
    # the machine lets the pressure drop hang on permeate and viscosity: some per cent of each.
    permeate_m3_s, _ = made(0.0, 5.0, 0.9)
    values = {**FULL, "permeate_flow": permeate_m3_s, "feed_brix": 0.0, "temperature": 5.0}
    inputs = {name: Input(value, 0.01 * value) for name, value in values.items()}
    found = seen_in(Reading("a", 0.0, True, inputs), machine())
    assert found is not None
    assert found.slopes["temperature"] == pytest.approx(-3020.0 / 278.15**2, rel=0.02)
    net_pa = net_pressure_pa(13.8e5, 0.0, 0.0, osmotic_pressure_pa(0.0, 5.0))
    assert found.slopes["pressure"] == pytest.approx(-1.0 / net_pa, rel=0.05)
    assert found.slopes["permeate_flow"] * permeate_m3_s == pytest.approx(1.0, rel=0.02)


def test_flow_and_strength_together_are_surer_than_each_and_right_without_error() -> None:
    # Least variance: with the strengths known, permeate and concentrate flow tell the same thing,
    # the one directly, the other times (Brix out/Brix in - 1). The mean of independent looks of
    # 2 % each at the water let through has 2 %/sqrt 2; both with what the thermometer adds.
    permeate_m3_s, strong = made(2.0, 4.0, 0.9)
    sds = {"concentrate_flow": 0.02 * 30.0 * GAL_H, "permeate_flow": 0.02 * permeate_m3_s}
    values = {**FULL, "permeate_flow": permeate_m3_s, "concentrate_brix": strong}
    inputs = {name: Input(value, sds.get(name, 1e-9)) for name, value in values.items()}
    both = seen_in(Reading("a", 0.0, False, inputs), machine())
    assert both is not None
    assert both.condition_log == pytest.approx(math.log(0.9), abs=1e-6)
    alone = {}
    for left_out in ("permeate_flow", "concentrate_brix"):
        kept = {name: each for name, each in inputs.items() if name != left_out}
        found = seen_in(Reading("a", 0.0, False, kept), machine())
        assert found is not None
        alone[left_out] = found.sd_log
    assert both.sd_log < 0.85 * min(alone.values())
    assert both.slopes["permeate_flow"] > 0.0  # each counts the way it should
    assert both.slopes["concentrate_flow"] > 0.0


def test_flow_and_strength_that_contradict_each_other_are_not_averaged() -> None:
    permeate_m3_s, strong = made(2.0, 4.0, 0.9)
    told = {**FULL, "permeate_flow": 0.4 * permeate_m3_s, "concentrate_brix": strong}
    sds = {"concentrate_flow": 0.02 * 30.0 * GAL_H, "permeate_flow": 0.008 * permeate_m3_s}
    inputs = {name: Input(value, sds.get(name, 0.01 * value)) for name, value in told.items()}
    both = seen_in(Reading("a", 0.0, False, inputs), machine())
    del inputs["concentrate_brix"]
    by_flow = seen_in(Reading("a", 0.0, False, inputs), machine())
    assert both is not None
    assert by_flow is not None
    assert both.condition_log == by_flow.condition_log < math.log(0.5)


def test_what_no_condition_explains_says_nothing() -> None:
    inputs = {name: Input(value, 0.01 * value) for name, value in FULL.items()}
    inputs["permeate_flow"] = Input(3000.0 * GAL_H, GAL_H)
    assert seen_in(Reading("a", 0.0, False, inputs), machine()) is None


def test_hours_are_run_from_on_to_off_and_between_signs_of_running() -> None:
    log = membrane_log(
        [
            entry("membrane_off", 7.0),
            entry("membrane_on", 0.0),
            entry("reading", 3.0, **FULL),
            entry("wash", 8.0),
            entry("reading", 24.0, **FULL),  # nobody wrote that it was started
            entry("reading", 26.0, **FULL),
            entry("reading", 40.0, **FULL),  # another run
        ],
        HOUSE,
    )
    assert log.run_h == pytest.approx(9.0)
    assert log.run_until_h(FIRST_S + 10.0 * H) == pytest.approx(7.0)
    assert [step.what for step in log.steps] == [
        "run", "read", "run", "wash", "read", "run", "read", "read",
    ]  # fmt: skip


def test_what_was_read_once_stands_for_a_while_and_its_error_is_shared() -> None:
    bare = {"permeate_flow": FULL["permeate_flow"]}
    log = membrane_log(
        [
            entry("membrane_on", 0.0, **FULL),
            entry("reading", 1.0, **bare),
            entry("reading", 2.0, place="sap", brix=1.7, temperature=3.0),
            entry("reading", 3.0, **bare),
            entry("reading", 3.0 + CARRIED_S / H, **bare),
        ],
        HOUSE,
    )
    first, second, third = log.readings
    assert not first.inputs["temperature"].carried
    assert second.inputs["temperature"] == Input(4.0, 0.5, carried=True)
    assert third.inputs["feed_brix"].value == 1.7
    assert third.inputs["temperature"].value == 3.0
    (left,) = log.left_out
    assert left.what == "no temperature was read"


def test_a_new_element_begins_the_course_and_old_weeks_are_left() -> None:
    old = [entry("reading", -24.0 * day, **FULL) for day in (1, 20, 40)]
    now = entry("reading", 10.0, **FULL)
    assert len(membrane_log([*old, now], HOUSE).readings) == 3
    found = membrane_log([*old, entry("new_membrane", -2.0), now], HOUSE)
    assert found.since_new
    assert [each.at_s for each in found.readings] == [now.at_s]
    assert found.begin_s == FIRST_S - 2.0 * H


def test_a_clean_water_test_needs_no_brix_and_leaves_no_setting() -> None:
    told = {name: FULL[name] for name in ("temperature", "pressure", "permeate_flow")}
    log = membrane_log([entry("clean_water_test", 0.0, **told)], HOUSE)
    (test,) = log.readings
    assert test.clean_water
    assert test.inputs["feed_brix"] == Input(0.0, 0.0)
    later = entry("reading", 1.0, permeate_flow=1e-5)
    log = membrane_log([entry("clean_water_test", 0.0, **told), later], HOUSE)
    assert [each.what for each in log.left_out] == ["no temperature was read"]


def test_nothing_logged_is_an_empty_course() -> None:
    assert membrane_log([], HOUSE).steps == ()
    assert membrane_log([entry("reading", 0.0, place="sap", brix=2.0)], HOUSE).readings == ()
    assert DAY_S == 24.0 * H
