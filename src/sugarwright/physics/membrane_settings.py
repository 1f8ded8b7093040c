"""The membrane asked backwards: which gauge pressure or valve flow gives what is wanted.

:func:`~sugarwright.physics.membrane.operating_point` goes from a setting to what it makes. Here
one half of the setting (pressure or flow) is held and the other is searched, for a strength, a
permeate, or a feed that has to be what the pump gives. Each of them rises or falls with the setting
all the way where friction is small against the gauge pressure; where it is not, the search still
ends on a setting that gives what was asked, if one of its two ends gives more and the other less.
"""

from __future__ import annotations

import math

from sugarwright.physics.membrane_built import Built, point_of
from sugarwright.physics.membrane_pump import pump_flow_m3_s
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.valid import valid

LEAST_PRESSURE_PA, GREATEST_PRESSURE_PA = 0.1e5, 45e5
"""Between these a gauge pressure is searched."""

_PRESSURE, _FLOW = 0, 1  # which of the two is searched
_BRIX, _PERMEATE, _FEED = 0, 1, 2  # what is wanted
_TOLERANCE = 1e-8
_ITERATIONS = 80


@valid(
    concentrate_brix=(0.01, 44.0),
    feed_brix=(0.0, 30.0),
    temperature_c=(0.0, 45.0),
    concentrate_flow_m3_s=(1e-8, 0.1),
)
def pressure_for_brix(
    concentrate_brix: float,
    feed_brix: float,
    temperature_c: float,
    concentrate_flow_m3_s: float,
    built: Built,
) -> float:
    """Find the gauge pressure that makes a concentrate at a valve flow.

    Parameters
    ----------
    concentrate_brix : strength wanted [mass percent]
    feed_brix, temperature_c : of the sap [mass percent, °C]
    concentrate_flow_m3_s : valve flow, held [m³/s]
    built : the machine

    Returns
    -------
    Gauge pressure at the concentrate end [Pa], to 1e-8 of the strength.

    Raises
    ------
    RangeError : a value outside its range, or no pressure from 0.1 to 45 bar makes it

    Notes
    -----
    Root of :func:`~sugarwright.physics.membrane.operating_point` by false position (Illinois form)
    in the logarithm of the pressure.

    Examples
    --------
    Four 2.5-inch elements, 24 US gal/h of concentrate, 120 in the loop: 6 Brix takes some 12 bar.

    >>> gal_h = 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> machine = Built(120 * gal_h, 4, 1, *leaf)
    >>> round(pressure_for_brix(6.0, 2.0, 5.0, 24 * gal_h, machine) / 1e5, 1)
    11.7
    """
    ask = (_PRESSURE, _BRIX, concentrate_brix, math.inf)
    ends = (LEAST_PRESSURE_PA, GREATEST_PRESSURE_PA)
    return _found(ask, ends, feed_brix, temperature_c, concentrate_flow_m3_s, built)


@valid(
    permeate_kg_s=(1e-9, 100.0),
    feed_brix=(0.0, 30.0),
    temperature_c=(0.0, 45.0),
    concentrate_flow_m3_s=(1e-8, 0.1),
)
def pressure_for_permeate(
    permeate_kg_s: float,
    feed_brix: float,
    temperature_c: float,
    concentrate_flow_m3_s: float,
    built: Built,
) -> float:
    """Find the gauge pressure that makes so much permeate at a valve flow.

    Parameters
    ----------
    permeate_kg_s : permeate wanted, whole machine [kg/s]
    feed_brix, temperature_c, concentrate_flow_m3_s, built : as for :func:`pressure_for_brix`

    Returns
    -------
    Gauge pressure at the concentrate end [Pa].

    Raises
    ------
    RangeError : a value outside its range, or no pressure from 0.1 to 45 bar makes it

    Notes
    -----
    As for :func:`pressure_for_brix`.

    Examples
    --------
    >>> gal_h = 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> machine = Built(0.0, 2, 1, *leaf)
    >>> round(pressure_for_permeate(70.2 / 3600, 2.0, 5.0, 24 * gal_h, machine) / 1e5, 1)
    8.3
    """
    ask = (_PRESSURE, _PERMEATE, permeate_kg_s, math.inf)
    ends = (LEAST_PRESSURE_PA, GREATEST_PRESSURE_PA)
    return _found(ask, ends, feed_brix, temperature_c, concentrate_flow_m3_s, built)


