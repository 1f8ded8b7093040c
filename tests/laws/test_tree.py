"""What must hold for trees in any weather."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.errors import RangeError
from sugarwright.physics.tree import (
    TreeParameters,
    TreeState,
    run_tree,
    sap_brix,
    tree_hour,
)

P = TreeParameters()
air = st.floats(-30.0, 30.0)
weathers = st.lists(air, min_size=1, max_size=200)
vacuums = st.floats(0.0, 90e3)


@settings(max_examples=60)
@given(st.lists(st.floats(0.0, 30.0), min_size=1, max_size=200))
def test_no_sap_without_a_freeze(temperatures_c: list[float]) -> None:
    sap_m3, _, _ = run_tree(temperatures_c, hours_to_tapping=0.0)
    assert sum(sap_m3) == 0.0


@settings(max_examples=60)
@given(st.lists(st.floats(-40.0, 0.0), min_size=1, max_size=200), vacuums)
def test_no_sap_without_a_thaw(temperatures_c: list[float], vacuum_pa: float) -> None:
    sap_m3, _, _ = run_tree(temperatures_c, 0.0, vacuum_pa)
    assert sum(sap_m3) == 0.0


@settings(max_examples=60)
@given(weathers)
def test_a_freeze_gives_at_most_one_full_charge(temperatures_c: list[float]) -> None:
    sap_m3, _, end = run_tree(temperatures_c, 0.0)
    assert sum(sap_m3) + end.store_m3 <= P.full_charge_m3 * (end.runs + 1.0) * (1 + 1e-9)


@settings(max_examples=60)
@given(weathers, vacuums)
def test_states_stay_where_they_mean_something(
    temperatures_c: list[float], vacuum_pa: float
) -> None:
    sap_m3, brix, end = run_tree(temperatures_c, 24.0, vacuum_pa)
    assert all(each >= 0.0 for each in sap_m3)
    assert all(0.8 <= each <= 4.0 for each in brix)
    assert 0.0 <= end.charge <= 1.0
    assert end.store_m3 >= 0.0
    assert min(temperatures_c) - 1e-9 <= end.wood_c <= max(temperatures_c) + 1e-9


@settings(max_examples=60)
@given(weathers, vacuums, vacuums)
def test_more_vacuum_never_gives_less(temperatures_c: list[float], one: float, two: float) -> None:
    less, _, _ = run_tree(temperatures_c, 0.0, min(one, two))
    more, _, _ = run_tree(temperatures_c, 0.0, max(one, two))
    assert all(a <= b for a, b in zip(less, more, strict=True))


@settings(max_examples=60)
@given(weathers, st.integers(0, 200), vacuums, st.integers(-50, 250))
def test_stopping_and_going_on_is_running_through(
    temperatures_c: list[float], cut: int, vacuum_pa: float, tapped_h: int
) -> None:
    cut = min(cut, len(temperatures_c))
    start = TreeState(wood_c=temperatures_c[0])
    sap, brix, end = run_tree(temperatures_c, tapped_h, vacuum_pa, start=start)
    first, first_brix, half = run_tree(temperatures_c[:cut], tapped_h, vacuum_pa, start=start)
    half = half if cut else start
    second, second_brix, other = run_tree(
        temperatures_c[cut:], tapped_h - cut, vacuum_pa, start=half
    )
    assert first + second == sap
    assert first_brix + second_brix == brix
    assert (other if cut < len(temperatures_c) else half) == end


def test_deep_cold_adds_nothing_once_the_charge_is_full() -> None:
    _, _, cold = run_tree([-8.0] * 48, 0.0)
    _, _, deep = run_tree([-30.0] * 48, 0.0)
    assert cold.charge == pytest.approx(1.0, abs=1e-6)
    assert deep.charge - cold.charge < 1e-6


def test_one_night_and_a_long_mild_day_drain_the_charge() -> None:
    # With warmth below 5 degC no pressure is lost: all that the night laid up comes out.
    _, _, night = run_tree([-5.0] * 12, 0.0)
    begin = TreeState(wood_c=0.0, charge=night.charge)
    sap_m3, _, _ = run_tree([4.0] * 400, -12.0, start=begin)
    fresh = 1.0 / (1.0 + math.exp(-P.ageing_half_k_h / P.ageing_spread_k_h))
    assert sum(sap_m3) == pytest.approx(fresh * night.charge * P.full_charge_m3, rel=1e-6)


def test_warmth_ends_the_season() -> None:
    day = [-5.0] * 12 + [6.0] * 24
    fresh, _, _ = run_tree(day, 0.0)
    spent_k_h = P.ageing_half_k_h + 5.0 * P.ageing_spread_k_h
    spent, _, _ = run_tree(day, -1000.0, start=TreeState(-5.0, warm_k_h=spent_k_h))
    assert sum(spent) < 0.01 * sum(fresh)


def test_warmth_before_tapping_ages_no_tap_hole() -> None:
    _, _, end = run_tree([15.0] * 100, hours_to_tapping=100.0)
    assert end.warm_k_h == 0.0


def test_an_untapped_tree_gives_nothing() -> None:
    sap_m3, _, _ = run_tree(([-5.0] * 12 + [8.0] * 12) * 3, hours_to_tapping=72.0, vacuum_pa=60e3)
    assert sum(sap_m3) == 0.0


def test_two_weeks_before_the_window_are_enough() -> None:
    """Whatever the trees held at first is forgotten after two weeks of nights and days."""
    weeks = ([-5.0] * 12 + [5.0] * 12) * 14
    empty, _, _ = run_tree([*weeks, *weeks], 336.0, start=TreeState(-20.0))
    full, _, _ = run_tree([*weeks, *weeks], 336.0, start=TreeState(10.0, 1.0, 0.012))
    assert sum(full[336:]) == pytest.approx(sum(empty[336:]), rel=1e-4)


def test_a_long_summer_overflows_nothing() -> None:
    sap_m3, _, end = run_tree([50.0] * 9000, 0.0, 80e3)
    assert end.warm_k_h > 4e5
    assert sap_m3[-1] == pytest.approx(0.0, abs=1e-12)


def test_runs_are_counted_by_freezes() -> None:
    _, _, end = run_tree(([-6.0] * 12 + [6.0] * 12) * 5, 0.0, start=TreeState(wood_c=3.0))
    assert end.runs == 5.0


def test_brix_falls_with_much_flow_and_warmth() -> None:
    dry = sap_brix(TreeState(2.0), 5.0, P)
    assert sap_brix(TreeState(2.0, recent_m3=0.006), 5.0, P) < dry
    assert sap_brix(TreeState(2.0, warm_k_h=500.0), 5.0, P) < dry


@pytest.mark.parametrize(
    ("temperature_c", "vacuum_pa"), [(61.0, 0.0), (math.nan, 0.0), (5.0, -1.0), (5.0, 2e5)]
)
def test_nonsense_is_refused(temperature_c: float, vacuum_pa: float) -> None:
    with pytest.raises(RangeError):
        tree_hour(TreeState(0.0), temperature_c, vacuum_pa, 0.0, P)
