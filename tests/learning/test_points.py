"""Gathering points against each other: a leaky line is found, sound ones are let be."""

from __future__ import annotations

from dataclasses import replace

import pytest

from leaky_lines import BUSH, NAMES, house, lessons, points_of
from sugarwright.learning.log_gatherings import PointGatherings, seasons_of, together
from sugarwright.learning.points import LIKELY, compare_points
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.plant.drive import tapped_s
from sugarwright.plant.tree_knowledge import nothing_learnt


def suspected(found: object) -> set[str]:
    return {each.point for each in found if each.leak_chance_fraction >= LIKELY}  # type: ignore[attr-defined]


def test_a_line_that_loses_most_of_its_sap_is_found() -> None:
    right = 0
    for seed in range(8):
        found = lessons(points_of(seed, 3, seed % 3, left=0.2, since=8))
        named = suspected(found)
        right += NAMES[seed % 3] in named
        assert len(named) <= 1
        for each in found:
            assert (each.lost_fraction is not None) == (each.point in named)
    assert right >= 4


def test_sound_lines_are_let_be() -> None:
    alarms = sum(bool(suspected(lessons(points_of(seed, 3, None, 1.0, 0)))) for seed in range(12))
    # Five in a hundred houses, as measured over many (docs/learn.md): three of twelve are 2 in 100.
    assert alarms <= 2


def test_a_line_that_always_brings_less_is_told_as_such_and_partly_pooled() -> None:
    points = points_of(3, 3, 1, left=0.3, since=0)
    found = {each.point: each for each in lessons(points)}
    low = found[NAMES[1]]
    assert low.against_others_ratio < 1.0
    others = [each.against_others_ratio for name, each in found.items() if name != NAMES[1]]
    assert all(low.against_others_ratio < each for each in others)
    # Of fewer gatherings it is less sure, and drawn nearer to the others.
    few = [replace(each, gatherings=each.gatherings[:5]) for each in points]
    told = {each.point: each for each in lessons(few)}[NAMES[1]]
    assert told.against_others_sd_log > low.against_others_sd_log


def test_few_gatherings_or_one_line_say_nothing() -> None:
    points = points_of(1, 2, None, 1.0, 0)
    known = nothing_learnt(1970, 1.0, 2.0)
    assert compare_points(house(2), points[:1], BUSH, known) == ()
    few = [PointGatherings(each.point, each.tapped_s, each.gatherings[:3]) for each in points]
    assert compare_points(house(2), few, BUSH, known) == ()


def gather(name: str, day: float, litres: float, *flags: str) -> Entry:
    at_s = tapped_s(house(2)) + 86400.0 * day
    volume = Measure("volume", litres / 1000.0)
    return Entry(f"{name}{day}{litres}", "gather", at_s, at_s, place=f"gathering:{name}",
                 measures=(volume,), flags=flags)  # fmt: skip


def test_gatherings_of_the_log_begin_where_their_own_point_was_emptied() -> None:
    entries = [gather("east", 2, 100), gather("west", 3, 200), gather("east", 4, 50)]
    points = seasons_of(house(2), entries)[0][2015]
    east, west = (next(each for each in points if each.point == name) for name in NAMES[:2])
    start_s = tapped_s(house(2))
    assert [each.begin_s for each in east.gatherings] == [start_s, start_s + 2 * 86400]
    assert [each.begin_s for each in west.gatherings] == [start_s]
    assert all(each.taps == 300.0 for each in (*east.gatherings, *west.gatherings))


def test_what_was_not_emptied_waits_for_its_own_point() -> None:
    entries = [gather("east", 2, 100, "not_emptied"), gather("west", 3, 200), gather("east", 4, 50)]
    whole = together(seasons_of(house(2), entries)[0][2015])
    assert sorted(round(each.volume_m3, 3) for each in whole) == [0.15, 0.2]


def test_two_loads_of_one_hour_are_one_gathering() -> None:
    entries = [gather("east", 2, 100), gather("east", 2, 40, "overflow")]
    (point,) = seasons_of(house(2), entries)[0][2015]
    (one,) = point.gatherings
    assert one.volume_m3 == pytest.approx(0.14)
    assert one.overflow


def test_the_log_of_tapping_comes_before_the_description() -> None:
    at_s = tapped_s(house(2)) + 5 * 86400.0
    tapped = Entry("t", "tapped", at_s, at_s, place="gathering:east")
    points = seasons_of(house(2), [tapped, gather("east", 7, 100), gather("west", 7, 100)])[0][2015]
    assert [each.tapped_s for each in points] == [at_s, tapped_s(house(2))]


def test_an_unknown_point_is_told() -> None:
    seasons, notes = seasons_of(house(2), [gather("north", 2, 100)])
    assert seasons == {}
    assert "north" in notes[0]
