"""The pan: heat from a fire, water to steam, a gradient of sweetness along the compartments.

Liquid flows from the feed to the draw through compartments in series, each held at a constant mass
by its float. What boils off one is made up from the one before, so sugar wanders towards the draw
end; boiling and stirring mix some of it back. Syrup is drawn when the last compartment's boiling
point shows the density wanted.
"""

from __future__ import annotations

import math
from typing import Protocol

from sugarwright.physics.valid import valid
from sugarwright.physics.water import latent_heat_j_kg

# Dry hardwood, higher heating value, and what burning its hydrogen and boiling its water costs.
# 8600 Btu/lb is the middle of the published 8500-8660; 6 % hydrogen; 1050 Btu/lb at 77 °F.
_BTU_LB = 2326.0
DRY_WOOD_HIGHER_J_KG = 8600.0 * _BTU_LB
_WATER_FROM_HYDROGEN = 0.06 * 8.936
_HEAT_OF_WATER_J_KG = 1050.0 * _BTU_LB


class Row(Protocol):
    """Anything that holds one number for each compartment: a list, an array, a part of one."""

    def __len__(self) -> int: ...

    def __getitem__(self, index: int, /) -> float: ...

    def __setitem__(self, index: int, value: float, /) -> None: ...


@valid(heat_w=(0.0, 1e8), target_w=(0.0, 1e8), time_constant_s=(1.0, 1e6), duration_s=(0.0, 1e7))
def heat_ramp(
    heat_w: float, target_w: float, time_constant_s: float, duration_s: float
) -> tuple[float, float]:
    """Heat to the pan while a fire grows or dies: a first-order approach to its target.

    Parameters
    ----------
    heat_w : heat to the pan now, W
    target_w : heat that the fire would give when steady (0 when it is let go), W
    time_constant_s : time to cover 63 % of the way, s (light-up some 15 min, burn-down some
        30 min: common practice, no source)
    duration_s : time to look ahead, s

    Returns
    -------
    (heat at the end, W; mean heat over the time, W). Exact for any duration, so that the length of
    a simulator's step does not matter.

    Examples
    --------
    >>> end, mean = heat_ramp(0.0, 70e3, 900.0, 900.0)
    >>> round(end), round(mean)
    (44248, 25752)
    """
    if duration_s <= 0.0:
        return heat_w, heat_w
    left = math.exp(-duration_s / time_constant_s)
    gap_w = heat_w - target_w
    return target_w + gap_w * left, target_w + gap_w * time_constant_s / duration_s * (1.0 - left)


@valid(
    heat_w=(0.0, 1e8),
    boiling_point_c=(20.0, 125.0),
    feed_temperature_c=(-5.0, 125.0),
    feed_heat_capacity_j_kg_k=(1000.0, 5000.0),
)
def evaporation_kg_s(
    heat_w: float,
    boiling_point_c: float,
    feed_temperature_c: float,
    feed_heat_capacity_j_kg_k: float,
) -> float:
    """Water boiled off by a pan whose level is kept by its own feed.

    Every kilogram that leaves as steam is replaced by a kilogram of feed, which must first be
    warmed: ``E = q / (latent + c (T_boil - T_feed))`` (heat balance).

    Parameters
    ----------
    heat_w : heat reaching the liquid, W
    boiling_point_c : boiling point of the liquid at the feed end, °C
    feed_temperature_c, feed_heat_capacity_j_kg_k : of the feed

    Returns
    -------
    kg of water a second.

    Examples
    --------
    25 US gal/h of water from feed at 4 °C takes some 70 kW:

    >>> round(evaporation_kg_s(70e3, 99.97, 4.0, 4135.0) * 3600.0 / 3.785, 1)
    25.1
    """
    warming_j_kg = max(0.0, feed_heat_capacity_j_kg_k * (boiling_point_c - feed_temperature_c))
    return heat_w / (latent_heat_j_kg(boiling_point_c) + warming_j_kg)


