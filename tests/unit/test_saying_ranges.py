"""Ranges are told in one way: "67 to 75", with one unit."""

from __future__ import annotations

import pytest

from membrane_worlds import invented_house
from sugarwright.cli.learn_all_text import _when
from sugarwright.saying.standing import brix_text, range_text
from sugarwright.twin.report import Band
from sugarwright.units import VOLUME
from twin_cases import BEGIN_S


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(2.0, 2.4, "2.0 to 2.4"), (2.01, 2.04, "2.0")],
)
def test_strengths(low: float, high: float, said: str) -> None:
    assert brix_text(Band(low, (low + high) / 2, high)) == said


def test_volumes_share_the_unit_of_the_upper_end() -> None:
    assert range_text(Band(0.05, 0.06, 0.07), VOLUME, "metric") == "50 to 70 L"


def test_moments_are_a_day_and_a_clock_time_as_elsewhere() -> None:
    said = _when(BEGIN_S, invented_house())
    assert "-" not in said
    assert said.split()[0].isdigit()
    assert ":" in said.split()[-1]
