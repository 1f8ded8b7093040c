"""Which reading would teach most: normal arithmetic, weighed by the plant's own worth."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant_houses import house
from sugarwright.learning.next_reading import Candidate, rank_readings, worth_slopes
from sugarwright.planning.choices import habit_rows

RATE, YIELD = "pan.boil_rate_m3_s", "trees.yield_factor"


@given(st.floats(0.0, 2.0), st.floats(1e-3, 2.0))
def test_a_reading_narrows_as_two_normals_do(sd: float, reading: float) -> None:
    after = Candidate(RATE, "", sd, reading).after_sd_log
    assert after <= min(sd, reading) + 1e-12
    if sd > 1e-6:
        assert 1.0 / after**2 == pytest.approx(1.0 / sd**2 + 1.0 / reading**2)


def test_more_sap_is_worth_more_and_by_about_what_it_brings() -> None:
    slopes = worth_slopes(house(), [YIELD, RATE, "fire.efficiency_fraction"], habit_rows)
    assert slopes[YIELD] > 0.0
    assert slopes["fire.efficiency_fraction"] > 0.0  # the same syrup of less wood
    assert slopes[RATE] > 0.0  # and the same boil in less time


def test_what_takes_away_most_variance_of_worth_comes_first() -> None:
    said = [
        Candidate(YIELD, "sharp", 0.3, 0.05),
        Candidate(YIELD, "blunt", 0.3, 1.0),
        Candidate(RATE, "known already", 0.0, 0.05),
    ]
    ranked = rank_readings(house(), said, habit_rows)
    assert [each.what for each in ranked] == ["sharp", "blunt", "known already"]
    assert ranked[-1].closer_money == 0.0
    sharp = ranked[0]
    assert sharp.narrowed_fraction == pytest.approx(1.0 - 0.05 / math.hypot(0.3, 0.05))
    # The yield alone is unsure, so the whole shrinks as its own spread does.
    assert sharp.closer_money == pytest.approx(sharp.at_stake_money * sharp.narrowed_fraction)


def test_what_is_gained_is_told_of_the_whole_so_that_its_order_is_that_of_the_list() -> None:
    said = [Candidate(YIELD, "yield", 0.3, 0.8), Candidate(RATE, "boil-off", 0.1, 0.02)]
    ranked = rank_readings(house(), said, habit_rows)
    gains = [each.closer_money for each in ranked]
    assert gains == sorted(gains, reverse=True)
    whole = math.hypot(*(each.at_stake_money for each in ranked))
    assert all(0.0 < each < whole for each in gains)
