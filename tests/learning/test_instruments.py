"""Instruments against each other: who reads high, and when that cannot be told."""

from __future__ import annotations

import random

import numpy as np
import pytest

from plant_houses import house
from sugarwright.learning.instrument_pairs import pairs_of, shown_in_water_brix
from sugarwright.learning.instruments import learn_instruments
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.physics.air import standard_pressure_pa
from sugarwright.physics.boiling import boiling_point_c
from sugarwright.physics.hydrometer import hydrometer_reading_brix
from sugarwright.saying.instruments import would_tell_text

FLOW = 2e-5


def entry(at_s: float, *measures: Measure, place: str = "sap", **words: str) -> Entry:
    key = f"{at_s} {place} {measures[0].instrument}"
    return Entry(key, "reading", at_s, at_s, place=place, measures=measures, words=words)


def beside(high: float, count: int, source: np.random.Generator) -> list[Entry]:
    """A hydrometer that reads high beside a refractometer."""
    found = []
    for day in range(count):
        brix = 2.0 + 0.3 * source.standard_normal()
        read = brix + high + 0.15 * source.standard_normal()
        other = brix + 0.1 * source.standard_normal()
        found.append(entry(86400.0 * day, Measure("brix", read, instrument="hydrometer")))
        found.append(
            entry(86400.0 * day + 600.0, Measure("brix", other, instrument="refractometer"))
        )
    return found


def test_two_that_differ_are_told_and_which_is_wrong_is_not() -> None:
    found = learn_instruments(house(), beside(0.5, 12, np.random.default_rng(3)))
    (apart,) = found.apart
    assert (apart.first, apart.second, apart.pairs) == ("hydrometer", "refractometer", 12)
    assert apart.difference == pytest.approx(0.5, abs=3.0 * apart.sd)
    assert not any(each.certain for each in found.biases)
    assert all(each.sd > 0.6 * each.prior_sd for each in found.biases)


def test_two_that_agree_are_left_alone() -> None:
    alarms = 0
    for seed in range(20):
        found = learn_instruments(house(), beside(0.0, 6, np.random.default_rng(seed)))
        alarms += len(found.apart) + sum(each.certain for each in found.biases)
    # One in twenty would be told by chance alone; six or more of forty looks: one in a thousand.
    assert alarms <= 5


@pytest.mark.parametrize(("liquid", "reads_k"), [("boiling water", 1.4), ("ice water", -1.2)])
def test_a_thermometer_in_water_of_a_known_temperature(liquid: str, reads_k: float) -> None:
    elevation_m = house().site.elevation_m
    true_c = 0.0
    if liquid == "boiling water":
        true_c = boiling_point_c(0.0, standard_pressure_pa(elevation_m))
    read = Measure("temperature", true_c + reads_k, sd=0.2)
    found = learn_instruments(house(), [entry(0.0, read, place="pan", note=f"held in {liquid}")])
    (bias,) = found.biases
    assert bias.instrument == "thermometer"
    assert bias.certain
    assert bias.bias == pytest.approx(reads_k, abs=2.0 * bias.sd + 0.2)


def held(instrument: str, shows: float, day: int, temperature_c: float | None = None) -> Entry:
    measures = [Measure("brix", shows, instrument=instrument)]
    if temperature_c is not None:
        measures.append(Measure("temperature", temperature_c))
    return entry(86400.0 * day, *measures, place="water")


def test_clean_water_says_which_of_two_is_wrong() -> None:
    log = beside(0.3, 6, np.random.default_rng(3))
    assert not any(each.certain for each in learn_instruments(house(), log).biases)
    checks = [held("hydrometer", 0.3, 20 + day, 15.6) for day in range(3)]
    checks += [held("refractometer", 0.0, 30 + day) for day in range(3)]
    found = {each.instrument: each for each in learn_instruments(house(), [*log, *checks]).biases}
    assert found["hydrometer"].certain
    assert found["hydrometer"].bias == pytest.approx(0.3, abs=2.0 * found["hydrometer"].sd)
    assert not found["refractometer"].certain
    assert found["hydrometer"].pairs == 9


def test_a_check_of_both_in_one_cup_counts_once() -> None:
    both = [held("hydrometer", 0.3, 1, 15.6), held("refractometer", 0.0, 1)]
    assert len(pairs_of(house(), both)) == 2  # each against water, and not against each other too


