"""What a setting asks of the elements themselves: pressure drop and flow along the membrane.

Element makers state three limits, and they mean the flow inside the element: what the valve lets
out plus what goes round again, not the valve's flow alone.
"""

from __future__ import annotations

from typing import NamedTuple

from sugarwright.physics.membrane import MembranePoint
from sugarwright.physics.membrane_built import Built
from sugarwright.physics.membrane_channel import Channel, permeability_at
from sugarwright.physics.membrane_march import march
from sugarwright.physics.solution import density_kg_m3

GREATEST_DROP_PA = 1.0e5
"""Along one element: 1.0 bar (15 psi); more pushes its leaves out (element makers, from memory)."""
LEAST_SPEED_M_S, GREATEST_SPEED_M_S = 0.07, 0.40
"""Of the flow in the spacer's channel. Makers state least flows of 1 and some 3 US gal/min and
greatest feeds of 6 and 16 for elements of 2.5 and 4 inches (from memory); in their channels of 2.6
and 7.6 m² both pairs are these speeds, within a tenth, so that one rule serves any size."""


class Stress(NamedTuple):
    """How hard the elements are worked, each figure where it is worst."""

    pressure_drop_pa: float
    least_speed_m_s: float
    greatest_speed_m_s: float
    least_flow_m3_s: float
    greatest_flow_m3_s: float


def stress_of(
    point: MembranePoint,
    temperature_c: float,
    exit_pressure_pa: float,
    concentrate_flow_m3_s: float,
    built: Built,
) -> Stress:
    """Compute pressure drop and flows of a train's elements at an operating point.

    Parameters
    ----------
    point : what the machine makes there
    temperature_c : of the sap [°C]
    exit_pressure_pa, concentrate_flow_m3_s : the setting [Pa, m³/s]
    built : the machine

    Returns
    -------
    Stress: the greatest pressure drop of one element [Pa]; least and greatest speed in the channel
    [m/s] and flow along an element [m³/s], at the exit of the last and the inlet of the first.

    Notes
    -----
    Each element is marched by itself from the strength, flow and pressure at its exit.

    Examples
    --------
    24 US gal/h through a 2.5-inch element is less than half of what keeps it clean:

    >>> from sugarwright.physics.membrane_built import point_of
    >>> gal_h = 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> machine = Built(0.0, 2, 1, *leaf)
    >>> point = point_of(2.0, 5.0, 8.3e5, 24 * gal_h, machine)
    >>> stress = stress_of(point, 5.0, 8.3e5, 24 * gal_h, machine)
    >>> round(stress.pressure_drop_pa), round(stress.least_speed_m_s, 3)
    (8171, 0.028)
    """
    width_m = built.element_area_m2 / (2.0 * built.element_length_m)
    channel = Channel(
        width_m,
        built.spacer_height_m,
        built.spacer_porosity,
        permeability_at(built.permeability_25_m_s_pa, temperature_c) * built.condition_fraction,
        built.sugar_permeability_m_s,
        built.film_factor,
        built.friction_factor_multiplier,
        temperature_c,
    )
    through_m3_s = concentrate_flow_m3_s + built.recirculation_flow_m3_s
    least_m3_s = through_m3_s / built.trains_in_parallel
    brix, pressure_pa, flow_m3_s, worst_pa = (
        point.concentrate_brix,
        exit_pressure_pa,
        least_m3_s,
        0.0,
    )
    for _ in range(built.elements_in_series):
        sweep = march(
            brix, pressure_pa, flow_m3_s, built.element_length_m, built.cells_per_element, channel
        )
        worst_pa = max(worst_pa, sweep.inlet_pressure_pa - pressure_pa)
        mass_kg_s = flow_m3_s * density_kg_m3(brix, temperature_c)
        sugar_kg_s = 0.01 * brix * mass_kg_s + sweep.permeate_sugar_kg_s
        mass_kg_s += sweep.permeate_water_kg_s + sweep.permeate_sugar_kg_s
        brix = 100.0 * sugar_kg_s / mass_kg_s
        flow_m3_s = mass_kg_s / density_kg_m3(brix, temperature_c)
        pressure_pa = sweep.inlet_pressure_pa
    open_m2 = width_m * built.spacer_height_m * built.spacer_porosity
    return Stress(worst_pa, least_m3_s / open_m2, flow_m3_s / open_m2, least_m3_s, flow_m3_s)
