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
    assert sharp.closer_money == pytest.approx(sharp.at_stake_money * sharp.narrowed_fraction)
