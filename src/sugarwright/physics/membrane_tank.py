"""A tank worked off by the membrane: once through, or round and round until it is strong enough."""

from __future__ import annotations

import math
from typing import NamedTuple

from sugarwright.physics.activity import osmotic_pressure_pa
from sugarwright.physics.membrane_built import Built, point_of
from sugarwright.physics.membrane_pump import pump_power_w
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.valid import valid

_STEPS = 8


class WorkedOff(NamedTuple):
    """What a tank of sap became, and what that took."""

    duration_s: float
    energy_j: float
    concentrate_brix: float
    concentrate_kg: float
    permeate_kg: float
    permeate_sugar_kg: float


@valid(
    volume_m3=(1e-6, 1e4),
    feed_brix=(0.05, 30.0),
    temperature_c=(0.0, 45.0),
    exit_pressure_pa=(0.0, 45e5),
    concentrate_flow_m3_s=(1e-8, 0.1),
    efficiency_fraction=(0.01, 1.0),
)
def single_pass(
    volume_m3: float,
    feed_brix: float,
    temperature_c: float,
    exit_pressure_pa: float,
    concentrate_flow_m3_s: float,
    efficiency_fraction: float,
    built: Built,
) -> WorkedOff:
    """Compute what a tank becomes when it goes through the machine once.

    Parameters
    ----------
    volume_m3 : sap in the tank [m³]
    feed_brix, temperature_c : of the sap [mass percent, °C]
    exit_pressure_pa, concentrate_flow_m3_s : the setting [Pa, m³/s]
    efficiency_fraction : of pump and motor together
    built : the machine; its condition stays as it is

    Returns
    -------
    WorkedOff, with the energy [J] that its pumps draw.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    One operating point for as long as the tank lasts at its feed.

    Examples
    --------
    >>> gal, gal_h = 3.785411784e-3, 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> done = single_pass(100 * gal, 2.0, 5.0, 8.3e5, 24 * gal_h, 0.5, Built(0.0, 2, 1, *leaf))
    >>> round(done.duration_s / 3600, 2), round(done.concentrate_brix, 2)
    (2.35, 3.52)
    """
    point = point_of(feed_brix, temperature_c, exit_pressure_pa, concentrate_flow_m3_s, built)
    feed_m3_s = point.feed_kg_s / density_kg_m3(feed_brix, temperature_c)
    duration_s = volume_m3 / feed_m3_s
    power_w = pump_power_w(
        feed_m3_s,
        point.inlet_pressure_pa,
        built.recirculation_flow_m3_s,
        exit_pressure_pa,
        efficiency_fraction,
    )
    return WorkedOff(
        duration_s,
        power_w * duration_s,
        point.concentrate_brix,
        point.concentrate_kg_s * duration_s,
        point.permeate_kg_s * duration_s,
        point.permeate_sugar_kg_s * duration_s,
    )


