"""Correcting an ensemble by a reading: against Bayes' rule where it has a closed form."""

from __future__ import annotations

import numpy as np
import pytest

from sugarwright.twin.ranks import moved


def source() -> np.random.Generator:
    return np.random.default_rng(5)


@pytest.mark.parametrize(("value", "sd"), [(1.0, 0.5), (0.3, 1.0), (-2.0, 0.2), (0.0, 5.0)])
def test_normal_prior_and_normal_reading_give_the_normal_posterior(value: float, sd: float) -> None:
    """Conjugate normals (A. Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, eq. 2.10).

    400 members, and the faint wide normal beneath the kernels, leave some hundredths.
    """
    prior = np.random.default_rng(1).standard_normal(400)
    prior = (prior - prior.mean()) / prior.std()
    after, _, _ = moved(prior, value, sd, -50.0, 50.0, source())
    gain = 1.0 / (1.0 + sd**2)
    assert after.mean() == pytest.approx(gain * value, abs=0.12)
    assert after.std() == pytest.approx(np.sqrt(1.0 - gain), rel=0.12, abs=0.02)


def test_a_reading_that_says_nothing_changes_nothing() -> None:
    prior = np.random.default_rng(2).gamma(2.0, 1.0, 300)
    after, _, change = moved(prior, 2.0, 1e4, 0.0, 100.0, source())
    assert np.quantile(after, [0.1, 0.5, 0.9]) == pytest.approx(
        np.quantile(prior, [0.1, 0.5, 0.9]), rel=0.12
    )
    assert np.abs(change).max() < 0.6  # of a normal score, in the tails; none in the middle
    assert np.abs(np.median(change)) < 0.05


def test_nothing_leaves_the_tank() -> None:
    """Half of the members stand at the rim: the reading decides among them, inside."""
    prior = np.concatenate([np.full(100, 1.0), np.random.default_rng(3).uniform(0.5, 1.0, 100)])
    after, _, _ = moved(prior, 0.99, 0.01, 0.0, 1.0, source())
    assert after.min() >= 0.0
    assert after.max() <= 1.0
    assert np.median(after) == pytest.approx(0.99, abs=0.01)
    assert after.std() < 0.02


def test_ranks_stay() -> None:
    """Each member keeps its place among the others (J.L. Anderson 2022: quantiles are kept)."""
    prior = np.random.default_rng(4).lognormal(0.0, 0.6, 250)
    after, _, _ = moved(prior, 2.0, 0.2, 0.0, 50.0, source())
    assert (np.argsort(after, kind="stable") == np.argsort(prior, kind="stable")).all()


def test_a_narrow_ensemble_is_still_pulled_by_what_it_did_not_foresee() -> None:
    prior = 1.0 + 0.001 * np.random.default_rng(6).standard_normal(200)
    after, _, _ = moved(prior, 1.05, 0.01, 0.0, 2.0, source())
    assert np.median(after) > 1.02
