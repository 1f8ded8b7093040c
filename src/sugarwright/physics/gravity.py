"""Lines that run by gravity: what a full one carries down a slope, how hard it pulls at a tap."""

from __future__ import annotations

import math

from sugarwright.physics.hydraulics import GRAVITY_M_S2, LAMINAR_REYNOLDS
from sugarwright.physics.valid import valid
from sugarwright.physics.water import saturation_pressure_pa, water_density_kg_m3


@valid(
    slope=(0.0, 1.0),
    diameter_m=(3e-3, 1.0),
    roughness_m=(0.0, 1.5e-4),
    density_kg_m3=(900.0, 1500.0),
    viscosity_pa_s=(2e-4, 10.0),
)
def gravity_flow_m3_s(
    slope: float,
    diameter_m: float,
    roughness_m: float,
    density_kg_m3: float,
    viscosity_pa_s: float,
) -> float:
    """Compute the flow that a full line carries down a slope by its own weight.

    Parameters
    ----------
    slope : drop by length of the line (0.05 for 5 %), 0 to 1
    diameter_m : inside diameter [m]
    roughness_m : height of the wall's roughness [m]
    density_kg_m3 : density of the liquid [kg/m³]
    viscosity_pa_s : dynamic viscosity of the liquid [Pa s]

    Returns
    -------
    Flow at which friction takes up the whole drop [m³/s].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Hagen-Poiseuille below a Reynolds number of 2040; else Colebrook's equation, which is explicit
    in the flow when the drop is known. Between the two there is a range of slopes that neither
    answers (laminar flow would be past 2040, turbulent flow short of it): there the flow is the one
    at 2040. On 20 % a 3/16 in line is at that edge, and Poiseuille alone says 30 % too much.

    Examples
    --------
    A 3/16 in line on 10 % in US gal/h:

    >>> round(gravity_flow_m3_s(0.10, 4.7625e-3, 0.0, 1007.0, 1.6e-3) * 3600.0 / 3.785412e-3, 2)
    7.41
    """
    edge = 0.25 * math.pi * LAMINAR_REYNOLDS * diameter_m * viscosity_pa_s / density_kg_m3
    pull = density_kg_m3 * GRAVITY_M_S2 * slope
    laminar = math.pi * pull * diameter_m**4 / (128.0 * viscosity_pa_s)
    if laminar < edge:
        return laminar
    # speed times sqrt(f), known from the drop alone
    shear = math.sqrt(2.0 * GRAVITY_M_S2 * diameter_m * slope)
    thickness = 2.51 * viscosity_pa_s / (density_kg_m3 * diameter_m * shear)
    speed = -2.0 * shear * math.log10(roughness_m / (3.7 * diameter_m) + thickness)
    turbulent = 0.25 * math.pi * diameter_m * diameter_m * speed
    return turbulent if turbulent > edge else edge


@valid(
    drop_m=(0.0, 1e3),
    filled_fraction=(0.0, 1.0),
    friction_head_m=(0.0, 1e4),
    ambient_pressure_pa=(50e3, 115e3),
    temperature_c=(0.0, 40.0),
)
def natural_vacuum_pa(
    drop_m: float,
    filled_fraction: float,
    friction_head_m: float,
    ambient_pressure_pa: float,
    temperature_c: float,
) -> float:
    """Compute the vacuum that the weight of sap in a line makes at a tap.

    Parameters
    ----------
    drop_m : height of the tap above the end of its line [m]
    filled_fraction : share of the line's drop that is liquid and not gas, 0 to 1
    friction_head_m : head lost to friction below the tap [m]
    ambient_pressure_pa : air pressure [Pa]
    temperature_c : temperature of the sap [°C], 0 to 40

    Returns
    -------
    Pressure below the air's [Pa], from 0 to the point at which the sap would boil.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Hydrostatics of a hanging column of water (sap is 0.8 % heavier), cut at the vapour pressure.

    Examples
    --------
    20 ft of drop, full and at rest, in inches of mercury:

    >>> round(natural_vacuum_pa(6.096, 1.0, 0.0, 101325.0, 4.0) / 3386.389, 2)
    17.65
    """
    head_m = filled_fraction * drop_m - friction_head_m
    weight_pa = water_density_kg_m3(temperature_c) * GRAVITY_M_S2 * head_m
    limit_pa = ambient_pressure_pa - saturation_pressure_pa(temperature_c)
    return max(0.0, min(weight_pa, limit_pa))
