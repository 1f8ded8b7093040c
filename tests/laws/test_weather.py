"""What must hold for an ensemble made of one forecast, and for hours of weather."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.errors import InputError, RangeError
from sugarwright.weather.ensemble import brix_noise, perturb, run_multipliers
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.so_far import READ_SD_K

ISSUED_S = 1_426_500_000 // HOUR_S * HOUR_S  # a March morning of 2015


def flat(hours: int, before: int = 0, temperature_c: float = 2.0) -> HourlyWeather:
    time_s = ISSUED_S + HOUR_S * (np.arange(hours) - before)
    return HourlyWeather(time_s, np.full(hours, temperature_c), issued_s=ISSUED_S)


@settings(max_examples=25)
@given(st.integers(1, 12), st.integers(0, 2**40), st.integers(1, 200), st.integers(0, 48))
def test_members_are_centred_on_the_forecast(
    members: int, seed: int, hours: int, before: int
) -> None:
    forecast = flat(hours, before)
    ensemble = perturb(forecast, members, seed)
    assert ensemble.shape == (members, hours)
    np.testing.assert_allclose(ensemble.mean(axis=0), forecast.temperature_c, atol=1e-9)
    np.testing.assert_array_equal(ensemble[:, :before], 2.0)  # observed hours are known


def test_one_member_is_the_forecast() -> None:
    np.testing.assert_array_equal(perturb(flat(100), 1, 5)[0], 2.0)
    np.testing.assert_array_equal(run_multipliers(1, 4, 5), 1.0)


def test_seed_and_issue_fix_the_ensemble() -> None:
    forecast = flat(72)
    np.testing.assert_array_equal(perturb(forecast, 8, 3), perturb(forecast, 8, 3))
    assert not np.allclose(perturb(forecast, 8, 3), perturb(forecast, 8, 4))
    longer = perturb(flat(168), 8, 3)
    np.testing.assert_allclose(longer[:, :72], perturb(forecast, 8, 3), rtol=0, atol=1e-12)


def stated_covariance(lead_h: np.ndarray, local_h: np.ndarray) -> np.ndarray:
    """Return the covariance of the error model, written from its formulas alone."""
    sd = np.sqrt(1.2**2 + (0.021 * lead_h) ** 2)
    slow = 0.75 * 0.97 ** np.abs(lead_h[:, None] - lead_h)
    wave = np.cos(2 * np.pi * (local_h - 15) / 24)
    day = np.floor((local_h - 21) / 24)
    swing = 0.5 * np.outer(wave, wave) * (day[:, None] == day)
    return np.outer(sd, sd) * (slow + swing)


def test_covariance_is_the_stated_one() -> None:
    forecast = flat(120)
    lead_h = np.arange(120.0)
    local_h = forecast.time_s / HOUR_S - 5
    expected = stated_covariance(lead_h, local_h)
    members = 6000
    errors = perturb(forecast, members, 1) - 2.0
    found = errors.T @ errors / members
    # A sample covariance of n normal members scatters by at most sqrt(2/n) of the variances.
    scale = np.sqrt(np.outer(np.diag(expected), np.diag(expected)))
    assert np.abs((found - expected) / scale).max() < 5.0 * np.sqrt(2.0 / members)


def test_spread_grows_and_levels_off() -> None:
    sd = ForecastErrors().sd_k([0.0, 24.0, 72.0, 120.0, 168.0, 1000.0])
    # Prior figures for post-processed 2 m temperature (from memory), to their printed digit.
    np.testing.assert_allclose(sd, [1.2, 1.3, 1.9, 2.8, 3.7, 5.0], atol=0.06)


def test_an_old_forecast_has_wider_bands_and_known_hours_stay() -> None:
    hours = flat(96)
    old_s = ISSUED_S - 72 * HOUR_S
    fresh, old = perturb(hours, 400, 1), perturb(hours, 400, 1, issued_s=old_s)
    assert (old.std(axis=0) > 1.15 * fresh.std(axis=0)).mean() > 0.95
    now_s = ISSUED_S + 24 * HOUR_S
    stale = perturb(hours, 8, 1, issued_s=ISSUED_S, known_to_s=now_s)
    np.testing.assert_array_equal(stale[:, :24], 2.0)
    np.testing.assert_array_equal(stale[:, 24:], perturb(hours, 8, 1)[:, 24:])


@settings(max_examples=25)
@given(st.floats(-3, 3), st.floats(-0.02, 0.02), st.floats(-3, 3), st.integers(1, 9))
def test_members_are_centred_on_the_forecast_without_its_bias(
    bias_k: float, growth: float, swing_k: float, members: int
) -> None:
    hours = flat(72, before=5)
    errors = ForecastErrors(bias_k=bias_k, bias_growth_k_per_h=growth, swing_bias_k=swing_k)
    ensemble = perturb(hours, members, 3, errors=errors)
    lead_h = np.arange(72.0) - 5
    local_h = hours.time_s / HOUR_S - 5
    bias = bias_k + growth * lead_h + swing_k * np.cos(2 * np.pi * (local_h - 15) / 24)
    np.testing.assert_allclose(ensemble.mean(axis=0)[5:], (2.0 - bias)[5:], atol=1e-9)
    np.testing.assert_array_equal(ensemble[:, :5], 2.0)


def test_a_spread_told_by_the_source_stands() -> None:
    told = np.linspace(0.5, 3.0, 240)
    spread = perturb(flat(240), 4000, 1, sd_k=told).std(axis=0).reshape(10, 24)
    # By day: by hour the swing makes afternoons and nights err more than evenings.
    found = np.sqrt((spread**2).mean(axis=1))
    np.testing.assert_allclose(found, np.sqrt((told.reshape(10, 24) ** 2).mean(axis=1)), rtol=0.05)
    with pytest.raises(InputError, match="sd_k"):
        perturb(flat(5), 2, 1, sd_k=told)


class TestWhatHasComeSoFar:
    """A forecast some hours of which have come: its error there tells of that in those ahead."""

    COME_H = 7
    CAME_K = np.array([-1.0, -1.5, -2.2, -2.0, -1.4, -2.6, -3.0])  # invented: colder than said

    def said(self, hours: int = 60) -> HourlyWeather:
        said_c = np.full(hours, np.nan)
        said_c[: self.COME_H] = 2.0
        air_c = np.full(hours, 2.0)
        air_c[: self.COME_H] += self.CAME_K
        return replace(flat(hours), temperature_c=air_c, said_c=said_c)

    def ensemble(self, members: int, hours: int = 60, **changes: ForecastErrors) -> np.ndarray:
        known_to_s = ISSUED_S + self.COME_H * HOUR_S
        return perturb(self.said(hours), members, 3, known_to_s=known_to_s, **changes)

    def expected(self) -> tuple[np.ndarray, np.ndarray]:
        """Conditional mean and covariance of a normal: Rasmussen and Williams, eqs. 2.23, 2.24."""
        lead_h = np.arange(60.0)
        shared = stated_covariance(lead_h, flat(60).time_s / HOUR_S - 5)
        come, ahead = slice(0, self.COME_H), slice(self.COME_H, 60)
        inverse = np.linalg.inv(shared[come, come] + READ_SD_K**2 * np.eye(self.COME_H))
        mean_k = shared[ahead, come] @ inverse @ self.CAME_K
        return mean_k, shared[ahead, ahead] - shared[ahead, come] @ inverse @ shared[come, ahead]

    def test_the_mean_is_the_conditional_one(self) -> None:
        mean_k, _ = self.expected()
        assert mean_k[0] < -1.5  # the next hour will be colder than said, next noon hardly
        assert -0.8 < mean_k[-12] < 0.0
        for members in (1, 2, 9):
            ahead_c = self.ensemble(members)[:, self.COME_H :].mean(axis=0)
            np.testing.assert_allclose(ahead_c, 2.0 + mean_k, atol=1e-9)

    def test_the_spread_is_the_conditional_one(self) -> None:
        mean_k, expected = self.expected()
        members = 6000
        errors = self.ensemble(members)[:, self.COME_H :] - 2.0 - mean_k
        found = errors.T @ errors / members
        scale = np.sqrt(np.outer(np.diag(expected), np.diag(expected)))
        assert np.abs((found - expected) / scale).max() < 5.0 * np.sqrt(2.0 / members)

    def test_hours_that_came_stay_and_a_longer_forecast_only_adds_hours(self) -> None:
        came = self.ensemble(5)[:, : self.COME_H]
        np.testing.assert_array_equal(came, np.tile(2.0 + self.CAME_K, (5, 1)))
        longer = self.ensemble(5, hours=100)[:, :60]
        np.testing.assert_allclose(longer, self.ensemble(5), rtol=0, atol=1e-9)

    def test_what_is_not_known_yet_tells_nothing(self) -> None:
        # The same hours, but whoever asks stands at the forecast's issue.
        blind = replace(self.said(), said_c=None)
        np.testing.assert_array_equal(
            perturb(self.said(), 4, 3, known_to_s=ISSUED_S),
            perturb(blind, 4, 3, known_to_s=ISSUED_S),
        )

    def test_a_known_bias_is_no_news(self) -> None:
        # Three degrees too warm as ever: nothing is learnt but that the bias is what it was.
        errors = ForecastErrors(bias_k=3.0)
        said_c = np.where(np.arange(60) < self.COME_H, 5.0, np.nan)
        air_c = np.where(np.arange(60) < self.COME_H, 2.0, 5.0)
        weather = replace(flat(60), temperature_c=air_c, said_c=said_c)
        known_to_s = ISSUED_S + self.COME_H * HOUR_S
        ensemble = perturb(weather, 3, 1, errors=errors, known_to_s=known_to_s)
        np.testing.assert_allclose(ensemble.mean(axis=0), 2.0, atol=1e-9)

    def test_it_brings_forecasts_nearer_to_what_comes(self) -> None:
        # Truths drawn from the error model, as if the forecast had been 2 degrees all along.
        truths = perturb(flat(60), 300, 17)
        known_to_s = ISSUED_S + self.COME_H * HOUR_S
        come = np.arange(60) < self.COME_H
        means = []
        for truth in truths:
            said_c = np.where(come, 2.0, np.nan)
            weather = replace(flat(60), temperature_c=np.where(come, truth, 2.0), said_c=said_c)
            means.append(perturb(weather, 1, 1, known_to_s=known_to_s)[0])
        missed, before = np.array(means) - truths, 2.0 - truths
        three_h, a_day = self.COME_H + 2, self.COME_H + 23
        assert missed[:, three_h].std() < 0.65 * before[:, three_h].std()
        assert missed[:, a_day].std() < before[:, a_day].std()


@pytest.mark.parametrize("field", ["sd_at_issue_k", "slow_fraction", "bias_k"])
@pytest.mark.parametrize("value", [np.nan, -99.0, 99.0])
def test_errors_of_a_forecast_must_be_possible(field: str, value: float) -> None:
    with pytest.raises(RangeError, match=field):
        ForecastErrors(**{field: value})


def test_bands_hold_their_share_of_truths() -> None:
    """Truths drawn by Cholesky from the stated covariance fall among 9 members evenly."""
    hours, trials, members = 72, 400, 9
    forecast = flat(hours)
    local_h = forecast.time_s / HOUR_S - 5
    root = np.linalg.cholesky(
        stated_covariance(np.arange(float(hours)), local_h) + 1e-9 * np.eye(hours)
    )
    source = np.random.default_rng(7)
    inside = []
    for trial in range(trials):
        truth = 2.0 + root @ source.standard_normal(hours)
        ensemble = perturb(forecast, members, trial)
        inside.append(((truth > ensemble.min(axis=0)) & (truth < ensemble.max(axis=0))).mean())
    # Independent members would hold 8 of 10 truths; centred ones stand a little wider apart.
    # 400 trials of 72 related hours: standard error about 0.015.
    assert np.mean(inside) == pytest.approx(0.8, abs=0.05)


def test_no_jump_where_the_day_changes() -> None:
    errors = perturb(flat(24 * 14), 200, 1) - 2.0
    steps = np.sqrt((np.diff(errors, axis=1) ** 2).mean(axis=0))
    by_hour = steps[: 24 * 13].reshape(13, 24)
    assert by_hour.max() < 2.0 * np.median(by_hour)


@settings(max_examples=25)
@given(st.integers(2, 12), st.integers(0, 30), st.integers(0, 2**40))
def test_run_multipliers_keep_the_expected_season(members: int, runs: int, seed: int) -> None:
    factors = run_multipliers(members, runs, seed)
    assert factors.shape == (members, runs)
    assert (factors > 0.0).all()
    np.testing.assert_allclose(factors.mean(axis=0), 1.0, rtol=1e-12)
    more = run_multipliers(members, runs + 5, seed)
    np.testing.assert_array_equal(more[:, :runs], factors)


def test_run_multipliers_are_log_normal() -> None:
    logs = np.log(run_multipliers(2000, 3, 1))
    np.testing.assert_allclose(logs.std(axis=0), 0.5, rtol=0.02)  # stratified: little scatter
    np.testing.assert_allclose(np.median(logs, axis=0), -(0.5**2) / 2, atol=0.01)
    correlation = np.corrcoef(logs.T)[np.triu_indices(3, 1)]
    assert np.abs(correlation).max() < 5 / np.sqrt(2000)  # runs know nothing of each other


def test_brix_noise_remembers() -> None:
    noise = brix_noise(4000, 6, 1)
    np.testing.assert_allclose(noise.std(axis=0), 0.12, rtol=0.06)
    assert np.corrcoef(noise[:, 2], noise[:, 3])[0, 1] == pytest.approx(0.7, abs=0.04)
    np.testing.assert_allclose(noise.mean(axis=0), 0.0, atol=1e-12)


@pytest.mark.parametrize("make", [perturb, run_multipliers, brix_noise])
def test_an_ensemble_needs_a_member(make: object) -> None:
    first = (flat(5), 0, 1) if make is perturb else (0, 3, 1)
    with pytest.raises(RangeError, match="members"):
        make(*first)  # type: ignore[operator]


@settings(max_examples=40)
@given(st.integers(1, 60), st.integers(0, 60), st.integers(0, 60))
def test_cutting_and_joining_gives_the_same_hours(hours: int, one: int, two: int) -> None:
    whole = flat(hours)
    begin, end = sorted((one % hours, two % hours))
    at = whole.time_s[[begin, end]]
    part = whole.between(at[0], at[1] + HOUR_S)
    assert len(part) == end - begin + 1
    if end > begin:
        joined = whole.between(at[0], at[1]).then(part)
        np.testing.assert_array_equal(joined.time_s, part.time_s)


class TestHours:
    def test_observed_hours_stand_where_both_have_them(self) -> None:
        past, forecast = flat(10, temperature_c=1.0), flat(20, before=-5, temperature_c=3.0)
        both = past.then(forecast)
        assert both.temperature_c.tolist() == [1.0] * 10 + [3.0] * 15
        assert both.issued_s == ISSUED_S

    def test_what_had_been_said_of_observed_hours_stays_known(self) -> None:
        past, forecast = flat(10, temperature_c=1.0), flat(20, before=-5, temperature_c=3.0)
        both = past.then(replace(forecast, issued_s=ISSUED_S + 7 * HOUR_S))
        assert both.said_c is not None
        np.testing.assert_array_equal(
            both.said_c, [*[np.nan] * 7, 3.0, 3.0, 3.0, *[np.nan] * 15]
        )  # of hours before its issue it is no forecast
        part = both.between(ISSUED_S + 8 * HOUR_S, ISSUED_S + 12 * HOUR_S)
        np.testing.assert_array_equal(part.said_c, [3.0, 3.0, np.nan, np.nan])
        assert both == past.then(replace(forecast, issued_s=ISSUED_S + 7 * HOUR_S))
        assert both != replace(both, said_c=None)
        with pytest.raises(RangeError, match="said_c"):
            replace(both, said_c=np.full(25, 99.0))

    def test_hours_missing_between_past_and_forecast_are_named(self) -> None:
        with pytest.raises(InputError, match="missing between"):
            flat(3).then(flat(3, before=-4))

    @pytest.mark.parametrize("steps", [[0, 2], [0, 0], [1, 0], []])
    def test_hours_must_be_unbroken(self, steps: list[int]) -> None:
        time_s = ISSUED_S + HOUR_S * np.array(steps, dtype=np.int64)
        with pytest.raises(InputError, match="time_s"):
            HourlyWeather(time_s, np.zeros(len(steps)))

    @pytest.mark.parametrize("value", [np.nan, np.inf, 61.0, -61.0])
    def test_air_must_be_possible(self, value: float) -> None:
        with pytest.raises(RangeError, match="temperature_c"):
            HourlyWeather(np.array([ISSUED_S]), np.array([value]))

    def test_series_must_fit_and_cannot_be_changed(self) -> None:
        with pytest.raises(InputError, match="pressure_pa"):
            HourlyWeather(np.array([ISSUED_S]), np.zeros(1), pressure_pa=np.full(2, 1e5))
        with pytest.raises(ValueError, match="read-only"):
            flat(2).temperature_c[0] = 5.0

    def test_a_stretch_outside_is_named(self) -> None:
        with pytest.raises(InputError, match="no hour"):
            flat(5).between(0, 10)
