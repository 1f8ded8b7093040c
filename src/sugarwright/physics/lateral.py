"""One lateral of gravity tubing: the vacuum at each of its taps.

Taps sit along a line that falls evenly to its end. Below each tap the line carries the flow of all
taps above it, so friction gathers towards the end, and the topmost tap has both the greatest drop
and all of the friction.
"""

from __future__ import annotations

import math

from sugarwright.physics.gravity import natural_vacuum_pa
from sugarwright.physics.hydraulics import friction_head_m
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.transport import viscosity_pa_s
from sugarwright.physics.valid import valid

PLASTIC_ROUGHNESS_M = 1.5e-6
"""Wall of drawn plastic tube, common handbook value (from memory); it hardly matters here."""


@valid(
    tap=(1, 200),
    taps=(1, 200),
    spacing_m=(0.0, 100.0),
    lead_m=(0.0, 500.0),
    slope=(0.0, 1.0),
    tap_flow_m3_s=(0.0, 1e-5),
    diameter_m=(3e-3, 0.05),
    filled_fraction=(0.0, 1.0),
    brix=(0.0, 10.0),
    temperature_c=(0.0, 25.0),
    ambient_pressure_pa=(50e3, 115e3),
)
def lateral_vacuum_pa(
    tap: int,
    taps: int,
    spacing_m: float,
    lead_m: float,
    slope: float,
    tap_flow_m3_s: float,
    diameter_m: float,
    filled_fraction: float,
    brix: float,
    temperature_c: float,
    ambient_pressure_pa: float,
) -> float:
    """Compute the natural vacuum at one tap of a lateral.

    Parameters
    ----------
    tap : which one, counted from the lower end, 1 to ``taps``
    taps : number of taps on the line
    spacing_m : line from one tap to the next [m]
    lead_m : line from the lowest tap to the end, where it opens to air or to a main line [m]
    slope : drop by length of the line (0.1 for 10 %), even all along
    tap_flow_m3_s : sap that each tap gives [m³/s]
    diameter_m : inside diameter [m]: 4.76e-3 for 3/16 in tubing
    filled_fraction : share of the drop that is liquid and not gas, 0.5 to 1: 0.8 is a guess
    brix : strength of the sap [mass percent]
    temperature_c : temperature of the sap [°C]
    ambient_pressure_pa : air pressure [Pa]

    Returns
    -------
    Pressure below the air's at that tap [Pa]; 0 where friction takes up the whole drop, and then
    sap backs up towards the taps.

    Raises
    ------
    RangeError : a value outside its range, or a tap that is not on the line

    Notes
    -----
    :func:`sugarwright.physics.gravity.natural_vacuum_pa` with the friction of each stretch below
    the tap (:func:`sugarwright.physics.hydraulics.friction_head_m`). Leaks, fittings and sags are
    not in it. Where the line is not full it carries its flow by gas and liquid in turn; what that
    leaves of the pull is ``filled_fraction``.

    Examples
    --------
    The top of 25 taps, 5 m apart on 10 %, 0.2 US gal/h each, in inches of mercury:

    >>> flow = 0.2 * 3.785412e-3 / 3600.0
    >>> line = (25, 5.0, 10.0, 0.10, flow, 4.7625e-3)
    >>> round(lateral_vacuum_pa(25, *line, 1.0, 2.0, 4.0, 101325.0) / 3386.389, 1)
    23.4
    """
    if tap > taps:
        return math.nan
    density = density_kg_m3(brix, temperature_c)
    viscosity = viscosity_pa_s(brix, temperature_c)
    lost_m = 0.0
    for below in range(1, tap + 1):
        length_m = lead_m if below == 1 else spacing_m
        flow_m3_s = (taps - below + 1) * tap_flow_m3_s
        lost_m += friction_head_m(
            flow_m3_s, diameter_m, length_m, PLASTIC_ROUGHNESS_M, density, viscosity
        )
    drop_m = slope * (lead_m + (tap - 1) * spacing_m)
    return natural_vacuum_pa(drop_m, filled_fraction, lost_m, ambient_pressure_pa, temperature_c)
