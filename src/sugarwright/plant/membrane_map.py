"""The membrane's operating map: what the full model says, at the price of a polynomial.

The simulator asks the membrane millions of times for one plan; the full model
(:func:`sugarwright.physics.membrane.operating_point`) takes some 100 us a time. The map gives
permeate and passed sugar over concentrate flow, feed strength, temperature and condition within
0.2 % of the permeate. It is fitted once per house; outside its box the caller uses the full model.

The logarithms of both flows are polynomials in four coordinates, each scaled to -1..1:

- *pull*, ln(condition x temperature factor / flow): permeability by flow is nearly all that counts,
  so that temperature, condition and flow act mostly together, along this one line;
- *root*, the square root of the strength, which spreads the dilute end, where most is curved;
- *flow*, ln(flow), and *warmth*, the temperature: what is left of film, friction and viscosity.

Little is left, so those two get few powers: a term is kept while ``2 pull + 2 root + 5 flow +
6 warmth`` powers do not exceed a degree. Square root and weights were found by trying, on machines
of one to four elements, 8 to 25 bar, with and without recirculation: half the terms that equal
weights need for the same error.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from sugarwright.errors import RangeError
from sugarwright.physics.activity import osmotic_pressure_pa
from sugarwright.plant.jit import compiled
from sugarwright.plant.least_squares import least_squares
from sugarwright.plant.membrane_machine import Machine, full_point
from sugarwright.plant.membrane_polynomial import (
    BOUNDS,
    SCALES,
    TERMS,
    Floats,
    coordinates,
    inside,
    map_point,
    powers,
)

__all__ = ["Machine", "MembraneMap", "build_map", "inside", "map_point"]

Range = tuple[float, float]
Box = tuple[Range, Range, Range, Range]

ERROR_LIMIT_FRACTION = 0.002
SPANS = (
    ((0.5, 8.0), (0.0, 25.0), (0.3, 1.25)),
    ((1.0, 5.0), (0.0, 15.0), (0.5, 1.1)),
)
"""Brix, temperature [°C] and condition of a map; the second where the first cannot be fitted."""

_OSMOTIC_SHARE = 0.75  # the map ends where the sap's own osmotic pressure takes this of the gauge's
_PERMEATE_DEGREES = (16, 18, 20)  # the first that is good enough
_PASSED_DEGREE = 12
_MARGIN = 0.8  # of the limit, because the points checked are not all the points there are
_LEAST_KG_S = 1e-300  # a perfect membrane passes no sugar, and none has no logarithm
_FIT_POINTS, _CHECK_POINTS = 500, 200


class Sample(NamedTuple):
    """Points (flow, brix, temperature, condition) and the full model's two flows [kg/s] there."""

    points: Floats
    flows_kg_s: Floats


@dataclass(frozen=True)
class MembraneMap:
    """An operating map and what it was found to be worth.

    Parameters
    ----------
    machine : the machine that it is for
    flow_m3_s, brix, temperature_c, condition_fraction : low and high end of what it spans
    error_fraction : greatest error of permeate at points that it was not fitted to
    passed_error_fraction : the same of the sugar that passes
    coefficients : what :func:`inside` and :func:`map_point` read
    """

    machine: Machine
    flow_m3_s: Range
    brix: Range
    temperature_c: Range
    condition_fraction: Range
    error_fraction: float
    passed_error_fraction: float
    coefficients: Floats = field(repr=False)

    @property
    def usable(self) -> bool:
        """Whether it is good enough to be read; if not, nothing is inside of it."""
        return self.error_fraction <= ERROR_LIMIT_FRACTION

    def point(
        self, flow_m3_s: float, brix: float, temperature_c: float, condition_fraction: float
    ) -> tuple[float, float]:
        """Return permeate and the sugar in it [kg/s], from the map or, outside, the full model."""
        where = (flow_m3_s, brix, temperature_c, condition_fraction)
        if inside(self.coefficients, *where):
            return map_point(self.coefficients, *where)
        full = full_point(self.machine, *where)
        return full.permeate_kg_s, full.permeate_sugar_kg_s


def build_map(machine: tuple[float, ...], flow_range_m3_s: Range) -> MembraneMap:
    """Fit the operating map of a machine.

    Parameters
    ----------
    machine : what is fixed of it, in the order of :class:`Machine`
    flow_range_m3_s : least and greatest setting of the concentrate valve [m³/s]

    Returns
    -------
    MembraneMap. Its ``brix`` ends where the sap's osmotic pressure, at the warm end, takes three
    quarters of the gauge pressure. For a machine with far too much membrane for its flow no map is
    good enough; one is returned that says so (``usable``) and holds no point.

    Raises
    ------
    RangeError : the flows are not a range, or the pressure hardly lifts water out of sap
    """
    known = Machine(*machine)
    for span in SPANS:
        found = _fit(known, _box(known, flow_range_m3_s, span))
        if found.usable:
            return found
    found.coefficients[BOUNDS:SCALES] = np.nan
    return found


