"""A membrane machine as the plant keeps it, and the full model asked about it."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import NamedTuple

from sugarwright.physics.membrane import MembranePoint, operating_point
from sugarwright.plant.jit import compiled


class Machine(NamedTuple):
    """What is fixed of a membrane machine, in the order in which the plant keeps it."""

    exit_pressure_pa: float
    recirculation_flow_m3_s: float
    elements_in_series: float
    trains_in_parallel: float
    element_area_m2: float
    element_length_m: float
    spacer_height_m: float
    spacer_porosity: float
    permeability_25_m_s_pa: float
    sugar_permeability_m_s: float
    film_factor: float
    friction_factor_multiplier: float
    cells_per_element: float


def full_point(
    machine: Machine,
    flow_m3_s: float,
    brix: float,
    temperature_c: float,
    condition_fraction: float,
) -> MembranePoint:
    """Ask the full model, compiled, what a machine makes; arguments as for :func:`map_point`."""
    pressure_pa, recirculation, series, parallel, *leaf, film, friction, cells = machine
    fixed = (recirculation, int(series), int(parallel), *leaf)
    fitted = (condition_fraction, film, friction, int(cells))
    return _full_model()(brix, temperature_c, pressure_pa, flow_m3_s, *fixed, *fitted)


@functools.cache
def _full_model() -> Callable[..., MembranePoint]:
    return compiled(operating_point)
