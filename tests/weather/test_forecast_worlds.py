"""Perfect-model tests: forecasts whose errors were drawn from the stated model.

They show that the arithmetic is right, and say nothing of how good real forecasts are.
"""

from __future__ import annotations

import numpy as np
import pytest

from forecast_worlds import World, forecasts_about, issues
from sugarwright.weather.emos import Calibration, fit_calibration
from sugarwright.weather.ensemble import PRIOR, perturb
from sugarwright.weather.errors_learnt import learn_errors
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.members import few, possible, rebuilt, search_and_check
from sugarwright.weather.scores import band, crps_normal, rank_histogram
from sugarwright.weather.verified import all_lead_days, measured

DAYS, MEMBERS = 7, 39
HOURS = 24 * DAYS
FEBRUARY_S = 31 * 86400


@pytest.fixture(scope="module", params=["whately_2015", "newark_2013"])
def spring(request: pytest.FixtureRequest) -> HourlyWeather:
    found: HourlyWeather = request.getfixturevalue(request.param)
    return found


def covered_by_day(truths: np.ndarray, ensembles: np.ndarray) -> np.ndarray:
    """Return the share inside the 80 % band by lead day; (issues, hours), (members, same)."""
    low, high = band(ensembles)
    inside = (truths >= low) & (truths <= high)
    return inside.reshape(len(truths), DAYS, 24).mean(axis=(0, 2))


def begin_s(spring: HourlyWeather) -> int:
    return spring.first_s + FEBRUARY_S


def test_bands_hold_the_real_spring_about_which_forecasts_err(spring: HourlyWeather) -> None:
    made = forecasts_about(spring, issues(begin_s(spring), 240, 8), HOURS, seed=1)
    truths = np.array([spring.between(f.issued_s, f.end_s).temperature_c for f in made])
    ensembles = np.stack([possible(f, MEMBERS, 2 + f.issued_s % 1000) for f in made], axis=1)
    covered = covered_by_day(truths, ensembles)
    # Nominal 0.80; 240 issues of a day that counts as two: standard error about 0.02.
    assert (covered > 0.72).all(), covered
    assert (covered < 0.88).all(), covered


def test_bands_hold_a_truth_that_is_one_more_member(spring: HourlyWeather) -> None:
    """The spring is the forecast; the truth is a member of another, independent draw."""
    truths, ensembles = [], []
    for number, issued_s in enumerate(issues(begin_s(spring), 240, 8)):
        said = spring.between(issued_s, issued_s + HOURS * HOUR_S)
        truths.append(perturb(said, 64, 10_000 + number, issued_s)[0])
        ensembles.append(perturb(said, MEMBERS, number, issued_s))
    covered = covered_by_day(np.array(truths), np.stack(ensembles, axis=1))
    assert (covered > 0.72).all(), covered
    assert (covered < 0.88).all(), covered
    counts = rank_histogram(np.array(truths), np.stack(ensembles, axis=1)).reshape(8, 5).sum(axis=1)
    # Eight bins of an eighth each; 1,680 issue-days count as some thousand cases.
    np.testing.assert_allclose(counts / counts.sum(), 1 / 8, atol=0.04)


def test_bands_of_a_world_too_narrow_or_biased_fail(spring: HourlyWeather) -> None:
    """The same test must be able to fail."""
    wild = World(sd_at_issue_k=2.4, growth_k_per_h=0.042)
    made = forecasts_about(spring, issues(begin_s(spring), 80, 24), HOURS, 1, wild)
    truths = np.array([spring.between(f.issued_s, f.end_s).temperature_c for f in made])
    ensembles = np.stack([possible(f, MEMBERS, 3) for f in made], axis=1)
    assert (covered_by_day(truths, ensembles)[:3] < 0.72).all()


def learnt(spring: HourlyWeather, count: int, seed: int, world: World) -> ForecastErrors:
    made = forecasts_about(spring, issues(begin_s(spring), count), HOURS, seed, world)
    return learn_errors(all_lead_days(made, measured([spring])), -5.0, PRIOR)


WORLD = World(sd_at_issue_k=1.8, growth_k_per_h=0.03, bias_k=1.5, swing_bias_k=1.0)


def test_forty_forecasts_teach_most_of_another_world(spring: HourlyWeather) -> None:
    found = learnt(spring, 40, 3, WORLD)
    assert found.forecasts == 40
    assert abs(found.bias_k - 1.5) < 3.0 * found.bias_sd_k
    assert found.bias_k > 0.7
    assert found.swing_bias_k == pytest.approx(1.0, abs=0.4)
    assert found.sd_at_issue_k == pytest.approx(1.8, rel=0.15)
    assert float(found.sd_k(100.0)) == pytest.approx(np.hypot(1.8, 3.0), rel=0.15)


