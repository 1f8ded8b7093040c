"""Readings that cannot be, or that nothing foretold: questioned, kept, and believed when due."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from plant_houses import GALLON_M3
from sugarwright.logbook.entry import Measure
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.contents import tanks_of, volumes_m3
from sugarwright.twin.doubt import BELIEVED, FAR_SD, OPEN, REFUTED, distance_sd, is_far
from sugarwright.twin.told import Reading, readings_of
from sugarwright.twin.track import Track
from twin_cases import entry, followed, gallons, house, plant


def held_gal(track: Track, place: str) -> float:
    """Median of a tank, gal."""
    tank, _ = tanks_of(plant())[place]
    return float(np.median(volumes_m3(plant(), track.ensemble.x, tank))) / GALLON_M3


def test_more_than_the_rim_is_questioned_with_what_may_have_been_meant() -> None:
    track = followed(gallons("stock", 0, 30), gallons("stock", 2, 310))
    (doubt,) = track.doubts
    assert doubt.state == OPEN
    assert doubt.allowed_high == pytest.approx(160 * GALLON_M3)
    assert doubt.perhaps == "31"
    assert held_gal(track, "stock") == pytest.approx(30, abs=2)


def test_a_second_reading_beyond_the_rim_is_not_believed_either() -> None:
    track = followed(gallons("stock", 0, 30), gallons("stock", 2, 310), gallons("stock", 3, 310))
    assert [doubt.state for doubt in track.doubts] == [OPEN, OPEN]
    assert held_gal(track, "stock") == pytest.approx(30, abs=2)


def test_swapped_digits_are_seen() -> None:
    track = followed(gallons("sap", 0, 310), gallons("sap", 1, 130))
    assert track.doubts[-1].perhaps == "310"
    assert held_gal(track, "sap") == pytest.approx(310, abs=5)


def test_the_wrong_tank_is_named() -> None:
    track = followed(gallons("sap", 0, 210), gallons("stock", 0.5, 35), gallons("sap", 2, 36.5))
    assert track.doubts[-1].perhaps == "stock"


def test_a_second_reading_that_agrees_makes_the_first_believed_and_all_comes_on_from_there() -> (
    None
):
    """Somebody emptied the tank and did not say so: two readings say it."""
    told = [gallons("sap", 0, 300), gallons("sap", 5, 60), gallons("sap", 6, 61)]
    assert followed(*told[:2]).doubts[0].state == OPEN
    track = followed(*told)
    (doubt,) = track.doubts
    assert doubt.state == BELIEVED
    assert held_gal(track, "sap") == pytest.approx(61, abs=3)
    on = followed(*told, gallons("sap", 7, 59), gallons("sap", 8, 62))
    assert [each.state for each in on.doubts] == [BELIEVED]  # and stays so


def test_a_reading_as_foretold_speaks_against_a_doubted_one_for_good() -> None:
    track = followed(gallons("sap", 0, 300), gallons("sap", 5, 60), gallons("sap", 6, 299))
    assert [each.state for each in track.doubts] == [REFUTED]
    assert held_gal(track, "sap") == pytest.approx(299, abs=5)
    later = followed(
        gallons("sap", 0, 300),
        gallons("sap", 5, 60),
        gallons("sap", 6, 299),
        gallons("sap", 7, 301),
    )
    assert [each.state for each in later.doubts] == [REFUTED]


def test_two_doubted_readings_that_disagree_are_both_doubted() -> None:
    track = followed(gallons("sap", 0, 300), gallons("sap", 5, 60), gallons("sap", 6, 150))
    assert [each.state for each in track.doubts] == [OPEN, OPEN]
    third = followed(
        gallons("sap", 0, 300),
        gallons("sap", 5, 60),
        gallons("sap", 6, 150),
        gallons("sap", 7, 151),
    )
    states = {each.value: each.state for each in third.doubts}
    assert states[150 * GALLON_M3] == BELIEVED
    assert held_gal(third, "sap") == pytest.approx(151, abs=5)


def test_a_cause_that_was_logged_is_no_jump() -> None:
    track = followed(
        gallons("sap", 0, 300), entry("dump", 4, "sap"), gallons("sap", 5, 2), members=60
    )
    assert not track.doubts


def test_wood_that_was_brought_is_no_jump() -> None:
    first = entry("reading", 0, "woodpile", Measure("wood", 4.0))
    brought = entry("wood_in", 3, "woodpile", Measure("wood", 8.0))
    more = entry("reading", 5, "woodpile", Measure("wood", 12.0))
    assert followed(first, more).doubts
    track = followed(first, brought, more)
    assert not track.doubts
    assert np.median(track.ensemble.x[:, at.WOOD_M3]) == pytest.approx(12.0, rel=0.1)


def test_one_of_several_points_says_only_so_much_of_the_others() -> None:
    came = entry("gather", 2, "gathering:home", Measure("volume", 0.4, sd=0.004))
    (of_two,) = readings_of(house(), came)
    (of_one,) = readings_of(replace(house(), gathering=house().gathering[:1]), came)
    assert of_one.sd == pytest.approx(0.004)
    assert of_two.sd == pytest.approx(0.5 * 0.4, rel=0.01)


def test_a_doubted_brix_does_not_touch_the_level() -> None:
    strong = entry("reading", 3, "sap", Measure("brix", 19.0, typed="19"))
    weak = entry("reading", 0, "sap", Measure("volume", 0.8), Measure("brix", 2.0))
    track = followed(weak, strong)
    (doubt,) = track.doubts
    assert (doubt.quantity, doubt.perhaps) == ("brix", "1.9")


def test_what_is_first_read_of_a_tank_is_believed() -> None:
    assert not followed(gallons("sap", 0, 410)).doubts


@pytest.mark.parametrize("brix", [1.1e-308, 1e-9, 12.0])
def test_a_number_that_nobody_typed_may_be_questioned_too(brix: float) -> None:
    read = entry("reading", 1, "sap", Measure("brix", brix))
    assert [doubt.value for doubt in followed(gallons("sap", 0, 200), read).doubts] == [brix]


def skewed_m3() -> Floats:
    """A sap tank with a membrane on it: hardly under 180 gal, a good run up to 400."""
    shares = (np.arange(200) + 0.5) / 200
    return GALLON_M3 * np.interp(
        shares, [0.0, 0.01, 0.05, 0.5, 0.95, 1.0], [176, 181, 189, 247, 366, 425]
    )


@pytest.mark.parametrize(("read_gal", "is_told"), [
    (74, True), (100, True), (125, False), (185, False), (247, False), (366, False), (420, False),
])  # fmt: skip
def test_a_side_that_ends_is_judged_by_its_end(read_gal: float, is_told: bool) -> None:
    """170 gal vanished: a normal's tail as wide as that side's would have swallowed it."""
    read = Measure("volume", read_gal * GALLON_M3, typed=f"{read_gal} gal")
    reading = Reading(
        *("k", 0.0, "sap", "volume", read.value, 1.2 * GALLON_M3, read, (0.0, 425 * GALLON_M3))
    )
    assert distance_sd(skewed_m3(), 74 * GALLON_M3, 1.2 * GALLON_M3) < FAR_SD
    assert is_far(reading, skewed_m3()) == is_told
    assert not is_far(replace(reading, value=125 * GALLON_M3), skewed_m3()[::3])  # too few to tell


def test_a_normal_s_tails_are_its_own() -> None:
    normal = 1.0 + 0.05 * np.array([NormalDist().inv_cdf((k + 0.5) / 200) for k in range(200)])
    for value in (0.76, 1.24):
        read = Measure("volume", value)
        assert not is_far(Reading("k", 0.0, "sap", "volume", value, 0.005, read, (0, 2)), normal)
    for value in (0.74, 1.26):
        read = Measure("volume", value)
        assert is_far(Reading("k", 0.0, "sap", "volume", value, 0.005, read, (0, 2)), normal)