def advance_compartments(
    sugar_kg: Row,
    mass_kg: Row,
    heat_share_fraction: Row,
    evaporated_kg_s: float,
    feed_preheat_fraction: float,
    feed_sugar_fraction: float,
    mixing_fraction: float,
    duration_s: float,
    scratch: Row,
) -> None:
    """Carry sugar along boiling compartments of constant mass for a short time.

    With flow ``F_i`` from compartment i to the next (what the later ones boil off) and strength
    ``x_i``, the sugar that passes is ``F_i x_i - k F_i (x_{i+1} - x_i)``: the stream, less what
    mixing brings back. Heun's method; sugar is moved, never made, so it balances to rounding.

    Parameters
    ----------
    sugar_kg : sugar in each compartment, kg, feed end first; **changed in place**
    mass_kg : liquid in each compartment, kg (constant)
    heat_share_fraction : share of the heat that each compartment gets (sums to 1)
    evaporated_kg_s : water boiled off by all together, kg/s; as much is fed to the first
    feed_preheat_fraction : share of the heat that warms the feed, taken from the first ones
    feed_sugar_fraction : mass fraction of sugar in the feed
    mixing_fraction : back-mixing between neighbours as a share of the flow between them
    duration_s : s; short beside mass / flow (a minute or two)
    scratch : work space of at least two values for each compartment

    Examples
    --------
    Fed at the rate at which it boils, a pan keeps all the sugar it is given:

    >>> sugar = [1.0, 2.0, 0.5]
    >>> advance_compartments(sugar, [40.0, 40.0, 5.0], [0.5, 0.4, 0.1], 0.02, 0.1, 0.02, 0.15,
    ...                      60.0, [0.0] * 6)
    >>> round(sum(sugar) - 3.5 - 0.02 * 0.02 * 60.0, 12)
    0.0
    """
    count = len(mass_kg)
    fed_kg_s = evaporated_kg_s * feed_sugar_fraction
    flow_kg_s, warming = evaporated_kg_s, feed_preheat_fraction
    arriving_kg_s, here = fed_kg_s, sugar_kg[0] / mass_kg[0]
    for i in range(count):
        # Feed boils only once it is warm: the first compartments' heat warms it, the rest boils.
        warms = min(warming, heat_share_fraction[i])
        warming -= warms
        boils = heat_share_fraction[i] - warms
        flow_kg_s -= evaporated_kg_s * boils / (1.0 - feed_preheat_fraction)
        leaving_kg_s = 0.0
        if i < count - 1:
            there = sugar_kg[i + 1] / mass_kg[i + 1]
            leaving_kg_s = flow_kg_s * (here - mixing_fraction * (there - here))
            here = there
        scratch[i], scratch[count + i] = flow_kg_s, arriving_kg_s - leaving_kg_s
        arriving_kg_s = leaving_kg_s
    arriving_kg_s, here = fed_kg_s, (sugar_kg[0] + duration_s * scratch[count]) / mass_kg[0]
    for i in range(count):
        leaving_kg_s = 0.0
        if i < count - 1:
            there = (sugar_kg[i + 1] + duration_s * scratch[count + i + 1]) / mass_kg[i + 1]
            leaving_kg_s = scratch[i] * (here - mixing_fraction * (there - here))
            here = there
        gained_kg_s = arriving_kg_s - leaving_kg_s
        sugar_kg[i] += 0.5 * duration_s * (scratch[count + i] + gained_kg_s)
        arriving_kg_s = leaving_kg_s


@valid(sap_brix=(0.1, 65.0), syrup_brix=(60.0, 70.0))
def useful_heat_j(
    syrup_mass_kg: float,
    sap_brix: float,
    syrup_brix: float,
    feed_temperature_c: float,
    boiling_point_c: float,
    feed_heat_capacity_j_kg_k: float,
) -> float:
    """Heat that must reach the liquid to make syrup: warming all the feed, boiling off its water.

    Parameters
    ----------
    syrup_mass_kg : syrup wanted, kg
    sap_brix, syrup_brix : strengths, Brix
    feed_temperature_c, boiling_point_c : °C
    feed_heat_capacity_j_kg_k : of the feed, J/kg/K

    Returns
    -------
    J, before any loss of the fire (an open wood-fired pan passes on 40 to 60 % of its wood's heat).

    Raises
    ------
    RangeError : outside 0.1-65 Brix of feed or 60-70 Brix of syrup

    Examples
    --------
    A US gallon of 66 Brix syrup (5.0068 kg) from 2 Brix at 4 °C: about 400,000 Btu.

    >>> round(useful_heat_j(5.0068, 2.0, 66.0, 4.0, 99.97, 4137.0) / 1055.06e3)
    405
    """
    sap_kg = syrup_mass_kg * syrup_brix / sap_brix
    warming_j = sap_kg * feed_heat_capacity_j_kg_k * (boiling_point_c - feed_temperature_c)
    return warming_j + (sap_kg - syrup_mass_kg) * latent_heat_j_kg(boiling_point_c)


@valid(moisture_fraction=(0.0, 0.65))
def wood_heat_j_kg(moisture_fraction: float) -> float:
    """Net (lower) heating value of a kilogram of hardwood as fired.

    ``(1 - w)(8600 - 0.06 x 8.936 x 1050) - 1050 w`` Btu/lb: the dry wood's higher value less the
    vapour of its hydrogen and its moisture.

    Parameters
    ----------
    moisture_fraction : kg of water in a kg of wood as fired (wet basis; a pin meter reads dry basis
        m, which is ``w = m / (1 + m)``)

    Returns
    -------
    J/kg.

    Examples
    --------
    >>> round(wood_heat_j_kg(0.20) / 2326.0)  # Btu/lb
    6220
    """
    dry_j_kg = DRY_WOOD_HIGHER_J_KG - _WATER_FROM_HYDROGEN * _HEAT_OF_WATER_J_KG
    return (1.0 - moisture_fraction) * dry_j_kg - _HEAT_OF_WATER_J_KG * moisture_fraction
