"""A reverse-osmosis membrane at work: what a valve setting gives.

The maker sets two things at the concentrate end: the flow through the needle valve and the pressure
on the gauge beside it. Everything else follows. The channel is marched from that end
(:mod:`~sugarwright.physics.membrane_march`), and one number is searched: the strength of the
concentrate whose own march asks for just the sap there is. Recirculation adds no unknown: it leaves
at the exit, with the concentrate's strength, and joins the fresh sap at the inlet.

Left out: minerals of the sap (some 0.1 bar of osmotic pressure) and pressure loss on the permeate
side. Temperature is the same along the train. The sugar permeability is not scaled with it: the
sugar that passes is too little to matter for Brix.
"""

from __future__ import annotations

from typing import NamedTuple

from sugarwright.physics.membrane_channel import Channel, permeability_at
from sugarwright.physics.membrane_march import march
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.valid import valid

CONCENTRATE_BRIX_MAX = 44.0
"""Osmotic pressure is 66 bar or more there, well above the gauge pressures allowed."""

_BALANCE_TOLERANCE = 1e-10
_BALANCE_ITERATIONS = 80


class MembranePoint(NamedTuple):
    """One operating point of the whole machine.

    ``feed = concentrate + permeate``, in water and in sugar. ``permeate_kg_s`` includes the little
    sugar that passes. ``solved`` is False where no strength of concentrate fits: it would exceed
    ``CONCENTRATE_BRIX_MAX``, the pressure drop along the elements outgrows every osmotic pressure,
    or there is so much membrane for so little flow that the balance hangs on the last digit. Then
    nothing is made, and the feed is the concentrate.
    """

    concentrate_brix: float
    permeate_kg_s: float
    permeate_sugar_kg_s: float
    inlet_pressure_pa: float
    feed_kg_s: float
    concentrate_kg_s: float
    solved: bool


@valid(
    feed_brix=(0.0, 30.0),
    temperature_c=(0.0, 45.0),
    exit_pressure_pa=(0.0, 45e5),
    concentrate_flow_m3_s=(1e-8, 0.1),
    recirculation_flow_m3_s=(0.0, 0.1),
    elements_in_series=(1, 24),
    trains_in_parallel=(1, 24),
    element_area_m2=(0.05, 50.0),
    element_length_m=(0.1, 3.0),
    spacer_height_m=(2e-4, 3e-3),
    spacer_porosity=(0.5, 1.0),
    permeability_25_m_s_pa=(1e-13, 1e-10),
    sugar_permeability_m_s=(0.0, 1e-5),
    condition_fraction=(0.01, 2.0),
    film_factor=(0.1, 10.0),
    friction_factor_multiplier=(0.0, 10.0),
    cells_per_element=(1, 1000),
)
def operating_point(
    feed_brix: float,
    temperature_c: float,
    exit_pressure_pa: float,
    concentrate_flow_m3_s: float,
    recirculation_flow_m3_s: float,
    elements_in_series: int,
    trains_in_parallel: int,
    element_area_m2: float,
    element_length_m: float,
    spacer_height_m: float,
    spacer_porosity: float,
    permeability_25_m_s_pa: float,
    sugar_permeability_m_s: float,
    condition_fraction: float,
    film_factor: float,
    friction_factor_multiplier: float,
    cells_per_element: int = 4,
) -> MembranePoint:
    """Compute what the membrane makes at a setting of the valve.

    Parameters
    ----------
    feed_brix : strength of the sap [mass percent]
    temperature_c : its temperature [°C]
    exit_pressure_pa : gauge pressure at the concentrate end [Pa]
    concentrate_flow_m3_s : flow through the needle valve, whole machine [m³/s]
    recirculation_flow_m3_s : flow pumped from the exit back to the inlet, whole machine [m³/s]
    elements_in_series, trains_in_parallel : arrangement
    element_area_m2, element_length_m : membrane area [m²] and active length [m] of one element
    spacer_height_m, spacer_porosity : feed spacer [m, fraction of volume that is open]
    permeability_25_m_s_pa : water permeability of the new membrane at 25 °C [m/s/Pa]
    sugar_permeability_m_s : sucrose permeability [m/s]
    condition_fraction : how much of the new permeability is left
    film_factor, friction_factor_multiplier : fitted corrections of film coefficient and friction
    cells_per_element : steps of the march; 4 are within 5e-4 of 400 in Brix and permeate

    Returns
    -------
    MembranePoint

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    The balance ``concentrate_brix = sugar kept / concentrate`` is searched by false position
    (Illinois form). It is nearly straight in the strength, so that a handful of marches do.

    Examples
    --------
    Two 2.5-inch elements at 8.3 bar, valve at 24 US gal/h, sap of 2 Brix and 5 °C:

    >>> gal_h = 3.785411784e-3 / 3600
    >>> house = (2, 1, 2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0)
    >>> point = operating_point(2.0, 5.0, 8.3e5, 24 * gal_h, 0.0, *house)
    >>> round(point.concentrate_brix, 2), round(point.permeate_kg_s * 3600, 1)
    (3.52, 70.2)
    """
    channel = Channel(
        element_area_m2 / (2.0 * element_length_m),
        spacer_height_m,
        spacer_porosity,
        permeability_at(permeability_25_m_s_pa, temperature_c) * condition_fraction,
        sugar_permeability_m_s,
        film_factor,
        friction_factor_multiplier,
        temperature_c,
    )
    valve_m3_s = concentrate_flow_m3_s / trains_in_parallel
    exit_m3_s = valve_m3_s + recirculation_flow_m3_s / trains_in_parallel
    train = (exit_pressure_pa, exit_m3_s, elements_in_series * element_length_m)
    cells = int(elements_in_series * cells_per_element)
    brix, solved = _balanced_brix(feed_brix, valve_m3_s, train, cells, channel)
    sweep = march(brix, exit_pressure_pa, exit_m3_s, train[2], cells, channel)
    passed = trains_in_parallel * sweep.permeate_sugar_kg_s
    permeate = trains_in_parallel * sweep.permeate_water_kg_s + passed
    if not solved:
        permeate, passed = 0.0, 0.0
    concentrate = concentrate_flow_m3_s * density_kg_m3(brix, temperature_c)
    return MembranePoint(
        brix,
        permeate,
        passed,
        sweep.inlet_pressure_pa,
        concentrate + permeate,
        concentrate,
        solved,
    )