def test_no_forecast_teaches_nothing_and_one_little(spring: HourlyWeather) -> None:
    assert learn_errors([], -5.0, PRIOR) is PRIOR
    ones = [learnt(spring, 1, seed, WORLD) for seed in range(8)]
    forty = learnt(spring, 40, 0, WORLD)
    assert 0.0 < np.mean([each.bias_k for each in ones]) < 0.9  # from 0 towards 1.5
    assert all(each.bias_sd_k > forty.bias_sd_k for each in ones)
    assert all(each.sd_log > forty.sd_log for each in ones)
    assert PRIOR.bias_sd_k > max(each.bias_sd_k for each in ones)


def test_what_was_learnt_mends_the_bands(spring: HourlyWeather) -> None:
    errors = learnt(spring, 40, 5, WORLD)
    later = forecasts_about(spring, issues(begin_s(spring), 60), HOURS, 99, WORLD)
    truths = np.array([spring.between(f.issued_s, f.end_s).temperature_c for f in later])
    before = np.stack([possible(f, MEMBERS, 4) for f in later], axis=1)
    after = np.stack([possible(f, MEMBERS, 4, errors) for f in later], axis=1)
    assert covered_by_day(truths, before)[:2].max() < 0.72
    assert 0.72 < covered_by_day(truths, after).mean() < 0.88


class TestMembers:
    def made(self, spring: HourlyWeather, count: int = 1) -> list:
        return forecasts_about(spring, issues(begin_s(spring), count), HOURS, 4, members=31)

    def test_calibration_finds_the_normal_that_was_drawn_from(self) -> None:
        source = np.random.default_rng(2)
        mean_c, sd_k = source.normal(0, 6, 20_000), source.gamma(4.0, 0.4, 20_000)
        sd = np.hypot(0.9, 1.5 * sd_k)
        came = 0.7 + 0.9 * mean_c + sd * source.standard_normal(20_000)
        found = fit_calibration(mean_c, sd_k, came)
        assert found.intercept_k == pytest.approx(0.7, abs=0.06)  # s.e. about 0.02
        assert found.slope == pytest.approx(0.9, abs=0.01)
        assert found.base_sd_k == pytest.approx(0.9, abs=0.15)
        assert found.spread_factor == pytest.approx(1.5, abs=0.07)
        as_drawn = crps_normal(came, 0.7 + 0.9 * mean_c, sd).mean()
        fitted = crps_normal(came, found.mean_c(mean_c), found.sd_k(sd_k)).mean()
        assert fitted == pytest.approx(as_drawn, rel=1e-3)

    def test_without_cases_the_calibration_is_its_prior(self) -> None:
        none = np.empty(0)
        assert fit_calibration(none, none, none) == Calibration()

    def test_rebuilt_members_keep_their_order_and_the_corrected_mean(
        self, spring: HourlyWeather
    ) -> None:
        forecast = self.made(spring)[0]
        raw = forecast.member_temperature_c
        calibration = Calibration(0.5, 1.1, 1.0, 1.2)
        found = rebuilt(forecast, calibration)
        np.testing.assert_array_equal(np.argsort(found, axis=0), np.argsort(raw, axis=0))
        np.testing.assert_allclose(found.mean(axis=0), 0.5 + 1.1 * raw.mean(axis=0), atol=1e-9)

    def test_few_keep_the_mean_and_the_spread_of_all(self, spring: HourlyWeather) -> None:
        ratios = []
        for forecast in self.made(spring, 30):
            every = forecast.member_temperature_c
            chosen, others = few(every, 8)
            assert chosen.shape == (8, HOURS)
            assert len(others) == 23
            np.testing.assert_allclose(chosen.mean(axis=0), every.mean(axis=0), atol=1e-9)
            ratios.append(chosen.var(axis=0).mean() / every.var(axis=0).mean())
        assert np.mean(ratios) == pytest.approx(1.0, abs=0.1)

    def test_the_plan_is_checked_by_members_that_it_was_not_found_in(
        self, spring: HourlyWeather
    ) -> None:
        searched, checked = search_and_check(self.made(spring)[0], 8, 40, 1)
        assert searched.shape[0] == 8
        assert checked.shape[0] == 23
        searched, checked = search_and_check(self.made(spring)[0], 24, 40, 1)
        assert searched.shape[0] == 15
        assert checked.shape[0] == 16