@valid(
    free_flow_m3_s=(1e-8, 0.1),
    shutoff_pressure_pa=(1e4, math.inf),
    feed_brix=(0.0, 30.0),
    temperature_c=(0.0, 45.0),
    concentrate_flow_m3_s=(1e-8, 0.1),
)
def pressure_on_pump(
    free_flow_m3_s: float,
    shutoff_pressure_pa: float,
    feed_brix: float,
    temperature_c: float,
    concentrate_flow_m3_s: float,
    built: Built,
) -> float:
    """Find the gauge pressure that a pump reaches with the valve at a flow: the most it can hold.

    Parameters
    ----------
    free_flow_m3_s, shutoff_pressure_pa : the pump, as for
        :func:`~sugarwright.physics.membrane_pump.pump_flow_m3_s`; an infinite shut-off pressure
        means a fixed displacement, or simply a feed that is fixed
    feed_brix, temperature_c, concentrate_flow_m3_s, built : as for :func:`pressure_for_brix`

    Returns
    -------
    Gauge pressure at the concentrate end [Pa].

    Raises
    ------
    RangeError : a value outside its range, or pump and membrane meet at no pressure from 0.1 to
        45 bar (a pump of fixed displacement then lifts its relief valve, or cannot fill the
        concentrate flow)

    Notes
    -----
    Where the feed of the membrane is the flow that the pump gives against the inlet's pressure.

    Examples
    --------
    >>> gal_h = 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> machine = Built(0.0, 2, 1, *leaf)
    >>> round(pressure_on_pump(90 * gal_h, 10e5, 2.0, 5.0, 24 * gal_h, machine) / 1e5, 1)
    7.8
    """
    ask = (_PRESSURE, _FEED, free_flow_m3_s, shutoff_pressure_pa)
    ends = (LEAST_PRESSURE_PA, GREATEST_PRESSURE_PA)
    return _found(ask, ends, feed_brix, temperature_c, concentrate_flow_m3_s, built)


@valid(
    concentrate_brix=(0.01, 44.0),
    feed_brix=(0.0, 30.0),
    temperature_c=(0.0, 45.0),
    exit_pressure_pa=(0.0, 45e5),
    least_flow_m3_s=(1e-8, 0.1),
    greatest_flow_m3_s=(1e-8, 0.1),
)
def flow_for_brix(
    concentrate_brix: float,
    feed_brix: float,
    temperature_c: float,
    exit_pressure_pa: float,
    least_flow_m3_s: float,
    greatest_flow_m3_s: float,
    built: Built,
) -> float:
    """Find the valve flow that makes a concentrate at a gauge pressure.

    Parameters
    ----------
    concentrate_brix : strength wanted [mass percent]
    feed_brix, temperature_c : of the sap [mass percent, °C]
    exit_pressure_pa : gauge pressure at the concentrate end, held [Pa]
    least_flow_m3_s, greatest_flow_m3_s : between these it is searched [m³/s]
    built : the machine

    Returns
    -------
    Valve flow, whole machine [m³/s], to 1e-8 of the strength.

    Raises
    ------
    RangeError : a value outside its range, or no flow between those two makes it

    Notes
    -----
    As for :func:`pressure_for_brix`, in the logarithm of the flow.

    Examples
    --------
    >>> gal_h = 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> machine = Built(0.0, 2, 1, *leaf)
    >>> round(flow_for_brix(3.52, 2.0, 5.0, 8.3e5, 9 * gal_h, 60 * gal_h, machine) / gal_h, 1)
    24.0
    """
    ask = (_FLOW, _BRIX, concentrate_brix, math.inf)
    ends = (greatest_flow_m3_s, least_flow_m3_s)
    return _found(ask, ends, feed_brix, temperature_c, exit_pressure_pa, built)


