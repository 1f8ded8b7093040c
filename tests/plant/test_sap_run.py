"""The compiled trees against the plain ones, and going on from a state."""

from __future__ import annotations

import numpy as np
import pytest

from sugarwright.errors import InputError, RangeError
from sugarwright.physics.tree import TreeParameters, run_tree
from sugarwright.plant.sap_run import sap_run

DAY_S = 86400.0


@pytest.fixture(scope="module")
def weathers() -> np.ndarray:
    source = np.random.default_rng(11)
    swing = 6.0 * np.cos(2.0 * np.pi * (np.arange(240) - 15) / 24.0)
    return swing + source.normal(0.0, 3.0, (5, 240))


def test_same_numbers_as_plain_python(weathers: np.ndarray) -> None:
    p = TreeParameters(full_charge_m3=0.008, thaw_c=0.5)
    result = sap_run(weathers, 0.0, 3.0 * DAY_S, 30e3, p)
    for member, weather in enumerate(weathers):
        sap_m3, brix, end = run_tree(weather.tolist(), 72.0, 30e3, p)
        # Same formulas in another order of rounding: a few units in the last place.
        np.testing.assert_allclose(result.sap_m3_per_tap[member], sap_m3, rtol=1e-12, atol=1e-18)
        np.testing.assert_allclose(result.brix[member], brix, rtol=1e-12)
        np.testing.assert_allclose(result.states[member], end, rtol=1e-12, atol=1e-15)


@pytest.mark.parametrize("cut", [1, 50, 239])
def test_stopping_and_going_on_is_running_through(weathers: np.ndarray, cut: int) -> None:
    vacuum = np.linspace(0.0, 60e3, 240)
    factors = np.exp(np.random.default_rng(1).normal(0.0, 0.5, (5, 121)))
    whole = sap_run(weathers, 0.0, DAY_S, vacuum, run_factors=factors)
    first = sap_run(weathers[:, :cut], 0.0, DAY_S, vacuum[:cut], run_factors=factors)
    kept = first.states.copy()
    second = sap_run(
        weathers[:, cut:], cut * 3600.0, DAY_S, vacuum[cut:], None, factors, first.states
    )
    for name in ("sap_m3_per_tap", "brix", "run"):
        both = np.concatenate([getattr(first, name), getattr(second, name)], axis=1)
        np.testing.assert_allclose(both, getattr(whole, name), rtol=1e-12)
    np.testing.assert_array_equal(first.states, kept)  # going on leaves the kept states alone


def test_run_factors_scale_each_run_as_a_whole(weathers: np.ndarray) -> None:
    plain = sap_run(weathers, 0.0, 0.0)
    factors = np.ones((5, plain.run.max() + 1))
    factors[2, 3] = 2.0
    doubled = sap_run(weathers, 0.0, 0.0, run_factors=factors)
    expected = plain.sap_m3_per_tap.copy()
    expected[2, plain.run[2] == 3] *= 2.0
    np.testing.assert_array_equal(doubled.sap_m3_per_tap, expected)
    assert (np.diff(plain.run, axis=1) >= 0).all()


def test_one_weather_may_be_flat(weathers: np.ndarray) -> None:
    flat = sap_run(weathers[0], 0.0, 0.0)
    assert flat.sap_m3_per_tap.shape == (1, 240)
    np.testing.assert_array_equal(flat.brix[0], sap_run(weathers, 0.0, 0.0).brix[0])


def test_bad_input_is_named(weathers: np.ndarray) -> None:
    with pytest.raises(RangeError, match="temperature_c"):
        sap_run(np.where(weathers > 5.0, np.nan, weathers), 0.0, 0.0)
    with pytest.raises(RangeError, match="vacuum_pa"):
        sap_run(weathers, 0.0, 0.0, -5.0)
    with pytest.raises(InputError, match="run_factors"):
        sap_run(weathers, 0.0, 0.0, run_factors=np.ones((5, 1)))
    with pytest.raises(InputError, match="start"):
        sap_run(weathers, 0.0, 0.0, start=np.zeros((2, 6)))


def test_each_scenario_may_have_its_own_trees(weathers: np.ndarray) -> None:
    trees = [TreeParameters(flow_lag_h=4.0 + n, bush_scale=0.5 + 0.2 * n) for n in range(5)]
    together = sap_run(weathers, 0.0, DAY_S, 30e3, trees)
    as_array = sap_run(weathers, 0.0, DAY_S, 30e3, np.array(trees))
    np.testing.assert_array_equal(as_array.sap_m3_per_tap, together.sap_m3_per_tap)
    for member, parameters in enumerate(trees):
        sap_m3, brix, _ = run_tree(weathers[member].tolist(), 24.0, 30e3, parameters)
        np.testing.assert_allclose(together.sap_m3_per_tap[member], sap_m3, rtol=1e-12, atol=1e-18)
        np.testing.assert_allclose(together.brix[member], brix, rtol=1e-12)


def test_many_trees_may_stand_in_one_weather(weathers: np.ndarray) -> None:
    trees = [TreeParameters(full_charge_m3=0.004 + 0.001 * n) for n in range(3)]
    factors = np.exp(np.random.default_rng(2).normal(0.0, 0.5, (3, 121)))
    together = sap_run(weathers[0], 0.0, DAY_S, 0.0, trees, factors)
    for member, parameters in enumerate(trees):
        alone = sap_run(weathers[0], 0.0, DAY_S, 0.0, parameters, factors[member])
        np.testing.assert_array_equal(together.sap_m3_per_tap[member], alone.sap_m3_per_tap[0])
        np.testing.assert_array_equal(together.states[member], alone.states[0])


def test_trees_that_do_not_fit_are_refused(weathers: np.ndarray) -> None:
    with pytest.raises(InputError, match="does not fit 5 weathers"):
        sap_run(weathers, 0.0, 0.0, parameters=[TreeParameters()] * 3)
    for parameters in (np.ones((5, 3)), np.ones((0, len(TreeParameters._fields)))):
        with pytest.raises(InputError, match="no parameters of trees"):
            sap_run(weathers, 0.0, 0.0, parameters=parameters)
    with pytest.raises(InputError, match="no parameters of trees"):
        sap_run(weathers, 0.0, 0.0, parameters=TreeParameters(flow_lag_h=float("nan")))
