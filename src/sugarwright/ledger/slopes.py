"""Numbers that carry their slopes: what a balance reckons, and how it answers each unknown."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

from sugarwright.ledger.reconcile import Floats
from sugarwright.physics.solution import density_kg_m3


@dataclass(frozen=True, slots=True)
class Number:
    """A number and its slopes in all unknowns.

    Parameters
    ----------
    value : the number
    slopes : (unknowns,)

    Examples
    --------
    >>> import numpy as np
    >>> x = Number(3.0, np.array([1.0, 0.0])); y = Number(2.0, np.array([0.0, 1.0]))
    >>> (x * y).value, (x * y).slopes
    (6.0, array([2., 3.]))
    """

    value: float
    slopes: Floats

    def __add__(self, other: Number | float) -> Number:
        if isinstance(other, Number):
            return Number(self.value + other.value, self.slopes + other.slopes)
        return Number(self.value + other, self.slopes)

    def __sub__(self, other: Number | float) -> Number:
        if isinstance(other, Number):
            return Number(self.value - other.value, self.slopes - other.slopes)
        return Number(self.value - other, self.slopes)

    def __mul__(self, other: Number | float) -> Number:
        if isinstance(other, Number):
            value = self.value * other.value
            return Number(value, self.slopes * other.value + other.slopes * self.value)
        return Number(self.value * other, self.slopes * other)

    def __truediv__(self, other: Number | float) -> Number:
        if isinstance(other, Number):
            part = 1.0 / other.value
            value = self.value * part
            return Number(value, (self.slopes - other.slopes * value) * part)
        return self * (1.0 / other)

    def positive(self, near: float) -> Number:
        """Return the number where it is well above ``near``; below, smoothly, next to nothing."""
        root = math.sqrt(self.value**2 + 4.0 * near**2)
        return Number(0.5 * (self.value + root), self.slopes * (0.5 * (1.0 + self.value / root)))


def density(brix: Number, temperature_c: float) -> Number:
    """Return the density of a solution, kg/m³; strengths outside 0 to 83 as at the nearer end.

    Straight between whole Brix, where it bends by less than 6 g/m³.
    """
    at = min(max(brix.value, 0.0), 83.0)
    low, share = int(at), at - int(at)
    below, above = _density_at(low, temperature_c), _density_at(low + 1, temperature_c)
    return Number(below + share * (above - below), brix.slopes * (above - below))


@functools.lru_cache(maxsize=10000)
def _density_at(brix: int, temperature_c: float) -> float:
    return density_kg_m3(float(brix), temperature_c)
