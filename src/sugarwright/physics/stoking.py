"""Feeding a wood fire by hand: how the heat swings between stokings, and what an open door costs.

A charge of wood gives its heat up at a rate that falls as it burns down; each stoking brings the
rate up again. Estimates with one time constant, to choose an interval; a maker's own clock and boil
are better.
"""

from __future__ import annotations

import math

from sugarwright.physics.valid import valid

BURN_DOWN_S = 900.0
"""Time in which small split wood burns down to 37 %: a judgement, 10 to 25 min."""


@valid(stoke_every_s=(10.0, 14400.0), burn_down_s=(60.0, 14400.0))
def stoking_swing_factors(stoke_every_s: float, burn_down_s: float) -> tuple[float, float]:
    """Compute how far the heat of a fire swings between stokings.

    Parameters
    ----------
    stoke_every_s : time between stokings [s]
    burn_down_s : time in which a charge burns down to 37 % [s], e.g. ``BURN_DOWN_S``

    Returns
    -------
    (Heat right after a stoking, heat right before the next), each against the mean.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Equal charges of wood, each dying as exp(-t / burn_down), stoked for a long time: the sum over
    all charges starts an interval at x / (1 - exp(-x)) of the mean, x being the interval over the
    time constant.

    Examples
    --------
    Every 10 min, and every half hour:

    >>> [round(factor, 2) for factor in stoking_swing_factors(600.0, 900.0)]
    [1.37, 0.7]
    >>> [round(factor, 2) for factor in stoking_swing_factors(1800.0, 900.0)]
    [2.31, 0.31]
    """
    x = stoke_every_s / burn_down_s
    highest = x / -math.expm1(-x)
    return highest, highest * math.exp(-x)


@valid(
    heat_w=(0.0, 1e8),
    efficiency_fraction=(0.01, 1.0),
    wood_heat_j_kg=(5e6, 2.2e7),
    stoke_every_s=(10.0, 14400.0),
)
def wood_each_stoking_kg(
    heat_w: float, efficiency_fraction: float, wood_heat_j_kg: float, stoke_every_s: float
) -> float:
    """Compute the wood that each stoking must bring.

    Parameters
    ----------
    heat_w : mean heat to reach the liquid [W]
    efficiency_fraction : share of the wood's heat which reaches the liquid
    wood_heat_j_kg : net heat of the wood as fired [J/kg]
    stoke_every_s : time between stokings [s]

    Returns
    -------
    Wood as fired [kg].

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Heat balance.

    Examples
    --------
    70 kW at 40 % with wood of 20 % moisture, every 10 min:

    >>> round(wood_each_stoking_kg(70e3, 0.40, 6220.0 * 2326.0, 600.0), 1)
    7.3
    """
    return heat_w * stoke_every_s / (efficiency_fraction * wood_heat_j_kg)


@valid(stoke_every_s=(10.0, 14400.0), door_open_s=(0.0, 600.0), open_factor=(0.0, 1.0))
def door_factor(stoke_every_s: float, door_open_s: float, open_factor: float) -> float:
    """Compute what an open fire door costs of the heat.

    Parameters
    ----------
    stoke_every_s : time between stokings [s]
    door_open_s : time for which the door stands open each time [s]
    open_factor : heat to the liquid with the door open, against shut: 0.5 is a guess

    Returns
    -------
    Factor on the mean heat; ``open_factor`` when the door never shuts.

    Raises
    ------
    RangeError : a value outside its range

    Notes
    -----
    Mean over time. It is why half a fire box at a time, and quickly, is the habit (common practice,
    no source).

    Examples
    --------
    >>> round(door_factor(600.0, 20.0, 0.5), 3)
    0.983
    """
    share = min(1.0, door_open_s / stoke_every_s)
    return 1.0 - share * (1.0 - open_factor)
