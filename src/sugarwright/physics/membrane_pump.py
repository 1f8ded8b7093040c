"""The pump before a membrane: the flow that it gives, and the power that it takes."""

from __future__ import annotations

import math

from sugarwright.physics.valid import valid


@valid(pressure_pa=(0.0, 1e8), free_flow_m3_s=(1e-9, 1.0), shutoff_pressure_pa=(1e4, math.inf))
def pump_flow_m3_s(pressure_pa: float, free_flow_m3_s: float, shutoff_pressure_pa: float) -> float:
    """Compute the flow that a pump gives against a pressure.

    Parameters
    ----------
    pressure_pa : gauge pressure that it pumps against [Pa]
    free_flow_m3_s : flow against no pressure [m³/s]
    shutoff_pressure_pa : pressure at which nothing flows any more [Pa]; infinite for a pump of
        fixed displacement (plunger, vane), whose flow no pressure changes

    Returns
    -------
    Flow [m³/s]; 0 from the shut-off pressure on.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Parabola through the two figures that a pump's plate gives, p = p0 (1 - (Q/Q0)²): the usual
    first form of a centrifugal pump's curve. A fixed displacement leaves slip out.

    Examples
    --------
    >>> pump_flow_m3_s(7.5e5, 1e-4, 10e5), pump_flow_m3_s(7.5e5, 1e-4, math.inf)
    (5e-05, 0.0001)
    """
    return free_flow_m3_s * math.sqrt(max(0.0, 1.0 - pressure_pa / shutoff_pressure_pa))


@valid(
    feed_flow_m3_s=(0.0, 1.0),
    inlet_pressure_pa=(0.0, 1e7),
    recirculation_flow_m3_s=(0.0, 1.0),
    exit_pressure_pa=(0.0, 1e7),
    efficiency_fraction=(0.01, 1.0),
)
def pump_power_w(
    feed_flow_m3_s: float,
    inlet_pressure_pa: float,
    recirculation_flow_m3_s: float,
    exit_pressure_pa: float,
    efficiency_fraction: float,
) -> float:
    """Compute the power that a membrane's pumps draw.

    Parameters
    ----------
    feed_flow_m3_s : fresh sap, raised from no pressure to that of the inlet [m³/s]
    inlet_pressure_pa : gauge pressure at the inlet [Pa]
    recirculation_flow_m3_s : flow carried from the exit back to the inlet [m³/s]
    exit_pressure_pa : gauge pressure at the exit [Pa]
    efficiency_fraction : of pump and motor together, power given to the sap by power drawn

    Returns
    -------
    Power [W], without the standing load of a motor.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Flow times pressure rise, by the efficiency.

    Examples
    --------
    43 US gal/h of sap at 8.3 bar, half of the power lost:

    >>> round(pump_power_w(43 * 3.785411784e-3 / 3600, 8.3e5, 0.0, 8.3e5, 0.5))
    75
    """
    loop_pa = inlet_pressure_pa - exit_pressure_pa
    hydraulic_w = feed_flow_m3_s * inlet_pressure_pa + recirculation_flow_m3_s * loop_pa
    return hydraulic_w / efficiency_fraction
