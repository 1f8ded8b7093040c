"""The membrane inside the simulator: its operating map, and water and sugar that balance."""

from __future__ import annotations

import math

from sugarwright.physics.membrane import operating_point
from sugarwright.plant import layout as at
from sugarwright.plant.membrane_polynomial import inside, map_logs
from sugarwright.plant.tank_kernel import Floats, sugar_fraction

Streams = tuple[float, float, float, float, float, float]

# A point of the map and its slopes serve as long as temperature, strength and condition have hardly
# moved: they drift slowly, and the map is most of a step's arithmetic. Within these spans the
# tangent is a few parts in ten thousand off the map (tested).
NEAR_K = 1.0
NEAR_FRACTION = 0.03  # of strength and of condition
_SLOPE_K, _SLOPE_FRACTION = 0.1, 0.005  # over which slopes are taken
FLOW_AT, BRIX_AT, WARMTH_AT, CONDITION_AT = range(at.NEAR, at.NEAR + 4)
PERMEATE_AT, PASSED_AT = at.NEAR + 4, at.NEAR + 8  # ln of each at the point, then its three slopes


def membrane_feed(x: Floats) -> int:
    """The tank that the membrane draws from: sap, or stock where concentrate passes again."""
    return at.STOCK if x[at.MEMBRANE_ON] > 1.5 else at.SAP


def membrane_streams(p: Floats, coefficients: Floats, x: Floats, flow_m3_s: float) -> Streams:
    """Water and sugar of feed, permeate and concentrate, kg/s; zeros when the membrane is off.

    Permeate comes from the operating map, or from the full model where the map does not reach. The
    valve fixes the volume flow of concentrate; the rest follows from the balances.
    """
    if p[at.HAS_MEMBRANE] <= 0.0 or x[at.MEMBRANE_ON] <= 0.0 or flow_m3_s <= 0.0:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    fraction = sugar_fraction(x, membrane_feed(x))
    permeate_kg_s, passed_kg_s = _permeate(p, coefficients, x, 100.0 * fraction, flow_m3_s)
    permeate_water_kg_s = permeate_kg_s - passed_kg_s
    # sugar_c + passed = x (water_c + sugar_c + permeate), water_c and sugar_c fill the flow
    ratio = fraction / (1.0 - fraction)  # sugar to water in the feed
    owed_kg_s = ratio * permeate_water_kg_s - passed_kg_s  # sugar kept back from the permeate
    water_kg_s = (flow_m3_s - owed_kg_s * p[at.SUGAR_M3_KG]) / (
        p[at.WATER_M3_KG] + ratio * p[at.SUGAR_M3_KG]
    )
    sugar_kg_s = ratio * water_kg_s + owed_kg_s
    return (
        water_kg_s + permeate_water_kg_s,
        sugar_kg_s + passed_kg_s,
        permeate_water_kg_s,
        passed_kg_s,
        water_kg_s,
        sugar_kg_s,
    )


def _permeate(
    p: Floats, coefficients: Floats, x: Floats, brix: float, flow_m3_s: float
) -> tuple[float, float]:
    """Permeate and the sugar in it at the membrane's present condition, kg/s."""
    condition = max(0.01, x[at.CONDITION] * p[at.CONDITION_LASTING])
    temperature_c = x[membrane_feed(x) + at.TEMPERATURE]
    if inside(coefficients, flow_m3_s, brix, temperature_c, condition):
        return _near_point(coefficients, x, flow_m3_s, brix, temperature_c, condition)
    point = operating_point(
        brix, temperature_c, p[at.GEOMETRY], flow_m3_s, p[at.GEOMETRY + 1],
        int(p[at.GEOMETRY + 2]), int(p[at.GEOMETRY + 3]), p[at.GEOMETRY + 4], p[at.GEOMETRY + 5],
        p[at.GEOMETRY + 6], p[at.GEOMETRY + 7], p[at.GEOMETRY + 8], p[at.GEOMETRY + 9], condition,
        p[at.GEOMETRY + 10], p[at.GEOMETRY + 11], int(p[at.GEOMETRY + 12]),
    )  # fmt: skip
    return point.permeate_kg_s, point.permeate_sugar_kg_s


def _near_point(
    coefficients: Floats,
    x: Floats,
    flow_m3_s: float,
    brix: float,
    temperature_c: float,
    condition: float,
) -> tuple[float, float]:
    """Read the map by the tangent at a point kept in the state; a new one where that is too far."""
    near = (
        x[FLOW_AT] == flow_m3_s
        and abs(temperature_c - x[WARMTH_AT]) <= NEAR_K
        and abs(brix - x[BRIX_AT]) <= NEAR_FRACTION * brix
        and abs(condition - x[CONDITION_AT]) <= NEAR_FRACTION * condition
    )
    if not near:
        _keep_point(coefficients, x, flow_m3_s, brix, temperature_c, condition)
    d_brix, d_k = brix - x[BRIX_AT], temperature_c - x[WARMTH_AT]
    d_condition = condition - x[CONDITION_AT]
    ln_permeate = x[PERMEATE_AT] + x[PERMEATE_AT + 1] * d_brix
    ln_permeate += x[PERMEATE_AT + 2] * d_k + x[PERMEATE_AT + 3] * d_condition
    ln_passed = x[PASSED_AT] + x[PASSED_AT + 1] * d_brix
    ln_passed += x[PASSED_AT + 2] * d_k + x[PASSED_AT + 3] * d_condition
    return math.exp(ln_permeate), math.exp(ln_passed)


def _keep_point(
    coefficients: Floats,
    x: Floats,
    flow_m3_s: float,
    brix: float,
    temperature_c: float,
    condition: float,
) -> None:
    """Put a point of the map and its slopes into the state."""
    x[FLOW_AT], x[BRIX_AT] = flow_m3_s, brix
    x[WARMTH_AT], x[CONDITION_AT] = temperature_c, condition
    steps = (0.0, _SLOPE_FRACTION * brix, _SLOPE_K, _SLOPE_FRACTION * condition)
    for i in range(4):
        ln_permeate, ln_passed = map_logs(
            coefficients,
            flow_m3_s,
            brix + (steps[1] if i == 1 else 0.0),
            temperature_c + (steps[2] if i == 2 else 0.0),
            condition + (steps[3] if i == 3 else 0.0),
        )
        if i == 0:
            x[PERMEATE_AT], x[PASSED_AT] = ln_permeate, ln_passed
        else:
            x[PERMEATE_AT + i] = (ln_permeate - x[PERMEATE_AT]) / steps[i]
            x[PASSED_AT + i] = (ln_passed - x[PASSED_AT]) / steps[i]