def _surplus_brix(
    exit_brix: float,
    feed_brix: float,
    valve_m3_s: float,
    train: tuple[float, float, float],
    cells: int,
    channel: Channel,
) -> float:
    """Compute how much stronger than assumed the sugar fed and kept would make a concentrate."""
    pressure_pa, exit_m3_s, length_m = train
    sweep = march(exit_brix, pressure_pa, exit_m3_s, length_m, cells, channel)
    concentrate = valve_m3_s * density_kg_m3(exit_brix, channel.temperature_c)
    water, passed = sweep.permeate_water_kg_s, sweep.permeate_sugar_kg_s
    sugar_fed = 0.01 * feed_brix * (concentrate + water + passed)
    return 100.0 * (sugar_fed - passed) / concentrate - exit_brix


def _balanced_brix(
    feed_brix: float,
    valve_m3_s: float,
    train: tuple[float, float, float],
    cells: int,
    channel: Channel,
) -> tuple[float, bool]:
    """Find the strength of the concentrate whose march takes in the sap there is, and if any is.

    The sap itself is a lower bound. What it would become if its own large permeate went on is,
    viscosity aside, an upper one; where it is not, the strongest that the model holds for.
    """
    low = feed_brix
    at_low = _surplus_brix(low, feed_brix, valve_m3_s, train, cells, channel)
    if at_low <= 0.0:
        return low, True
    high = min(low + at_low, CONCENTRATE_BRIX_MAX)
    at_high = _surplus_brix(high, feed_brix, valve_m3_s, train, cells, channel)
    if at_high > 0.0:
        high = CONCENTRATE_BRIX_MAX
        at_high = _surplus_brix(high, feed_brix, valve_m3_s, train, cells, channel)
    if at_high > 0.0:
        return feed_brix, False
    last = 0
    for _ in range(_BALANCE_ITERATIONS):
        brix = (low * at_high - high * at_low) / (at_high - at_low)
        surplus = _surplus_brix(brix, feed_brix, valve_m3_s, train, cells, channel)
        if abs(surplus) <= _BALANCE_TOLERANCE * brix:
            return brix, True
        if surplus > 0.0:
            low, at_low = brix, surplus
            at_high *= 0.5 if last == 1 else 1.0
            last = 1
        else:
            high, at_high = brix, surplus
            at_low *= 0.5 if last == -1 else 1.0
            last = -1
    return feed_brix, False
