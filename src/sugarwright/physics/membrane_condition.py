"""What is left of a membrane: the clean-water test, fouling, rinse and wash.

Condition is the water permeability now by that of the new membrane, both at the same temperature.
With permeate instead of sap there is no osmotic pressure, so that flow by pressure tells it.
"""

from __future__ import annotations

import math

from sugarwright.physics.membrane_channel import permeability_at
from sugarwright.physics.valid import valid
from sugarwright.physics.water import ZERO_CELSIUS_K

TEMPERATURE_EXPONENT_K = 3020.0
"""How permeability follows temperature below 25 °C, see ``permeability_at``."""


@valid(flow_m3_s=(0.0, 1.0), temperature_c=(-5.0, 60.0), reference_temperature_c=(-5.0, 60.0))
def flow_at_temperature_m3_s(
    flow_m3_s: float, temperature_c: float, reference_temperature_c: float
) -> float:
    """Compute the permeate that a clean-water test would have given at another temperature.

    Parameters
    ----------
    flow_m3_s : permeate measured [m³/s]
    temperature_c : of the water that it was measured with [°C]
    reference_temperature_c : temperature to carry it to [°C]

    Returns
    -------
    Permeate at the reference temperature and the same pressure [m³/s].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Ratio of :func:`~sugarwright.physics.membrane_channel.permeability_at`.

    Examples
    --------
    A test at 5 °C beside a rating at 55 °F (12.78 °C): a third more.

    >>> round(flow_at_temperature_m3_s(1.0, 5.0, 12.78), 3)
    1.344
    """
    factor = permeability_at(1.0, reference_temperature_c) / permeability_at(1.0, temperature_c)
    return flow_m3_s * factor


@valid(
    feed_pressure_pa=(0.0, 1e8),
    pressure_drop_pa=(0.0, 1e7),
    permeate_pressure_pa=(0.0, 1e7),
    osmotic_pressure_pa=(0.0, 1e8),
)
def net_pressure_pa(
    feed_pressure_pa: float,
    pressure_drop_pa: float,
    permeate_pressure_pa: float,
    osmotic_pressure_pa: float,
) -> float:
    """Compute the pressure that is left to drive water through a membrane.

    Parameters
    ----------
    feed_pressure_pa : gauge pressure at the inlet [Pa]
    pressure_drop_pa : from the inlet to the concentrate end [Pa]
    permeate_pressure_pa : gauge pressure of the permeate [Pa]
    osmotic_pressure_pa : mean along the membrane less that of the permeate; 0 with water [Pa]

    Returns
    -------
    Net driving pressure [Pa]; not positive when nothing is left.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    As in the practice of ASTM D4516, "Standardizing Reverse Osmosis Performance Data".

    Examples
    --------
    >>> net_pressure_pa(5.4e5, 0.8e5, 0.0, 0.0)
    500000.0
    """
    mean_pa = feed_pressure_pa - 0.5 * pressure_drop_pa
    return mean_pa - permeate_pressure_pa - osmotic_pressure_pa


@valid(
    permeate_flow_m3_s=(0.0, 1.0),
    net_pressure_pa=(1e4, 1e8),
    temperature_c=(0.0, 45.0),
    area_m2=(0.05, 5000.0),
    permeability_25_m_s_pa=(1e-13, 1e-10),
)
def condition_from_permeate(
    permeate_flow_m3_s: float,
    net_pressure_pa: float,
    temperature_c: float,
    area_m2: float,
    permeability_25_m_s_pa: float,
) -> float:
    """Compute a membrane's condition from what it lets through.

    Parameters
    ----------
    permeate_flow_m3_s : measured, whole machine [m³/s]
    net_pressure_pa : driving it, see :func:`net_pressure_pa` [Pa]
    temperature_c : of the water [°C]
    area_m2 : of all elements together [m²]
    permeability_25_m_s_pa : of the new membrane at 25 °C [m/(s Pa)]

    Returns
    -------
    Condition as a fraction of new.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Permeate / (area x permeability at the temperature x net pressure).

    Examples
    --------
    Two 2.5-inch elements of 5 L/(m² h bar), 5 bar, 5 °C, 15 US gal/h:

    >>> flow = 15.0 * 3.785411784e-3 / 3600
    >>> round(condition_from_permeate(flow, 5e5, 5.0, 5.2, 5e-8 / 3600), 2)
    0.9
    """
    as_new = area_m2 * permeability_at(permeability_25_m_s_pa, temperature_c) * net_pressure_pa
    return permeate_flow_m3_s / as_new


