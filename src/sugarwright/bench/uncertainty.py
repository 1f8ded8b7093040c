"""Carrying the uncertainty of instruments to an answer: Gaussian, to first order."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sugarwright.errors import RangeError

STEP = 0.05
"""Step of a slope, as a share of the standard deviation: where the answer is still straight."""


Amount = float
"""A number in whatever unit the quantity at hand has."""


@dataclass(frozen=True)
class Spread:
    """An answer and how sure it is.

    Parameters
    ----------
    value : the answer
    sd : its standard deviation
    shares : part of the variance that each input brings, 0 to 1; all 0 when nothing is unsure
    """

    value: float
    sd: float
    shares: tuple[float, ...]

    @property
    def main(self) -> int:
        """Number of the input that brings most of the uncertainty."""
        return max(range(len(self.shares)), key=self.shares.__getitem__)


def first_order(
    formula: Callable[..., float], values: Sequence[float], deviations: Sequence[float]
) -> Spread:
    """Return a formula's value with its standard deviation, inputs being independent.

    Parameters
    ----------
    formula : takes the values one by one
    values : the inputs
    deviations : their standard deviations, 0 for what is known

    Raises
    ------
    RangeError : the formula does not hold at the values themselves

    Notes
    -----
    Joint Committee for Guides in Metrology, "Evaluation of measurement data: Guide to the
    expression of uncertainty in measurement" (JCGM 100:2008), equation 10.

    >>> spread = first_order(lambda x, y: x * y, (3.0, 2.0), (0.1, 0.2))
    >>> round(spread.value, 6), round(spread.sd, 4), spread.main
    (6.0, 0.6325, 1)
    """
    centre = formula(*values)
    parts = [
        _slope(formula, values, place, sd, centre) * sd if sd > 0.0 else 0.0
        for place, sd in enumerate(deviations)
    ]
    variance = math.fsum(part * part for part in parts)
    shares = tuple(part * part / variance if variance > 0.0 else 0.0 for part in parts)
    return Spread(centre, math.sqrt(variance), shares)


def share_below(limit: Amount, value: Amount, sd: Amount) -> float:
    """Return the chance that a Gaussian quantity lies below a limit.

    >>> round(share_below(66.0, 66.33, 0.2), 2)
    0.05
    """
    if sd <= 0.0:
        return 1.0 if value < limit else 0.0
    return 0.5 * math.erfc((value - limit) / (sd * math.sqrt(2.0)))


def _slope(
    formula: Callable[..., float], values: Sequence[float], place: int, sd: float, centre: float
) -> float:
    """Slope of the formula in one input; at the end of its range, from the side that is left."""
    step = STEP * sd

    def at(value: float) -> float | None:
        try:
            return formula(*values[:place], value, *values[place + 1 :])
        except RangeError:
            return None

    above, below = at(values[place] + step), at(values[place] - step)
    if above is not None and below is not None:
        return (above - below) / (2.0 * step)
    if above is not None:
        return (above - centre) / step
    if below is not None:
        return (centre - below) / step
    raise RangeError("value", values[place], "stands too near the ends of its range to be judged")
