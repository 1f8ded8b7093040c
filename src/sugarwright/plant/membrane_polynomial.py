"""Reading the membrane's operating map: the polynomials that stand in the simulator's step.

:mod:`sugarwright.plant.membrane_map` says what they are and fits them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from sugarwright.physics.membrane_channel import permeability_at

Floats = npt.NDArray[np.float64]
Four = tuple[float, float, float, float]

# What a map's coefficients hold: low and high of flow, brix, temperature and condition; middle and
# inverse half-width of pull, root, flow and warmth; degree and place of each polynomial; the terms.
BOUNDS, SCALES, PERMEATE, PASSED, TERMS = 0, 8, 16, 18, 20


def inside(
    coefficients: Floats,
    flow_m3_s: float,
    brix: float,
    temperature_c: float,
    condition_fraction: float,
) -> bool:
    """Tell whether a point lies in the map's box; arguments as for :func:`map_point`."""
    c = coefficients
    return bool(
        c[BOUNDS] <= flow_m3_s <= c[BOUNDS + 1]
        and c[BOUNDS + 2] <= brix <= c[BOUNDS + 3]
        and c[BOUNDS + 4] <= temperature_c <= c[BOUNDS + 5]
        and c[BOUNDS + 6] <= condition_fraction <= c[BOUNDS + 7]
    )


def map_point(
    coefficients: Floats,
    flow_m3_s: float,
    brix: float,
    temperature_c: float,
    condition_fraction: float,
) -> tuple[float, float]:
    """Read the map at a point, which must lie inside it.

    Parameters
    ----------
    coefficients : of a ``MembraneMap``
    flow_m3_s : concentrate flow of the whole machine [m³/s]
    brix, temperature_c : strength and temperature of the feed [mass percent, °C]
    condition_fraction : what is left of the new permeability

    Returns
    -------
    Permeate, and the sugar in it [kg/s].
    """
    logs = map_logs(coefficients, flow_m3_s, brix, temperature_c, condition_fraction)
    return math.exp(logs[0]), math.exp(logs[1])


def map_logs(
    coefficients: Floats,
    flow_m3_s: float,
    brix: float,
    temperature_c: float,
    condition_fraction: float,
) -> tuple[float, float]:
    """Read the natural logarithms of both flows, kg/s; arguments as for :func:`map_point`."""
    c = coefficients
    pull, root, flow, warmth = coordinates(flow_m3_s, brix, temperature_c, condition_fraction)
    at = (
        (pull - c[SCALES]) * c[SCALES + 1],
        (root - c[SCALES + 2]) * c[SCALES + 3],
        (flow - c[SCALES + 4]) * c[SCALES + 5],
        (warmth - c[SCALES + 6]) * c[SCALES + 7],
    )
    ln_permeate = series(c, int(c[PERMEATE + 1]), int(c[PERMEATE]), at)
    ln_passed = series(c, int(c[PASSED + 1]), int(c[PASSED]), at)
    return ln_permeate, ln_passed


def coordinates(
    flow_m3_s: float, brix: float, temperature_c: float, condition_fraction: float
) -> Four:
    """Return pull, root, flow and warmth, not yet scaled."""
    ln_flow = math.log(flow_m3_s)
    pull = math.log(condition_fraction * permeability_at(1.0, temperature_c)) - ln_flow
    return pull, math.sqrt(brix), ln_flow, temperature_c


def series(c: Floats, start: int, degree: int, at: Four) -> float:
    """Sum the polynomial whose terms begin at a place of the coefficients (Horner, four deep).

    The innermost sum runs over even and odd powers side by side: a processor works on both at once.
    """
    pull, root, flow, warmth = at
    square = pull * pull
    place = start
    total = 0.0
    for i in range(degree // 6, -1, -1):
        by_flow = 0.0
        for j in range((degree - 6 * i) // 5, -1, -1):
            rest = (degree - 6 * i - 5 * j) // 2
            by_root = 0.0
            for k in range(rest, -1, -1):
                odd, even = 0.0, 0.0
                for _ in range((rest - k) // 2 + 1):
                    odd = odd * square + c[place]
                    even = even * square + c[place + 1]
                    place += 2
                by_root = by_root * root + (odd * pull + even)
            by_flow = by_flow * flow + by_root
        total = total * warmth + by_flow
    return total


def powers(degree: int) -> Iterator[tuple[int, int, int, int]]:
    """Yield the powers (pull, root, flow, warmth) of the terms of a degree, as they are stored."""
    for i in range(degree // 6, -1, -1):
        for j in range((degree - 6 * i) // 5, -1, -1):
            rest = (degree - 6 * i - 5 * j) // 2
            for k in range(rest, -1, -1):
                for pull in range(2 * ((rest - k) // 2) + 1, -1, -1):
                    yield pull, k, j, i
