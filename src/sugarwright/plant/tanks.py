"""What a tank holds: volume from a depth on the stick, depth from a volume.

A :class:`~sugarwright.plant.house_tank.Tank` may be several alike, plumbed together at the bottom:
volumes here are those of all of them, a depth is the depth in each. Shapes are closed forms of
solid geometry; a lying cylinder has flat ends.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import atan2, cbrt, pi, sqrt

from sugarwright.errors import InputError, RangeError
from sugarwright.plant.house_tank import Tank

ROUNDING = 1e-9
"""Depths and volumes may exceed the tank by this part: what rounding of a unit may add."""


def capacity_m3(tank: Tank) -> float:
    """Return all that the tank (with its ``count``) holds up to its overflow.

    >>> round(capacity_m3(Tank(shape="upright cylinder", diameter_m=1.0, height_m=2.0, count=2)), 6)
    3.141593
    """
    if tank.shape == "plain":
        return tank.count * _given(tank, "volume_m3")
    return tank.count * _VOLUME[tank.shape](tank, full_depth_m(tank))


def usable_m3(tank: Tank) -> float:
    """Return what can be taken out of a full tank through its outlet."""
    return capacity_m3(tank) - tank.count * tank.dead_volume_m3


def full_depth_m(tank: Tank) -> float:
    """Return the depth on the stick at the overflow.

    Raises
    ------
    InputError : when only the volume of the tank is known, or a length of its shape is missing
    """
    if tank.shape == "lying cylinder":
        return _given(tank, "diameter_m")
    if tank.shape == "cone bottom":
        return _given(tank, "cone_height_m") + _given(tank, "height_m")
    if tank.shape == "table":
        return _table(tank)[-1][0]
    if tank.shape == "plain":
        raise InputError(
            "shape",
            tank.shape,
            "only the volume of this tank is known, so a depth says nothing",
            fix="Describe its shape and lengths, or a depth table, in sugarhouse.toml.",
        )
    return _given(tank, "height_m")


def volume_at_depth_m3(tank: Tank, depth_m: float) -> float:
    """Return the volume in the tank (with its ``count``) at a depth on the stick.

    Parameters
    ----------
    tank : the tank
    depth_m : depth above the lowest point of the inside, 0 to :func:`full_depth_m`

    Raises
    ------
    RangeError : depth outside the tank
    InputError : when the shape is not known well enough

    >>> box = Tank(shape="box", length_m=2.0, width_m=1.0, height_m=1.5)
    >>> volume_at_depth_m3(box, 0.25)
    0.5
    """
    depth_m = _inside("depth_m", depth_m, full_depth_m(tank))
    return tank.count * _VOLUME[tank.shape](tank, depth_m)


def volume_sd_m3(tank: Tank, depth_m: float, sd_m: float) -> float:
    """Return what an error of the stick is in volume, at a depth in this shape.

    Parameters
    ----------
    tank : the tank
    depth_m : depth on the stick, 0 to :func:`full_depth_m`
    sd_m : its standard uncertainty; beyond floor and rim there is nothing

    Raises
    ------
    InputError : when the shape is not known well enough

    >>> box = Tank(shape="box", length_m=2.0, width_m=1.0, height_m=1.5)
    >>> round(volume_sd_m3(box, 0.25, 0.01), 6)
    0.02
    """
    low_m, high_m = max(depth_m - sd_m, 0.0), min(depth_m + sd_m, full_depth_m(tank))
    if high_m <= low_m:
        return 0.0
    between_m3 = volume_at_depth_m3(tank, high_m) - volume_at_depth_m3(tank, low_m)
    return between_m3 * sd_m / (high_m - low_m)


def depth_at_volume_m(tank: Tank, volume_m3: float) -> float:
    """Return the depth on the stick when the tank (with its ``count``) holds a volume.

    Raises
    ------
    RangeError : volume below zero or above the capacity
    InputError : when the shape is not known well enough

    >>> box = Tank(shape="box", length_m=2.0, width_m=1.0, height_m=1.5)
    >>> depth_at_volume_m(box, 0.5)
    0.25
    """
    full_m = full_depth_m(tank)
    volume_m3 = _inside("volume_m3", volume_m3, capacity_m3(tank))
    each_m3 = volume_m3 / tank.count
    return min(max(_DEPTH[tank.shape](tank, each_m3), 0.0), full_m)


def _inside(name: str, value: float, greatest: float) -> float:
    """Return the value, rid of rounding at the rim; refuse what is outside (or no number)."""
    if not -ROUNDING * greatest <= value <= greatest * (1 + ROUNDING):
        raise RangeError(name, value, "is outside the tank", f"0 to {greatest:.6g}")
    return min(max(value, 0.0), greatest)


def _given(tank: Tank, name: str) -> float:
    value: float | None = getattr(tank, name)
    if value is None:
        raise InputError(name, None, f'a tank of shape "{tank.shape}" needs it')
    return value


def _table(tank: Tank) -> tuple[tuple[float, float], ...]:
    """Return the strapping table with its empty start."""
    if not tank.depth_table:
        raise InputError("depth_table", None, 'a tank of shape "table" needs it')
    return tank.depth_table if tank.depth_table[0][0] == 0 else ((0.0, 0.0), *tank.depth_table)


def _floor_m2(tank: Tank) -> float:
    if tank.shape == "box":
        return _given(tank, "length_m") * _given(tank, "width_m")
    return pi / 4 * _given(tank, "diameter_m") ** 2


def _straight_volume(tank: Tank, depth_m: float) -> float:
    return _floor_m2(tank) * depth_m


def _straight_depth(tank: Tank, volume_m3: float) -> float:
    return volume_m3 / _floor_m2(tank)


def _lying_volume(tank: Tank, depth_m: float) -> float:
    """Length times the circular segment below the depth."""
    radius_m = _given(tank, "diameter_m") / 2
    above_m = radius_m - depth_m
    half_chord_m = sqrt(max(depth_m * (2 * radius_m - depth_m), 0.0))
    # The arc tangent keeps its digits where the tank is nearly empty; the arc cosine does not.
    segment_m2 = radius_m**2 * atan2(half_chord_m, above_m)
    return _given(tank, "length_m") * (segment_m2 - above_m * half_chord_m)


def _lying_depth(tank: Tank, volume_m3: float) -> float:
    """The segment has no inverse in closed form; halving is sure and fast enough by hand."""
    low_m, high_m = 0.0, _given(tank, "diameter_m")
    for _ in range(60):
        middle_m = (low_m + high_m) / 2
        if _lying_volume(tank, middle_m) < volume_m3:
            low_m = middle_m
        else:
            high_m = middle_m
    return high_m


def _cone_volume(tank: Tank, depth_m: float) -> float:
    """A cone grows as the cube of its depth; the straight part stands on the full cone."""
    cone_m = _given(tank, "cone_height_m")
    in_cone_m = min(depth_m, cone_m)
    full_cone_m3 = _floor_m2(tank) * cone_m / 3
    return full_cone_m3 * (in_cone_m / cone_m) ** 3 + _floor_m2(tank) * (depth_m - in_cone_m)


def _cone_depth(tank: Tank, volume_m3: float) -> float:
    cone_m = _given(tank, "cone_height_m")
    full_cone_m3 = _floor_m2(tank) * cone_m / 3
    if volume_m3 <= full_cone_m3:
        return cone_m * cbrt(volume_m3 / full_cone_m3)
    return cone_m + (volume_m3 - full_cone_m3) / _floor_m2(tank)


def _table_volume(tank: Tank, depth_m: float) -> float:
    return _between(_table(tank), depth_m)


def _table_depth(tank: Tank, volume_m3: float) -> float:
    return _between(tuple((volume, depth) for depth, volume in _table(tank)), volume_m3)


def _between(points: tuple[tuple[float, float], ...], x: float) -> float:
    """Straight lines between the points; ``x`` lies within them."""
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


_VOLUME: dict[str, Callable[[Tank, float], float]] = {
    "upright cylinder": _straight_volume,
    "box": _straight_volume,
    "lying cylinder": _lying_volume,
    "cone bottom": _cone_volume,
    "table": _table_volume,
}
_DEPTH: dict[str, Callable[[Tank, float], float]] = {
    "upright cylinder": _straight_depth,
    "box": _straight_depth,
    "lying cylinder": _lying_depth,
    "cone bottom": _cone_depth,
    "table": _table_depth,
}