@valid(
    free_flow_m3_s=(1e-8, 0.1),
    shutoff_pressure_pa=(1e4, math.inf),
    feed_brix=(0.0, 30.0),
    temperature_c=(0.0, 45.0),
    exit_pressure_pa=(0.0, 45e5),
    least_flow_m3_s=(1e-8, 0.1),
    greatest_flow_m3_s=(1e-8, 0.1),
)
def flow_on_pump(
    free_flow_m3_s: float,
    shutoff_pressure_pa: float,
    feed_brix: float,
    temperature_c: float,
    exit_pressure_pa: float,
    least_flow_m3_s: float,
    greatest_flow_m3_s: float,
    built: Built,
) -> float:
    """Find the valve flow at which a pump holds a gauge pressure, or a feed is worked off.

    Parameters
    ----------
    free_flow_m3_s, shutoff_pressure_pa : the pump; an infinite shut-off pressure means a feed that
        is fixed, as for :func:`pressure_on_pump`
    feed_brix, temperature_c, exit_pressure_pa : as for :func:`flow_for_brix`
    least_flow_m3_s, greatest_flow_m3_s : between these it is searched [m³/s]
    built : the machine

    Returns
    -------
    Valve flow, whole machine [m³/s].

    Raises
    ------
    RangeError : a value outside its range, or no flow between those two does

    Notes
    -----
    Where the feed of the membrane is the flow that the pump gives against the inlet's pressure.

    Examples
    --------
    A feed of 42.55 US gal/h leaves 24 for the valve (two 2.5-inch elements at 8.3 bar):

    >>> gal_h = 3.785411784e-3 / 3600
    >>> leaf = (2.6, 0.9, 0.71e-3, 0.89, 5e-8 / 3600, 2e-5 / 3600, 1.0, 1.0, 1.0, 4)
    >>> machine, ends = Built(0.0, 2, 1, *leaf), (9 * gal_h, 60 * gal_h)
    >>> found = flow_on_pump(42.55 * gal_h, math.inf, 2.0, 5.0, 8.3e5, *ends, machine)
    >>> round(found / gal_h, 1)
    24.0
    """
    ask = (_FLOW, _FEED, free_flow_m3_s, shutoff_pressure_pa)
    ends = (greatest_flow_m3_s, least_flow_m3_s)
    return _found(ask, ends, feed_brix, temperature_c, exit_pressure_pa, built)


def _miss(
    ask: tuple[int, int, float, float],
    tried: float,
    feed_brix: float,
    temperature_c: float,
    held: float,
    built: Built,
) -> tuple[float, bool]:
    """Compute by what share a setting gives more than was asked, and whether it has a solution."""
    searched, goal, wanted, shutoff_pressure_pa = ask
    pressure_pa, flow_m3_s = (tried, held) if searched == _PRESSURE else (held, tried)
    point = point_of(feed_brix, temperature_c, pressure_pa, flow_m3_s, built)
    if goal == _BRIX:
        return point.concentrate_brix / wanted - 1.0, point.solved
    if goal == _PERMEATE:
        return point.permeate_kg_s / wanted - 1.0, point.solved
    given_m3_s = pump_flow_m3_s(point.inlet_pressure_pa, wanted, shutoff_pressure_pa)
    feed_m3_s = point.feed_kg_s / density_kg_m3(feed_brix, temperature_c)
    return (feed_m3_s - given_m3_s) / wanted, point.solved


def _found(
    ask: tuple[int, int, float, float],
    ends: tuple[float, float],
    feed_brix: float,
    temperature_c: float,
    held: float,
    built: Built,
) -> float:
    """Search the setting that gives what is asked; not-a-number where there is none.

    The first of the two ends is that of the weaker concentrate: little pressure, much flow.
    A setting without a solution asks for too strong a concentrate: too much pressure, too little
    flow. The search then halves its bracket from that side until it has one.
    """
    weak, strong = math.log(ends[0]), math.log(ends[1])
    at_weak, solved = _miss(ask, math.exp(weak), feed_brix, temperature_c, held, built)
    at_strong, bracketed = _miss(ask, math.exp(strong), feed_brix, temperature_c, held, built)
    if not solved or (bracketed and at_weak * at_strong > 0.0):
        return math.nan
    last = 0
    for _ in range(_ITERATIONS):
        tried = 0.5 * (weak + strong)
        if bracketed:
            tried = (weak * at_strong - strong * at_weak) / (at_strong - at_weak)
        miss, solved = _miss(ask, math.exp(tried), feed_brix, temperature_c, held, built)
        if solved and abs(miss) <= _TOLERANCE:
            return math.exp(tried)
        if not solved:
            strong, bracketed, last = tried, False, 0
        elif miss * at_weak > 0.0:
            weak, at_weak = tried, miss
            at_strong *= 0.5 if last == 1 else 1.0
            last = 1
        else:
            strong, at_strong, bracketed = tried, miss, True
            at_weak *= 0.5 if last == -1 else 1.0
            last = -1
    return math.nan
