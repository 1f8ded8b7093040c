"""The membrane inside the simulator: its operating map, and water and sugar that balance."""

from __future__ import annotations

from sugarwright.physics.membrane import operating_point
from sugarwright.plant import layout as at
from sugarwright.plant.membrane_map import inside, map_point
from sugarwright.plant.tank_kernel import Floats, sugar_fraction

Streams = tuple[float, float, float, float, float, float]


def membrane_streams(p: Floats, coefficients: Floats, x: Floats, flow_m3_s: float) -> Streams:
    """Water and sugar of feed, permeate and concentrate, kg/s; zeros when the membrane is off.

    Permeate comes from the operating map, or from the full model where the map does not reach. The
    valve fixes the volume flow of concentrate; the rest follows from the balances.
    """
    if p[at.HAS_MEMBRANE] <= 0.0 or x[at.MEMBRANE_ON] <= 0.0 or flow_m3_s <= 0.0:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    fraction = sugar_fraction(x, at.SAP)
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
    temperature_c = x[at.SAP + at.TEMPERATURE]
    if inside(coefficients, flow_m3_s, brix, temperature_c, condition):
        return map_point(coefficients, flow_m3_s, brix, temperature_c, condition)
    point = operating_point(
        brix, temperature_c, p[at.GEOMETRY], flow_m3_s, p[at.GEOMETRY + 1],
        int(p[at.GEOMETRY + 2]), int(p[at.GEOMETRY + 3]), p[at.GEOMETRY + 4], p[at.GEOMETRY + 5],
        p[at.GEOMETRY + 6], p[at.GEOMETRY + 7], p[at.GEOMETRY + 8], p[at.GEOMETRY + 9], condition,
        p[at.GEOMETRY + 10], p[at.GEOMETRY + 11], int(p[at.GEOMETRY + 12]),
    )  # fmt: skip
    return point.permeate_kg_s, point.permeate_sugar_kg_s
