"""Tanks against an independent geometry library and by hand."""

from math import pi

import pytest
from fluids.geometry import TANK

from sugarwright.errors import InputError, RangeError
from sugarwright.plant.house import Tank
from sugarwright.plant.tanks import (
    capacity_m3,
    depth_at_volume_m,
    full_depth_m,
    usable_m3,
    volume_at_depth_m3,
)

PARTS = (0.0, 0.03, 0.25, 0.5, 0.77, 1.0)
TABLE = Tank(shape="table", depth_table=((0.1, 0.05), (0.3, 0.25), (0.5, 0.65)))


@pytest.mark.parametrize("part", PARTS)
def test_lying_cylinder_agrees_with_fluids(part: float) -> None:
    """fluids.geometry.TANK, flat ends; both are closed forms, so rounding is the tolerance."""
    tank = Tank(shape="lying cylinder", diameter_m=1.2, length_m=2.7)
    other = TANK(D=1.2, L=2.7, horizontal=True)
    volume_m3 = volume_at_depth_m3(tank, 1.2 * part)
    assert volume_m3 == pytest.approx(other.V_from_h(1.2 * part), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("part", PARTS)
def test_cone_bottom_agrees_with_fluids(part: float) -> None:
    """fluids.geometry.TANK, standing, conical lower end."""
    tank = Tank(shape="cone bottom", diameter_m=1.4, height_m=1.1, cone_height_m=0.5)
    other = TANK(D=1.4, L=1.1, horizontal=False, sideA="conical", sideA_a=0.5)
    volume_m3 = volume_at_depth_m3(tank, 1.6 * part)
    assert volume_m3 == pytest.approx(other.V_from_h(1.6 * part), rel=1e-9, abs=1e-12)


def test_known_solids_by_hand() -> None:
    """Box, cylinder and cone by school geometry."""
    box = Tank(shape="box", length_m=2.0, width_m=1.5, height_m=1.0)
    upright = Tank(shape="upright cylinder", diameter_m=2.0, height_m=3.0)
    cone = Tank(shape="cone bottom", diameter_m=2.0, height_m=1.0, cone_height_m=3.0)
    assert capacity_m3(box) == pytest.approx(3.0)
    assert capacity_m3(upright) == pytest.approx(3.0 * pi)
    assert volume_at_depth_m3(cone, 3.0) == pytest.approx(pi)
    assert capacity_m3(cone) == pytest.approx(2.0 * pi)
    assert full_depth_m(cone) == pytest.approx(4.0)


def test_a_tank_of_1000_us_gallons() -> None:
    """231 cubic inches a gallon: a cube of 231 000 in3 holds 1,000 gal = 3.785411784 m3."""
    inch = 0.0254
    tank = Tank(shape="box", length_m=70 * inch, width_m=60 * inch, height_m=55 * inch)
    assert capacity_m3(tank) == pytest.approx(3.785411784, rel=1e-12)


def test_strapping_table_runs_straight_between_marks_and_from_empty() -> None:
    assert capacity_m3(TABLE) == pytest.approx(0.65)
    assert volume_at_depth_m3(TABLE, 0.05) == pytest.approx(0.025)
    assert volume_at_depth_m3(TABLE, 0.2) == pytest.approx(0.15)
    assert depth_at_volume_m(TABLE, 0.45) == pytest.approx(0.4)


def test_stick_that_starts_above_a_dished_bottom() -> None:
    """A first row at depth 0 with liquid below it: less liquid still reads 0."""
    tank = Tank(shape="table", depth_table=((0.0, 0.02), (0.5, 0.52)))
    assert volume_at_depth_m3(tank, 0.0) == 0.02
    assert depth_at_volume_m(tank, 0.01) == 0.0


def test_tanks_plumbed_together_share_one_depth() -> None:
    one = Tank(shape="box", length_m=1.0, width_m=1.0, height_m=1.0, dead_volume_m3=0.1)
    three = Tank(shape="box", length_m=1.0, width_m=1.0, height_m=1.0, dead_volume_m3=0.1, count=3)
    assert volume_at_depth_m3(three, 0.4) == pytest.approx(3 * volume_at_depth_m3(one, 0.4))
    assert depth_at_volume_m(three, 1.2) == pytest.approx(0.4)
    assert usable_m3(three) == pytest.approx(2.7)


def test_only_a_volume_known_has_a_capacity_but_no_depth() -> None:
    plain = Tank(volume_m3=1.5, count=2)
    assert capacity_m3(plain) == 3.0
    with pytest.raises(InputError, match="only the volume"):
        depth_at_volume_m(plain, 1.0)


@pytest.mark.parametrize("depth_m", [-0.01, 0.51, float("nan"), float("inf")])
def test_depth_outside_the_tank_is_refused(depth_m: float) -> None:
    with pytest.raises(RangeError, match="outside the tank"):
        volume_at_depth_m3(TABLE, depth_m)


@pytest.mark.parametrize("volume_m3", [-0.01, 0.66, float("nan")])
def test_volume_outside_the_tank_is_refused(volume_m3: float) -> None:
    with pytest.raises(RangeError, match="outside the tank"):
        depth_at_volume_m(TABLE, volume_m3)


@pytest.mark.parametrize(
    "shape", ["plain", "upright cylinder", "lying cylinder", "box", "cone bottom", "table"]
)
def test_a_missing_length_is_named(shape: str) -> None:
    with pytest.raises(InputError, match="needs it"):
        capacity_m3(Tank(shape=shape))