def _fit(machine: Machine, box: Box) -> MembraneMap:
    """Fit a box with the least degree that does."""
    fitted = _sample(machine, box, np.concatenate([_spread(_FIT_POINTS), _grid()]))
    checked = _sample(machine, box, _spread(_CHECK_POINTS, _FIT_POINTS))
    passed = _polynomial(fitted.points, fitted.flows_kg_s[:, 1], _PASSED_DEGREE)
    for degree in _PERMEATE_DEGREES:
        permeate = _polynomial(fitted.points, fitted.flows_kg_s[:, 0], degree)
        degrees = (degree, TERMS, _PASSED_DEGREE, TERMS + len(permeate))
        head = (np.ravel(box), _scales(fitted.points), degrees)
        coefficients = np.concatenate([*head, permeate, passed])
        permeate_error, passed_error = _errors(coefficients, checked)
        if permeate_error <= _MARGIN * ERROR_LIMIT_FRACTION:
            break
    return MembraneMap(machine, *box, permeate_error, passed_error, coefficients)


def _box(machine: Machine, flow_range_m3_s: Range, span: tuple[Range, Range, Range]) -> Box:
    least, greatest = flow_range_m3_s
    if not 0.0 < least < greatest:
        raise RangeError(
            "flow_range_m3_s", flow_range_m3_s, "is no range of flows", "0 < least < greatest"
        )
    (low, high), temperatures, conditions = span
    share_pa = _OSMOTIC_SHARE * machine.exit_pressure_pa
    strengths = np.arange(low, high + 0.01, 0.1)
    kept = [b for b in strengths.tolist() if osmotic_pressure_pa(b, temperatures[1]) <= share_pa]
    if len(kept) < 2:
        raise RangeError(
            "exit_pressure_pa",
            machine.exit_pressure_pa,
            f"hardly exceeds the osmotic pressure of sap of {low} Brix",
            "some 1 bar or more",
        )
    return (least, greatest), (low, kept[-1]), temperatures, conditions


def _spread(count: int, first: int = 0) -> Floats:
    """Points in the box -1..1, denser towards its sides, always the same.

    An additive recurrence: multiples of the powers of 1/g, g the positive root of g^5 = g + 1,
    without their whole parts, fill a box evenly; the cosine then crowds them as Chebyshev's are.
    """
    root = 1.1673039782614187
    numbers = np.arange(first + 1.0, first + count + 1.0)
    return -np.cos(np.pi * ((0.5 + np.outer(numbers, root ** -np.arange(1.0, 5.0))) % 1.0))


def _grid() -> Floats:
    """Corners, middles of edges and faces, and the middle: where a fit left alone strays first."""
    return np.array(list(itertools.product((-1.0, 0.0, 1.0), repeat=4)))


def _sample(machine: Machine, box: Box, scaled: Floats) -> Sample:
    """Ask the full model at points of a box; flow is spread by its logarithm, brix by its root."""
    ends = np.array(box)
    ends[0], ends[1] = np.log(ends[0]), np.sqrt(ends[1])
    points = ends[:, 0] + 0.5 * (1.0 + scaled) * (ends[:, 1] - ends[:, 0])
    points[:, 0], points[:, 1] = np.exp(points[:, 0]), points[:, 1] ** 2
    found = [full_point(machine, *point) for point in points.tolist()]
    flows = [(full.permeate_kg_s, full.permeate_sugar_kg_s) for full in found]
    return Sample(points, np.array(flows))


def _ends(points: Floats) -> tuple[Floats, Floats, Floats]:
    """Coordinates of points, and the middle and half-width of each."""
    raw = np.array([coordinates(*point) for point in points.tolist()])
    low, high = raw.min(axis=0), raw.max(axis=0)
    return raw, 0.5 * (low + high), 0.5 * (high - low)


def _scales(points: Floats) -> Floats:
    _, middle, half = _ends(points)
    return np.column_stack([middle, 1.0 / half]).ravel()


def _polynomial(points: Floats, flows_kg_s: Floats, degree: int) -> Floats:
    """Fit the logarithm of a flow by least squares."""
    raw, middle, half = _ends(points)
    terms = np.array(list(powers(degree)))
    scaled = ((raw - middle) / half)[:, None, :] ** np.arange(terms.max() + 1.0)[:, None]
    matrix = np.prod(scaled[:, terms, np.arange(4)], axis=2)
    target = np.log(np.maximum(flows_kg_s, _LEAST_KG_S))
    return _solver()(matrix, target)


@functools.cache
def _solver() -> Callable[[Floats, Floats], Floats]:
    return compiled(least_squares)


def _errors(coefficients: Floats, sample: Sample) -> tuple[float, float]:
    """Greatest error of permeate and of passed sugar, as fractions of them."""
    read = np.array([map_point(coefficients, *point) for point in sample.points.tolist()])
    # What never makes a kilogram is nothing: a perfect membrane's error is 0, not 0/0.
    read[read < 1e-20] = 0.0
    least = np.maximum(sample.flows_kg_s, 1e-20)
    permeate, passed = (np.abs(read - sample.flows_kg_s) / least).max(axis=0).tolist()
    return permeate, passed
