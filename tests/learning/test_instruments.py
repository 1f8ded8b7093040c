"""Instruments against each other: who reads high, and when that cannot be told."""

from __future__ import annotations

import random

import numpy as np
import pytest

from plant_houses import house
from sugarwright.learning.instruments import learn_instruments
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.physics.air import standard_pressure_pa
from sugarwright.physics.boiling import boiling_point_c

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
