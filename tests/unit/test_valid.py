"""The door of the formulas: ranges, not-a-number, and what the message says."""

import math

import pytest

from sugarwright.errors import InputError, RangeError
from sugarwright.physics.valid import valid


@valid(side_m=(0.0, 10.0), height_m=(1.0, 2.0))
def root_m(side_m: float, height_m: float, shift_m: float = 0.0) -> float:
    """Stand for a formula: no root of a negative number."""
    inside = side_m - height_m + shift_m
    return math.sqrt(inside) if inside >= 0.0 else math.nan


@pytest.mark.parametrize("side_m", [2.0, 10.0])
def test_the_ends_of_a_range_belong_to_it(side_m):
    assert root_m(side_m, 1.0) == math.sqrt(side_m - 1.0)


@pytest.mark.parametrize("side_m", [-1e-9, 10.000001, math.nan, math.inf, -math.inf])
def test_outside_is_an_error_that_names_the_parameter(side_m):
    with pytest.raises(RangeError) as caught:
        root_m(side_m, 1.0)
    assert caught.value.field == "side_m"
    assert caught.value.allowed == "0 to 10"
    assert "root_m does not hold there" in str(caught.value)


@pytest.mark.parametrize(
    "call",
    [
        lambda: root_m(2.0, 3.0),
        lambda: root_m(2.0, height_m=3.0),
        lambda: root_m(height_m=3.0, side_m=2.0),
    ],
)
def test_however_the_value_is_passed(call):
    with pytest.raises(RangeError, match="height_m = 3"):
        call()


def test_a_parameter_without_a_range_is_free():
    assert root_m(1.0, 1.0, 1e9) == math.sqrt(1e9)


def test_no_answer_is_an_error_that_shows_all_values():
    with pytest.raises(
        RangeError, match=r"no answer for side_m = 0.5, height_m = 1.5, shift_m = 0.25"
    ):
        root_m(0.5, 1.5, shift_m=0.25)


def test_a_missing_argument_stays_pythons_own_error():
    with pytest.raises(TypeError):
        root_m(1.0)


def test_it_is_one_of_our_errors_and_a_value_error():
    assert issubclass(RangeError, InputError)
    assert issubclass(RangeError, ValueError)


def test_the_bare_formula_is_unchecked():
    assert math.isnan(root_m.core(0.0, 5.0))
    assert root_m.ranges == {"side_m": (0.0, 10.0), "height_m": (1.0, 2.0)}


def test_it_still_looks_like_the_formula():
    assert root_m.__name__ == "root_m"
    assert root_m.__doc__.startswith("Stand for a formula")


def test_a_range_for_an_unknown_parameter_is_a_mistake_of_the_programmer():
    with pytest.raises(KeyError, match="width_m"):
        valid(width_m=(0.0, 1.0))(root_m.core)
