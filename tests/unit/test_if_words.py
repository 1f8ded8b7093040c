"""The grammar of --if: what is said, as values; what is not understood is refused with help."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planning_cases import CORD_M3, GALLON_M3, demo_house, local_s, without_membrane
from sugarwright.errors import InputError
from sugarwright.planning.if_today import Today
from sugarwright.planning.if_words import read_if
from sugarwright.planning.suppositions import (
    Forced,
    Price,
    Reading,
    Supposition,
    Warmer,
    forcing,
)
from sugarwright.plant import layout as at
from sugarwright.plant.special_hours import Outage, Presence

NOW = "2015-03-19 05:10"  # a Thursday; Ines is there 05:30 to 07:30 and 17:00 to 22:00
THURSDAY = 735676  # its ordinal, as datetime has it


def _today(**changes: object) -> Today:
    house = replace(demo_house(), **changes)  # type: ignore[arg-type]
    return Today(house, local_s(NOW), local_s("2015-03-22 05:10"))


def _read(text: str) -> tuple[Supposition, ...]:
    return read_if(text, _today())


def _at(clock: str, day: int = 19) -> int:
    return local_s(f"2015-03-{day} {clock}")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("membrane down till noon", Outage("membrane", _at("05:10"), _at("12:00"))),
        ("the RO is down until 12:00", Outage("membrane", _at("05:10"), _at("12:00"))),
        ("pan out of order till noon", Outage("pan", _at("05:10"), _at("12:00"))),
        ("the membrane is not working today", Outage("membrane", _at("05:10"), _at("00:00", 20))),
        ("Tobias home 20:00 till 02:00", Presence("Tobias", _at("20:00"), _at("02:00", 20), True)),
        ("Tobias home 19:00", Presence("Tobias", _at("19:00"), _at("21:00"), True)),
        ("nobody home tomorrow", Presence("Ines", _at("00:00", 20), _at("00:00", 21), False)),
        ("pump broken from 2 pm to 5 pm", Outage("pump", _at("14:00"), _at("17:00"))),
        ("pan out 14:00-17:00 tomorrow", Outage("pan", _at("14:00", 20), _at("17:00", 20))),
        ("no fire today", Outage("pan", _at("05:10"), _at("00:00", 20))),
        ("no fire on Friday", Outage("pan", _at("00:00", 20), _at("00:00", 21))),
        ("membrane down till Friday noon", Outage("membrane", _at("05:10"), _at("12:00", 20))),
        ("Ines away tomorrow", Presence("Ines", _at("00:00", 20), _at("00:00", 21), False)),
        ("ines away 14:00-18:00", Presence("Ines", _at("14:00"), _at("18:00"), False)),
        ("away from 3 pm", Presence("Ines", _at("15:00"), _at("00:00", 20), False)),
        ("home till 19:00", Presence("Ines", _at("19:00"), _at("00:00", 20), False)),
        ("home 15:00", Presence("Ines", _at("15:00"), _at("22:00"), True)),
        ("Tobias home 13:00-15:00", Presence("Tobias", _at("13:00"), _at("15:00"), True)),
        ("light at 17:30", Forced("light", THURSDAY, 1050.0)),
        ("light the fire at five tomorrow", Forced("light", THURSDAY + 1, 1020.0)),
        ("fire out by 20:00", Forced("let go", THURSDAY, 1200.0)),
        ("membrane on at 06:00", Forced("membrane on", THURSDAY, 360.0)),
        ("membrane off 19:00", Forced("membrane off", THURSDAY, 1140.0)),
        ("no wash", Forced("wash", THURSDAY, -1.0)),
        ("wash at 20:00 on Saturday", Forced("wash", THURSDAY + 2, 1200.0)),
        ("not overnight", Forced("night", THURSDAY, 0.0)),
        ("set-point 20 gal/h", Forced("set", THURSDAY, 20 * GALLON_M3 / 3600)),
        ("set the membrane to 0.5 gal/min", Forced("set", THURSDAY, 0.5 * GALLON_M3 / 60)),
        ("wood 0.5 cord", Reading("wood", 0.5 * CORD_M3)),
        ("the sap tank holds 300 gal", Reading("sap", 300 * GALLON_M3)),
        ("sap 2.5 Brix", Reading("sap strength", 2.5)),
        ("condition 80 %", Reading("condition", 0.8)),
        ("warmer by 2 F", Warmer(2 * 5 / 9)),
        ("2 °F colder", Warmer(-2 * 5 / 9)),
        ("an hour is worth $0", Price("hour", 0.0)),
        ("hour $18/h", Price("hour", 18.0 / 3600)),
        ("syrup $60/gal", Price("syrup", 60 / GALLON_M3)),
        ("wood $200/cord", Price("wood", 200 / CORD_M3)),
    ],
)
def test_a_clause_is_one_thing(text: str, expected: Supposition) -> None:
    (found,) = _read(text)
    assert type(found) is type(expected)
    for name, value in vars(expected).items():
        assert getattr(found, name) == (
            pytest.approx(value) if isinstance(value, float) else value
        ), name


def test_home_at_six_is_in_the_evening_and_leaves_the_morning_alone() -> None:
    assert _read("home at six") == _read("I am home by 6") == _read("home 18:00")
    assert _read("home 18:00") == (
        Presence("Ines", _at("17:00"), _at("18:00"), False),
        Presence("Ines", _at("18:00"), _at("22:00"), True),
    )


def test_whoever_leaves_by_then_is_not_supposed_home() -> None:
    """On Saturday Tobias leaves at 18:00, and Ines at 22:00."""
    names = [thing.person for thing in _read("home 6 pm Saturday") if isinstance(thing, Presence)]
    assert names == ["Ines", "Ines"]


def test_things_are_supposed_together() -> None:
    both = _read("home 18:00; no fire tomorrow and wood 0.5 cord")
    assert both == (*_read("home 18:00"), *_read("no fire tomorrow"), *_read("wood 0.5 cord"))


def test_without_a_name_it_is_all_who_give_hours_that_day() -> None:
    names = {thing.person for thing in _read("away Saturday") if isinstance(thing, Presence)}
    assert names == {"Ines", "Tobias"}


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("hoem 18:00", "home 18:00"),
        ("membrane dwon till noon", "membrane down till noon"),
        ("no fyre today", "no fire today"),
        ("Innes away tomorow", "ines away tomorrow"),
        ("Innes away tomorrow", "Ines away tomorrow"),
    ],
)
def test_a_slip_is_asked_back(text: str, meant: str) -> None:
    with pytest.raises(InputError) as refused:
        _read(text)
    assert f'Did you mean "{meant}"?'.lower() in str(refused.value).lower()


@pytest.mark.parametrize(
    ("text", "because"),
    [
        ("banana", "is not understood"),
        ("", "is not understood"),
        ("home 18:00; banana", "is not understood"),
        ("sap 3000 gal", "up to 425 gal"),
        ("sap 300", "needs a unit"),
        ("wood -1 cord", '"-1 cord": is below nothing; allowed: up to 100 cords'),
        ("warmer -3 F", 'Say "colder" without the minus'),
        (
            "Bob home 18:00",
            'nobody of this house is named "Bob"; allowed: Ines, Tobias, everybody.',
        ),
        ("Ann away Saturday", 'is named "Ann"; allowed: Ines, Tobias, everybody.'),
        ("home 25:00", '"25:00" is no hour of a day; allowed: 00:00 to 24:00'),
        ("light at 26", '"26" is no hour of a day'),
        ("away yesterday", '"yesterday" is over: a plan goes from now on'),
        ("Tobias home 18:00 Saturday", "changes nothing: by the usual hours Tobias leaves by then"),
        ("banana", "home 18:00; Tobias away Saturday; membrane"),  # one of this house
        ("wood 1104 cord", "up to 100 cords"),
        ("set-point 900 gal/h", "allowed: 0.15 gal/min to 0.80 gal/min"),
        ("warmer 90 F", "more than a forecast can be off"),
        ("light 04:00", "is over"),
        ("away Monday", "lies beyond the plan"),
        ("membrane down till nine", "is no time of day"),  # in the morning or the evening?
        ("home 18:00 19:00", "two times"),
        ("x" * 300, "is too long"),
    ],
)
def test_what_cannot_be_is_refused_and_says_what_can(text: str, because: str) -> None:
    with pytest.raises(InputError) as refused:
        _read(text)
    assert because in str(refused.value)


def test_a_machine_that_the_house_has_not_is_refused() -> None:
    today = replace(_today(), house=without_membrane(demo_house()))
    for text in ("membrane down till noon", "set-point 20 gal/h", "no wash"):
        with pytest.raises(InputError, match="no membrane"):
            read_if(text, today)
    assert read_if("light 17:00", today)


WORDS = tuple(
    " ".join(
        [
            "home away no fire membrane pump down till from noon 18:00 5 pm six tomorrow Saturday",
            "light at wash set sap 300 gal wood cord warmer 2 F hour $0 ; and - % 14:00-18:00 to",
            "\u00df \u0663 1e9 -5 Brix night 99:99 12 24:00",
        ]
    ).split()
)


@given(st.lists(st.sampled_from(WORDS), max_size=7))
@settings(max_examples=150, deadline=None)
def test_any_words_are_read_or_refused_by_name(words: list[str]) -> None:
    try:
        found = _read(" ".join(words))
    except InputError:
        return
    assert found
    for thing in found:
        assert getattr(thing, "begin_s", 0) < getattr(thing, "end_s", 1)


def test_a_forced_setting_holds_when_a_tank_calls() -> None:
    plans = np.full((2, 3, at.PLAN_WIDTH), 5e-5)
    force = forcing(_read("set-point 20 gal/h tomorrow"), first_day=THURSDAY)
    assert force is not None
    forced = force(plans)
    assert forced[:, 1, at.MEMBRANE_FLOW_M3_S] == pytest.approx(20 * GALLON_M3 / 3600)
    assert (forced[:, 1, at.CALL_FLOW_M3_S] == 0.0).all()
    assert (forced[:, [0, 2]] == plans[:, [0, 2]]).all()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("light 17:00", "no fire today"),
        ("no fire till 18:00", "light 17:00"),
        ("light 17:00", "light 18:00"),
        ("light 17:00", "fire out 16:00"),
        ("membrane on 06:00", "membrane down all day"),
        ("set-point 20 gal/h", "no membrane today"),
        ("wash 18:00", "no wash"),
        ("home till 18:00", "home 20:00"),
        ("Ines away 17:00-20:00", "Ines home 19:00"),
        ("sap 300 gal", "sap 200 gal"),
        ("warmer 2 F", "colder 2 F"),
        ("hour $0", "hour $20"),
    ],
)
def test_what_cannot_both_be_is_refused_and_both_named(one: str, other: str) -> None:
    for first, second in ((one, other), (other, one)):
        with pytest.raises(InputError, match="contradict each other") as problem:
            _read(f"{first}; {second}")
        assert f'"{first}" or "{second}"' in str(problem.value)


@pytest.mark.parametrize(
    "text",
    [
        "light 17:00; no fire tomorrow",
        "no fire till 16:00; light 17:00",
        "light 17:00; fire out 20:00",
        "membrane down till noon; membrane on 13:00",
        "membrane down till noon; set-point 20 gal/h",
        "not overnight; no membrane today",
        "Ines away 14:00-18:00; Tobias home 13:00-15:00",
        "no wash; no membrane today",
        "sap 300 gal; stock 20 gal",
    ],
)
def test_what_can_both_be_is_read(text: str) -> None:
    assert len(_read(text)) >= 2


def test_a_night_in_which_clocks_change_ends_by_the_clock() -> None:
    """On 8 March 2015 clocks went from 02:00 to 03:00: that night has an hour less."""
    today = Today(demo_house(), local_s("2015-03-07 10:00"), local_s("2015-03-10 10:00"))
    (found,) = read_if("Ines away from 22:00 till 06:00", today)
    assert isinstance(found, Presence)
    assert found.begin_s == local_s("2015-03-07 22:00")
    assert found.end_s == local_s("2015-03-08 06:00")
