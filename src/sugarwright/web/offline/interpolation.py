"""Reading between the numbers of a table. ``static/interpolate.js`` does the same, in a browser.

Along each axis the four nodes around a value carry a cubic (Lagrange's); three nodes a parabola,
two a straight line. It knows nothing of what the table is about.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

MOST_NODES = 4


@dataclass(frozen=True)
class Axis:
    """One side of a table.

    Parameters
    ----------
    name : of the quantity, with its unit
    nodes : rising
    log : read between the logarithms of the nodes
    """

    name: str
    nodes: tuple[float, ...]
    log: bool = False


def interpolate(axes: Sequence[Axis], values: Sequence[float], at: Sequence[float]) -> float:
    """Return the value of a table at a point, or not-a-number outside it.

    Parameters
    ----------
    axes : of the table
    values : at the nodes, the last axis running fastest
    at : a number for each axis

    >>> square = Axis("x", (0.0, 1.0, 2.0, 3.0))
    >>> interpolate([square], [0.0, 1.0, 4.0, 9.0], [2.5])
    6.25
    """
    places = [(0, 1.0)]
    for axis, value in zip(axes, at, strict=True):
        if not axis.nodes[0] <= value <= axis.nodes[-1]:
            return math.nan
        count, weights = len(axis.nodes), _weights(axis, value)
        places = [
            (place * count + node, share * weight)
            for place, share in places
            for node, weight in weights
        ]
    return math.fsum(values[place] * share for place, share in places)


def _weights(axis: Axis, value: float) -> list[tuple[int, float]]:
    """Return the nodes around a value, each with its weight."""
    take = min(MOST_NODES, len(axis.nodes))
    inside = bisect_right(axis.nodes, value) - 1
    first = min(max(inside - 1, 0), len(axis.nodes) - take)
    scale = math.log if axis.log else float
    nodes = [scale(node) for node in axis.nodes[first : first + take]]
    x = scale(value)
    weights = []
    for i, own in enumerate(nodes):
        others = [node for j, node in enumerate(nodes) if j != i]
        weights.append((first + i, math.prod((x - other) / (own - other) for other in others)))
    return weights
