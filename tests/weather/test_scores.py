"""Scores against closed forms and against scoringrules, which others wrote and check."""

from __future__ import annotations

import numpy as np
import pytest
import scoringrules
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.stats import norm

from sugarwright.errors import InputError, RangeError
from sugarwright.weather.scores import (
    band,
    coverage,
    crps_ensemble,
    crps_normal,
    pit,
    rank_histogram,
    ranks,
    sharpness,
)

CASES = np.random.default_rng(1)
OBSERVED = CASES.normal(0.0, 6.0, 300)
MEMBERS = CASES.normal(1.0, 3.0, (21, 300))


def test_plain_and_fair_score_are_those_of_scoringrules() -> None:
    for fair, name in ((False, "nrg"), (True, "fair")):
        theirs = scoringrules.crps_ensemble(OBSERVED, MEMBERS.T, estimator=name)
        np.testing.assert_allclose(crps_ensemble(OBSERVED, MEMBERS, fair), theirs, atol=1e-12)


def test_normal_score_is_that_of_scoringrules() -> None:
    sd = np.abs(MEMBERS[0]) + 0.1
    theirs = scoringrules.crps_normal(OBSERVED, MEMBERS[1], sd)
    np.testing.assert_allclose(crps_normal(OBSERVED, MEMBERS[1], sd), theirs, atol=1e-12)


def test_normal_score_by_hand() -> None:
    # Gneiting & Raftery 2007, eq. 21, at z = 0: (sqrt 2 - 1) / sqrt pi.
    found = crps_normal(0.0, 0.0, 1.0)
    assert float(found) == pytest.approx((2**0.5 - 1) / np.pi**0.5, abs=1e-15)


def test_a_large_ensemble_scores_as_what_it_was_drawn_from() -> None:
    middles = norm.ppf((np.arange(4000) + 0.5) / 4000)
    for came in (-2.0, 0.0, 0.7):
        assert float(crps_ensemble(came, middles)) == pytest.approx(
            float(crps_normal(came, 0.0, 1.0)), abs=1e-4
        )


def test_the_fair_score_does_not_hang_on_the_number_of_members() -> None:
    source = np.random.default_rng(3)
    came = source.normal(size=40_000)
    fair = [crps_ensemble(came, source.normal(size=(n, came.size)), True).mean() for n in (2, 8)]
    # Expected score of the true normal: 1 / sqrt pi; standard error about 0.004.
    np.testing.assert_allclose(fair, 1.0 / np.sqrt(np.pi), atol=0.015)


def test_one_member_scores_its_error() -> None:
    np.testing.assert_allclose(crps_ensemble(OBSERVED, MEMBERS[:1]), np.abs(OBSERVED - MEMBERS[0]))
    with pytest.raises(RangeError, match="fair"):
        crps_ensemble(OBSERVED, MEMBERS[:1], fair=True)


FEW = arrays(np.float64, (5, 3), elements=st.floats(-50, 50))


@settings(max_examples=40)
@given(FEW, st.floats(-50, 50), st.floats(0.1, 9.0))
def test_scores_move_and_stretch_with_their_values(
    members: np.ndarray, shift: float, stretch: float
) -> None:
    came = np.array([0.0, 5.0, -5.0])
    score = crps_ensemble(came, members)
    assert (score >= -1e-12).all()
    moved = crps_ensemble(stretch * came + shift, stretch * members + shift)
    np.testing.assert_allclose(moved, stretch * score, atol=1e-9)


def test_ranks_are_even_where_truth_is_one_more_member() -> None:
    drawn = np.random.default_rng(5).normal(size=(10, 20_000))
    counts = rank_histogram(drawn[0], drawn[1:])
    chi_square = ((counts - 2000.0) ** 2 / 2000.0).sum()
    assert chi_square < 27.9  # chi-square of 9 degrees: 99.9 %
    share = pit(drawn[0], drawn[1:])
    assert np.abs(np.sort(share) - (np.arange(20_000) + 0.5) / 20_000).max() < 0.0138  # 99.9 %
    too_narrow = rank_histogram(2.0 * drawn[0], drawn[1:])
    assert too_narrow[[0, -1]].min() > 2 * too_narrow[1:-1].max()


def test_ties_are_settled_by_lot() -> None:
    found = ranks(np.zeros(6000), np.zeros((2, 6000)), seed=2)
    np.testing.assert_allclose(np.bincount(found) / 6000, 1 / 3, atol=0.03)


def test_bands_of_9_and_39_members_are_exact() -> None:
    low, high = band(np.arange(1.0, 10.0))
    assert (low, high) == (1.0, 9.0)
    low, high = band(np.arange(1.0, 40.0))
    assert (low, high) == pytest.approx((4.0, 36.0))
    drawn = np.random.default_rng(6).normal(size=(40, 20_000))
    assert coverage(drawn[0], drawn[1:]) == pytest.approx(0.8, abs=0.01)  # s.e. 0.003
    # Expected width: 2 * 1.2816 of a normal, a little more for 39 members.
    assert sharpness(drawn[1:]) == pytest.approx(2 * norm.ppf(0.9), rel=0.04)


def test_what_does_not_fit_is_refused() -> None:
    with pytest.raises(InputError, match="members"):
        crps_ensemble(np.zeros(3), np.zeros((5, 2)))
    with pytest.raises(InputError, match="members"):
        crps_ensemble(np.zeros(3), np.zeros((0, 3)))
    with pytest.raises(RangeError, match="sd"):
        crps_normal(0.0, 0.0, 0.0)
    with pytest.raises(RangeError, match="share"):
        band(np.zeros(3), 1.0)