@valid(
    volume_m3=(1e-6, 1e4),
    feed_brix=(0.05, 30.0),
    wanted_brix=(0.05, 30.0),
    temperature_c=(0.0, 45.0),
    exit_pressure_pa=(0.0, 45e5),
    concentrate_flow_m3_s=(1e-8, 0.1),
    efficiency_fraction=(0.01, 1.0),
)
def batch(
    volume_m3: float,
    feed_brix: float,
    wanted_brix: float,
    temperature_c: float,
    exit_pressure_pa: float,
    concentrate_flow_m3_s: float,
    efficiency_fraction: float,
    built: Built,
) -> WorkedOff:
    """Compute how long a tank goes round through the machine, back into itself, to a strength.

    Parameters
    ----------
    volume_m3 : sap in the tank [m³]
    feed_brix, wanted_brix : its strength now, and at the end [mass percent]
    temperature_c : of the sap [°C]
    exit_pressure_pa, concentrate_flow_m3_s : the setting [Pa, m³/s]
    efficiency_fraction : of pump and motor together
    built : the machine; its condition stays as it is

    Returns
    -------
    WorkedOff; the concentrate is what is in the tank at the end. Where the strength wanted is below
    that of the sap, or its osmotic pressure above the gauge's, the duration is infinite and nothing
    is worked off.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    The tank is stirred by what comes back. Only permeate leaves: dM = -p dt and d(M b) = -p c dt
    with p its flow and c its strength, so that over the strength b of the tank, in which p and c
    are known, d(ln M)/db = -1/(b - c) (Rayleigh's law) and dt/db = M / (p (b - c)). Simpson's rule
    in eight steps of equal ratio of strength. What the pumps warm the tank by is left out.

    Examples
    --------
    >>> gal, gal_h = 3.785411784e-3, 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> machine = Built(0.0, 2, 1, *leaf)
    >>> done = batch(100 * gal, 2.0, 6.0, 5.0, 10e5, 60 * gal_h, 0.5, machine)
    >>> round(done.duration_s / 3600, 1), round(done.concentrate_kg)
    (3.3, 127)
    """
    reached = osmotic_pressure_pa(wanted_brix, temperature_c) < exit_pressure_pa
    if wanted_brix < feed_brix or not reached:
        return WorkedOff(math.inf, math.inf, feed_brix, 0.0, 0.0, 0.0)
    setting = (temperature_c, exit_pressure_pa, concentrate_flow_m3_s, efficiency_fraction)
    start_kg = volume_m3 * density_kg_m3(feed_brix, temperature_c)
    mass_kg, duration_s, energy_j = start_kg, 0.0, 0.0
    ratio = math.pow(wanted_brix / feed_brix, 1.0 / _STEPS)
    brix = feed_brix
    shrinking, slowness, power_w = _rates(brix, setting, built)
    for _ in range(_STEPS):
        step = brix * (ratio - 1.0)
        middle = _rates(brix + 0.5 * step, setting, built)
        end = _rates(brix + step, setting, built)
        # The time needs M half a step on as well: from the parabola through the three slopes.
        whole = -step / 6.0 * (shrinking + 4.0 * middle[0] + end[0])
        half = -step / 24.0 * (5.0 * shrinking + 8.0 * middle[0] - end[0])
        masses = (mass_kg, mass_kg * math.exp(half), mass_kg * math.exp(whole))
        times = (masses[0] * slowness, masses[1] * middle[1], masses[2] * end[1])
        duration_s += step / 6.0 * (times[0] + 4.0 * times[1] + times[2])
        energy_j += (
            step / 6.0 * (times[0] * power_w + 4.0 * times[1] * middle[2] + times[2] * end[2])
        )
        mass_kg = masses[2]
        brix += step
        shrinking, slowness, power_w = end
    passed_kg = 0.01 * (start_kg * feed_brix - mass_kg * brix)
    return WorkedOff(duration_s, energy_j, brix, mass_kg, start_kg - mass_kg, passed_kg)


def _rates(
    brix: float, setting: tuple[float, float, float, float], built: Built
) -> tuple[float, float, float]:
    """Compute -d(ln M)/db [1/Brix], dt/db by M [s/Brix] and the power drawn [W] at a strength."""
    temperature_c, pressure_pa, flow_m3_s, efficiency_fraction = setting
    point = point_of(brix, temperature_c, pressure_pa, flow_m3_s, built)
    if point.permeate_kg_s <= 0.0:
        return 0.0, math.inf, 0.0
    kept = brix - 100.0 * point.permeate_sugar_kg_s / point.permeate_kg_s
    feed_m3_s = point.feed_kg_s / density_kg_m3(brix, temperature_c)
    power_w = pump_power_w(
        feed_m3_s,
        point.inlet_pressure_pa,
        built.recirculation_flow_m3_s,
        pressure_pa,
        efficiency_fraction,
    )
    return 1.0 / kept, 1.0 / (kept * point.permeate_kg_s), power_w
