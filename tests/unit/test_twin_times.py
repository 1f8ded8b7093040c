"""The study of times counts what it says, and a truth asked of itself is told to the minute."""

from __future__ import annotations

import numpy as np

from sugarwright.twin.report import When
from sugarwright.twin.standing import HORIZON_S
from twin_times import Count, whens
from twin_world import make_world

TOLD = When(0.5, 1000.0, 2000.0, 3000.0)


def certain(at_s: float) -> When:
    return When(1.0, at_s, at_s, at_s)


def test_each_look_is_counted_on_its_side() -> None:
    one = Count()
    for true in (certain(100.0), certain(1500.0), certain(2900.0), certain(9000.0), None):
        one.take(TOLD, true, 0.0)
    one.take(None, certain(1500.0), 0.0)  # no time was told
    one.take(None, certain(HORIZON_S + 1.0), 0.0)  # later than is told: it did not come
    assert (one.early, one.within, one.late) == (1, 2, 1)
    assert (one.looks, one.timed, one.came, one.likely) == (7, 4, 5, 2.5)


def test_what_comes_after_what_is_told_counts_as_well_as_what_comes_before() -> None:
    # Else the times of a band that reaches beyond two days could only be missed by coming early.
    one = Count()
    late_s = HORIZON_S + 7200.0
    told = When(1.0, HORIZON_S - 7200.0, HORIZON_S - 60.0, HORIZON_S + 3600.0)
    one.take(told, certain(late_s), 0.0)
    one.take(When(1.0, late_s, late_s, late_s), certain(100.0), 0.0)  # not told yet
    assert (one.timed, one.late, one.early, one.came) == (1, 1, 0, 1)


def test_a_truth_left_alone_has_one_time_of_each_thing() -> None:
    world = make_world(1, 2.0, 9, members=20)
    assert world.ground is not None
    assert len(world.stood) == len(world.times_s) == 16
    before = world.stood[-1].x.copy()
    found = [when for one in world.stood[1::2] for when in whens(world.ground, one).values()]
    assert len(found) >= 4
    assert all(each.early_s == each.late_s and each.probability == 1.0 for each in found)
    assert np.array_equal(world.stood[-1].x, before)  # the look changes nothing
