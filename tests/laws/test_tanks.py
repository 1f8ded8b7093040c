"""What holds for every tank: depth and volume are inverse, rise together, and sum slices."""

from hypothesis import given, settings
from hypothesis import strategies as st

from sugarwright.plant.house import Tank
from sugarwright.plant.tanks import (
    capacity_m3,
    depth_at_volume_m,
    full_depth_m,
    volume_at_depth_m3,
)

lengths = st.floats(0.05, 10.0)
parts = st.floats(0.0, 1.0)


@st.composite
def tables(draw: st.DrawFn) -> Tank:
    steps = draw(st.lists(st.tuples(lengths, lengths), min_size=2, max_size=8))
    rows, depth, volume = [], 0.0, 0.0
    for rise, gain in steps:
        depth, volume = depth + rise, volume + gain
        rows.append((depth, volume))
    return Tank(shape="table", depth_table=tuple(rows), count=draw(st.integers(1, 4)))


def shaped(shape: str, *names: str) -> st.SearchStrategy[Tank]:
    return st.builds(
        Tank,
        shape=st.just(shape),
        count=st.integers(1, 4),
        **{f"{name}_m": lengths for name in names},
    )


curved = st.one_of(
    shaped("upright cylinder", "diameter", "height"),
    shaped("lying cylinder", "diameter", "length"),
    shaped("box", "length", "width", "height"),
    shaped("cone bottom", "diameter", "height", "cone_height"),
)
tanks = st.one_of(curved, tables())


@settings(max_examples=100)
@given(tanks, parts)
def test_depth_gives_back_the_volume(tank: Tank, part: float) -> None:
    """1e-9 of the capacity: halving ends at the digits of the depth."""
    full_m3 = capacity_m3(tank)
    depth_m = depth_at_volume_m(tank, part * full_m3)
    assert 0.0 <= depth_m <= full_depth_m(tank)
    assert abs(volume_at_depth_m3(tank, depth_m) - part * full_m3) <= 1e-9 * full_m3


@settings(max_examples=100)
@given(tanks, parts, parts)
def test_deeper_is_never_less(tank: Tank, one: float, other: float) -> None:
    low, high = sorted((one, other))
    full_m = full_depth_m(tank)
    less, more = (volume_at_depth_m3(tank, part * full_m) for part in (low, high))
    assert less <= more * (1 + 1e-12) + 1e-15


@given(tanks)
def test_empty_and_full(tank: Tank) -> None:
    assert abs(volume_at_depth_m3(tank, 0.0)) <= 1e-12 * capacity_m3(tank)
    assert volume_at_depth_m3(tank, full_depth_m(tank)) == capacity_m3(tank)


def surface_m2(tank: Tank, depth_m: float) -> float:
    """Area of the liquid's surface, written down independently of the volumes."""
    diameter = tank.diameter_m or 0.0
    if tank.shape == "box":
        return (tank.length_m or 0.0) * (tank.width_m or 0.0)
    if tank.shape == "lying cylinder":
        half = max(depth_m * (diameter - depth_m), 0.0) ** 0.5
        return 2.0 * half * (tank.length_m or 0.0)
    cone = tank.cone_height_m or 0.0
    wide = diameter * min(1.0, depth_m / cone) if cone else diameter
    return 3.141592653589793 / 4.0 * wide**2


@settings(max_examples=40)
@given(curved, st.floats(0.05, 1.0))
def test_volume_is_the_sum_of_slices(tank: Tank, part: float) -> None:
    """Midpoint rule over 2,000 slices; a root at the wall of a lying cylinder costs some 1e-5."""
    depth_m, count = part * full_depth_m(tank), 2000
    slices = (surface_m2(tank, (i + 0.5) * depth_m / count) for i in range(count))
    summed = tank.count * sum(slices) * depth_m / count
    assert abs(volume_at_depth_m3(tank, depth_m) - summed) <= 1e-4 * summed
