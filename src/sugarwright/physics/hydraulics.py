"""Lines and pumps: friction, what a pump moves, what a line holds."""

from __future__ import annotations

import math

from sugarwright.physics.valid import valid

GRAVITY_M_S2 = 9.80665
LAMINAR_REYNOLDS = 2040.0
"""Flow in a pipe is taken as laminar below this Reynolds number (Avila et al., Science 333 (2011)
192, find turbulence to sustain itself from there)."""

# Together they keep every search inside the range of the friction factor.
_LINE_RANGES = {
    "diameter_m": (3e-3, 1.0),
    "length_m": (0.0, 1e5),
    "roughness_m": (0.0, 1.5e-4),
    "density_kg_m3": (900.0, 1500.0),
    "viscosity_pa_s": (2e-4, 10.0),
}


@valid(reynolds=(0.0, 1e9), relative_roughness=(0.0, 0.05))
def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Compute the Darcy friction factor of a round pipe.

    Parameters
    ----------
    reynolds : Reynolds number; 0 has no factor and gives infinity
    relative_roughness : roughness by diameter, 0 to 0.05

    Returns
    -------
    Darcy friction factor.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Laminar 64/Re below 2040; from there Colebrook, "Turbulent flow in pipes", J. Inst. Civ. Eng. 11
    (1939) 133, solved by fixed point from Haaland's explicit form (J. Fluids Eng. 105 (1983) 89).
    Found within 1e-9 of the exact solution. The factor jumps from 0.031 to 0.049 at 2040.

    Examples
    --------
    >>> round(friction_factor(1e5, 1e-4), 7)
    0.0185139
    """
    if reynolds < LAMINAR_REYNOLDS:
        return 64.0 / reynolds if reynolds > 0.0 else math.inf
    rough = relative_roughness / 3.7
    # x = 1/sqrt(f); each step of Colebrook's equation shrinks the error some eightfold or more.
    x = -1.8 * math.log10(math.pow(rough, 1.11) + 6.9 / reynolds)
    for _ in range(12):
        x = -2.0 * math.log10(rough + 2.51 * x / reynolds)
    return 1.0 / (x * x)


@valid(flow_m3_s=(0.0, 0.1), **_LINE_RANGES)
def friction_head_m(
    flow_m3_s: float,
    diameter_m: float,
    length_m: float,
    roughness_m: float,
    density_kg_m3: float,
    viscosity_pa_s: float,
) -> float:
    """Compute the head that a flow loses to friction in a line.

    Parameters
    ----------
    flow_m3_s : flow [m³/s]
    diameter_m : inside diameter [m]
    length_m : length of the line [m]; add the equivalent length of fittings
    roughness_m : height of the wall's roughness [m], 1.5e-6 for plastic tube
    density_kg_m3 : density of the liquid [kg/m³]
    viscosity_pa_s : dynamic viscosity of the liquid [Pa s]

    Returns
    -------
    Head lost [m of the liquid].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Darcy-Weisbach with :func:`friction_factor`; Hagen-Poiseuille in laminar flow.

    Examples
    --------
    Cold sap at 5 US gal/min through 402 m of 1 in plastic tube (26.6 mm inside):

    >>> round(friction_head_m(3.1545e-4, 0.026645, 402.3, 1.5e-6, 1007.0, 1.6e-3), 2)
    7.74
    """
    if flow_m3_s <= 0.0:
        return 0.0
    speed = flow_m3_s / (0.25 * math.pi * diameter_m * diameter_m)
    reynolds = density_kg_m3 * speed * diameter_m / viscosity_pa_s
    if reynolds < LAMINAR_REYNOLDS:
        # Without the factor, which is infinite for flows too small to square.
        weight = density_kg_m3 * GRAVITY_M_S2 * diameter_m * diameter_m
        return 32.0 * viscosity_pa_s * length_m * speed / weight
    factor = friction_factor(reynolds, roughness_m / diameter_m)
    return factor * length_m / diameter_m * speed * speed / (2.0 * GRAVITY_M_S2)


@valid(flow_m3_s=(0.0, 0.1), shutoff_head_m=(0.0, 1e4), free_flow_m3_s=(1e-9, 0.1))
def pump_head_m(flow_m3_s: float, shutoff_head_m: float, free_flow_m3_s: float) -> float:
    """Compute the head that a centrifugal pump gives at a flow.

    Parameters
    ----------
    flow_m3_s : flow [m³/s]
    shutoff_head_m : head against a closed valve [m]
    free_flow_m3_s : flow against no head [m³/s]

    Returns
    -------
    Head [m]; negative beyond the free flow.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Parabola through the two figures that a pump's plate gives: H0 (1 - (Q/Qm)²).

    Examples
    --------
    >>> pump_head_m(0.5e-3, 20.0, 1e-3)
    15.0
    """
    share = flow_m3_s / free_flow_m3_s
    return shutoff_head_m * (1.0 - share * share)


@valid(
    shutoff_head_m=(0.0, 1e4),
    free_flow_m3_s=(1e-9, 0.1),
    static_head_m=(-1e3, 1e4),
    **_LINE_RANGES,
)
def pumped_flow_m3_s(
    shutoff_head_m: float,
    free_flow_m3_s: float,
    static_head_m: float,
    diameter_m: float,
    length_m: float,
    roughness_m: float,
    density_kg_m3: float,
    viscosity_pa_s: float,
) -> float:
    """Compute the flow that a pump drives up a line.

    Parameters
    ----------
    shutoff_head_m : pump's head against a closed valve [m]
    free_flow_m3_s : pump's flow against no head [m³/s]
    static_head_m : height from the surface pumped from to the outlet [m]; negative downhill
    diameter_m : inside diameter of the line [m]
    length_m : length of the line [m]
    roughness_m : height of the wall's roughness [m]
    density_kg_m3 : density of the liquid [kg/m³]
    viscosity_pa_s : dynamic viscosity of the liquid [Pa s]

    Returns
    -------
    Flow [m³/s]; 0 when the pump cannot lift so high. Downhill it is at most the free flow.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Where the curve of :func:`pump_head_m` meets static head and :func:`friction_head_m`, by
    bisection to 1e-12 of the free flow. Friction jumps where flow turns turbulent; when the curves
    pass each other inside that jump the flow found is the one at its edge.

    Examples
    --------
    Pump of 60 ft and 20 US gal/min, 20 ft up 1320 ft of 1.000 in tube, in gal/min:

    >>> flow = pumped_flow_m3_s(18.288, 1.261804e-3, 6.096, 0.0254, 402.336, 1.5e-6, 1007.0, 1.6e-3)
    >>> round(flow / 6.30902e-5, 2)
    5.34
    """
    if static_head_m >= shutoff_head_m:
        return 0.0
    low, high = 0.0, free_flow_m3_s
    for _ in range(40):
        middle = 0.5 * (low + high)
        needed = static_head_m + friction_head_m(
            middle, diameter_m, length_m, roughness_m, density_kg_m3, viscosity_pa_s
        )
        if pump_head_m(middle, shutoff_head_m, free_flow_m3_s) > needed:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@valid(diameter_m=(0.0, 1.0), length_m=(0.0, 1e5))
def line_volume_m3(diameter_m: float, length_m: float) -> float:
    """Compute what a line holds: what arrives late, and what must be drained before a frost.

    Parameters
    ----------
    diameter_m : inside diameter [m]
    length_m : length [m]

    Returns
    -------
    Volume [m³].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Volume of a cylinder.

    Examples
    --------
    1320 ft of 1 in line, in US gallons:

    >>> round(line_volume_m3(0.0254, 402.336) / 3.785412e-3, 1)
    53.9
    """
    return 0.25 * math.pi * diameter_m * diameter_m * length_m
