"""The array form of every formula, made from the scalar one in one place.

The scalar form needs ``math`` alone and is what the simulator compiles; a column of readings or a
curve to draw wants arrays. ``array_form(density_kg_m3)([2.0, 8.0], 4.0)`` calls the checked scalar
form for each element, so a value out of range is the same named error, never a silent number. This
is the one module of physics that imports NumPy.
"""

from __future__ import annotations

import functools
from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray


def array_form(formula: Callable[..., float]) -> Callable[..., NDArray[np.float64]]:
    """Make the array form of a formula.

    Parameters
    ----------
    formula : a function of plain floats that returns a float, such as those of ``physics``

    Returns
    -------
    A function of the same parameters, each a number or an array; they are broadcast against each
    other, and the answer is an array of floats of the common shape. It raises what ``formula``
    raises.

    Notes
    -----
    The loop runs in Python, some microseconds an element: enough for tables and charts. What is
    repeated millions of times is compiled by the plant.

    Examples
    --------
    >>> from sugarwright.physics.solution import density_kg_m3
    >>> array_form(density_kg_m3)([0.0, 66.9], 20.0).round(1)
    array([ 998.2, 1328.2])
    """
    # otypes, or an empty array would have no type to answer with.
    vectorized = np.vectorize(formula, otypes=[np.float64])

    @functools.wraps(formula)
    def form(*args: ArrayLike, **kwargs: ArrayLike) -> NDArray[np.float64]:
        return np.asarray(vectorized(*args, **kwargs), dtype=np.float64)

    # What marks a formula of plain numbers as one must not mark its array form.
    for mark in ("core", "ranges"):
        form.__dict__.pop(mark, None)
    return form