@valid(
    condition_fraction=(0.0, 10.0),
    flow_sd_fraction=(0.0, 1.0),
    net_pressure_pa=(1e4, 1e8),
    pressure_sd_pa=(0.0, 1e7),
    temperature_c=(0.0, 45.0),
    temperature_sd_k=(0.0, 20.0),
)
def condition_sd_fraction(
    condition_fraction: float,
    flow_sd_fraction: float,
    net_pressure_pa: float,
    pressure_sd_pa: float,
    temperature_c: float,
    temperature_sd_k: float,
) -> float:
    """Compute how sure a condition is, from how well its test was read.

    Parameters
    ----------
    condition_fraction : found by :func:`condition_from_permeate`
    flow_sd_fraction : standard deviation of the permeate, as a part of it
    net_pressure_pa, pressure_sd_pa : net pressure and the standard deviation of the gauge [Pa]
    temperature_c, temperature_sd_k : of the water, and the thermometer's standard deviation [K]

    Returns
    -------
    Standard deviation of the condition, as the condition itself, a fraction of new.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Independent errors to first order: relative ones of flow and pressure, and U/T² for each kelvin.
    What is not known of area and new permeability is common to all tests of one machine and drops
    out when they are compared; it is not in here.

    Examples
    --------
    A thermometer one kelvin off is 3.9 % of the condition at 5 °C:

    >>> round(condition_sd_fraction(1.0, 0.0, 5e5, 0.0, 5.0, 1.0), 3)
    0.039
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    by_pressure = pressure_sd_pa / net_pressure_pa
    by_warmth = TEMPERATURE_EXPONENT_K / (kelvin * kelvin) * temperature_sd_k
    squares = flow_sd_fraction * flow_sd_fraction + by_pressure * by_pressure
    return condition_fraction * math.sqrt(squares + by_warmth * by_warmth)


@valid(condition_fraction=(0.0, 2.0), loss_per_hour_fraction=(0.0, 0.99), duration_s=(0.0, 1e8))
def fouled_condition(
    condition_fraction: float, loss_per_hour_fraction: float, duration_s: float
) -> float:
    """Compute what running leaves of a membrane's condition.

    Parameters
    ----------
    condition_fraction : at the beginning
    loss_per_hour_fraction : share of the permeability lost in an hour of running
    duration_s : running time [s]

    Returns
    -------
    Condition at the end.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    The same share every hour. No measured decline with maple sap was found (judgement: 1 % an hour
    within a factor of 2.5); the log of a house says it.

    Examples
    --------
    >>> round(fouled_condition(1.0, 0.01, 10 * 3600.0), 3)
    0.904
    """
    return condition_fraction * math.pow(1.0 - loss_per_hour_fraction, duration_s / 3600.0)


@valid(condition_fraction=(0.0, 1.0), recovery_fraction=(0.0, 1.0))
def recovered_condition(condition_fraction: float, recovery_fraction: float) -> float:
    """Compute what a rinse or a wash brings back.

    Parameters
    ----------
    condition_fraction : before, against what a perfect wash would give
    recovery_fraction : part of what was lost that comes back; judgement: a rinse 0.4, a wash 0.9

    Returns
    -------
    Condition after it, against the same.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    c + r (1 - c). That one wash may not be enough after much pressure was seen with dairy fluids.

    Examples
    --------
    >>> round(recovered_condition(0.8, 0.9), 2)
    0.98
    """
    return condition_fraction + recovery_fraction * (1.0 - condition_fraction)
