"""A table made of a function of the bench, with its largest error between the numbers."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from sugarwright.web.offline.interpolation import Axis, interpolate

POINTS = 3000
MARGIN = 1.25
"""Of the error stated over the largest found: between the points tried it may be larger."""


@dataclass(frozen=True)
class Recipe:
    """How a table is made.

    Parameters
    ----------
    name : of the table
    what : it gives, for people
    unit : of that, as it is shown
    axes : over which
    formula : the function of the bench that it stands for; takes a number for each axis
    decimals : kept of each value
    most_error : what reading between the numbers may miss, at most
    """

    name: str
    what: str
    unit: str
    axes: tuple[Axis, ...]
    formula: Callable[..., float]
    decimals: int
    most_error: float


def values_of(recipe: Recipe) -> list[float]:
    """Return the numbers of a table, rounded as they are handed out."""
    nodes = itertools.product(*(axis.nodes for axis in recipe.axes))
    return [round(recipe.formula(*at), recipe.decimals) for at in nodes]


def points_in(recipe: Recipe, count: int, seed: int) -> Iterator[tuple[float, ...]]:
    """Yield points spread over a table at random."""
    chance = random.Random(f"{recipe.name} {seed}")
    for _ in range(count):
        yield tuple(chance.uniform(axis.nodes[0], axis.nodes[-1]) for axis in recipe.axes)


def greatest_error(recipe: Recipe, values: list[float], count: int, seed: int) -> float:
    """Return the most by which the table misses its function at so many points."""
    return max(
        abs(interpolate(recipe.axes, values, at) - recipe.formula(*at))
        for at in points_in(recipe, count, seed)
    )


def document_of(recipe: Recipe) -> dict[str, Any]:
    """Return a table as it is handed to a browser.

    Raises
    ------
    ValueError : its numbers lie too far apart for the error that it may have
    """
    values = values_of(recipe)
    stated = _rounded_up(MARGIN * greatest_error(recipe, values, POINTS, seed=1))
    if not stated <= recipe.most_error:
        problem = f"{recipe.name}: misses {stated}, {recipe.most_error} allowed"
        raise ValueError(problem)
    return {
        "what": recipe.what,
        "unit": recipe.unit,
        "greatest_error": stated,
        "axes": [
            {"name": axis.name, "nodes": [_short(node) for node in axis.nodes], "log": axis.log}
            for axis in recipe.axes
        ],
        "values": [_short(value) for value in values],
    }


def _rounded_up(error: float) -> float:
    """Return an error with two digits, not smaller; what rounding of a computer makes is 1e-9."""
    if error <= 1e-9:
        return 1e-9
    step = 10.0 ** (math.floor(math.log10(error)) - 1)
    return float(f"{math.ceil(error / step) * step:.2g}")


def _short(value: float) -> float | int:
    return int(value) if value == int(value) else value