@pytest.mark.parametrize("temperature_c", [2.0, 5.0, 10.0, 15.5])
def test_cold_water_carries_a_hydrometer_higher(temperature_c: float) -> None:
    shown = shown_in_water_brix(temperature_c)
    assert shown == pytest.approx(hydrometer_reading_brix(0.0, temperature_c, 15.556), abs=0.01)
    (pair,) = pairs_of(house(), [held("hydrometer", shown, 1, temperature_c)])
    assert pair.difference == pytest.approx(0.0, abs=1e-9)


def test_water_in_which_it_sinks_below_its_scale_tells_nothing() -> None:
    """By hand: water of 999.02 kg/m³ at 60 °F has 997.05 at 25 °C (handbook, from memory); the
    glass, swollen by 25e-6 in a kelvin, gives back 0.24; a Brix is 3.9 kg/m³ there.
    """
    assert shown_in_water_brix(25.0) == pytest.approx((997.05 + 0.24 - 999.02) / 3.9, abs=0.02)
    assert not pairs_of(house(), [held("hydrometer", 0.0, 1, 25.0)])


def test_of_unknown_warmth_water_tells_less() -> None:
    known, unknown = (
        pairs_of(house(), [held("hydrometer", 0.2, 1, warmth)])[0].sd for warmth in (15.6, None)
    )
    assert unknown > 1.5 * known


def test_what_would_tell_is_said_until_the_log_says_it() -> None:
    log = beside(0.3, 6, np.random.default_rng(3))
    assert "clean water 0.1 hydrometer 60F" in would_tell_text(
        learn_instruments(house(), log), "us"
    )
    checks = [held("hydrometer", 0.3, 20 + day, 15.6) for day in range(3)]
    assert would_tell_text(learn_instruments(house(), [*log, *checks]), "us") == ""
    assert would_tell_text(learn_instruments(house(), []), "us") == ""


def test_the_membrane_drawing_from_the_tank_leaves_the_rest_as_strong() -> None:
    log = beside(0.0, 1, np.random.default_rng(3))
    on = Entry("on", "membrane_on", -60.0, -60.0, place="membrane")
    off = Entry("off", "membrane_off", 3600.0, 3600.0, place="membrane")
    assert len(pairs_of(house(), [on, *log, off])) == 1
    came = Entry("came", "gather", 300.0, 300.0, measures=(Measure("volume", 0.2),))
    assert not pairs_of(house(), [log[0], came, log[1]])


def test_the_concentrate_beside_the_membranes_balance() -> None:
    """8 Brix from 2 Brix at three parts of water to one of concentrate: by mass.

    A refractometer that reads 2.0 in the feed and a hydrometer that shows a Brix too much in the
    concentrate: by hand, the feed is 1 + 3 x 1.000 / 1.036 = 3.9 times the concentrate's mass, so
    this should be 7.8 Brix.
    """
    entries = []
    for run in range(8):
        entries.append(
            entry(
                3600.0 * run,
                Measure("feed_brix", 2.0, sd=0.03, instrument="refractometer"),
                Measure("concentrate_brix", 9.0, sd=0.15, instrument="hydrometer"),
                Measure("concentrate_flow", FLOW, sd=0.005 * FLOW),
                Measure("permeate_flow", 3.0 * FLOW, sd=0.015 * FLOW),
                place="membrane",
            )
        )
    found = {each.instrument: each for each in learn_instruments(house(), entries).biases}
    together = found["hydrometer"].bias - 3.9 * found["refractometer"].bias
    assert together == pytest.approx(1.2, abs=0.1)
    assert found["hydrometer"].pairs == 8


def test_a_stick_beside_marks_and_the_order_is_nothing_to_it() -> None:
    entries = beside(0.5, 10, np.random.default_rng(1))
    mixed = list(entries)
    random.Random(1).shuffle(mixed)
    assert learn_instruments(house(), mixed) == learn_instruments(house(), entries)
    assert learn_instruments(house(), []).biases == ()


def test_one_wild_pair_is_weighed_down() -> None:
    entries = beside(0.0, 10, np.random.default_rng(8))
    wild = [*entries, *(
        entry(9e6 + shift, Measure("brix", value, instrument=name))
        for shift, value, name in ((0.0, 12.0, "hydrometer"), (60.0, 2.0, "refractometer"))
    )]  # fmt: skip
    calm, shaken = (learn_instruments(house(), each) for each in (entries, wild))
    for before, after in zip(calm.biases, shaken.biases, strict=True):
        assert after.bias == pytest.approx(before.bias, abs=0.1)
