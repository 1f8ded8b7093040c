"""A membrane machine as one value: everything but the sap, the gauge and the valve."""

from __future__ import annotations

from typing import NamedTuple

from sugarwright.physics.membrane import MembranePoint, operating_point


class Built(NamedTuple):
    """A machine as it is built and as it is today; the words of :func:`operating_point`."""

    recirculation_flow_m3_s: float
    elements_in_series: int
    trains_in_parallel: int
    element_area_m2: float
    element_length_m: float
    spacer_height_m: float
    spacer_porosity: float
    permeability_25_m_s_pa: float
    sugar_permeability_m_s: float
    condition_fraction: float
    film_factor: float
    friction_factor_multiplier: float
    cells_per_element: int


def point_of(
    feed_brix: float,
    temperature_c: float,
    exit_pressure_pa: float,
    concentrate_flow_m3_s: float,
    built: Built,
) -> MembranePoint:
    """Compute what a machine makes of a sap at a setting; arguments as for the full formula.

    Examples
    --------
    >>> gal_h = 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> point = point_of(2.0, 5.0, 8.3e5, 24 * gal_h, Built(0.0, 2, 1, *leaf))
    >>> round(point.concentrate_brix, 2)
    3.52
    """
    return operating_point(
        feed_brix,
        temperature_c,
        exit_pressure_pa,
        concentrate_flow_m3_s,
        built.recirculation_flow_m3_s,
        built.elements_in_series,
        built.trains_in_parallel,
        built.element_area_m2,
        built.element_length_m,
        built.spacer_height_m,
        built.spacer_porosity,
        built.permeability_25_m_s_pa,
        built.sugar_permeability_m_s,
        built.condition_fraction,
        built.film_factor,
        built.friction_factor_multiplier,
        built.cells_per_element,
    )
