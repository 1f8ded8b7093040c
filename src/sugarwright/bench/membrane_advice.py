"""Questions to the membrane: 6 Brix, in step with the pan, done by nine.

Each answer is a setting that does it, or the nearest one that can be had, with what stands in the
way and what else would do it. Pressure is the house's; the valve is what is turned.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from sugarwright.bench.membrane_machine import (
    PUMP_EFFICIENCY_FRACTION,
    Machine,
    Sap,
    Setting,
    setting,
)
from sugarwright.errors import RangeError
from sugarwright.physics.membrane_settings import pressure_for_brix
from sugarwright.physics.membrane_tank import batch
from sugarwright.physics.solution import density_kg_m3
from sugarwright.physics.water import water_density_kg_m3

MAP_ROWS = 7
GREATEST_EXIT_PRESSURE_PA = 41.4e5
"""600 psi: the most that any such element is made for (from memory); most machines, far less."""
_TOLERANCE = 1e-5
_ROUNDS = 40


@dataclass(frozen=True)
class Answer:
    """What to set for one wish.

    Parameters
    ----------
    wish : "brix", "pan" or "done"
    possible : whether the setting does what is wished
    breaks : what stands in the way: "too strong", "too weak", "pan too fast", "pan too slow",
        "too little time"; empty when nothing does
    setting : what does it, or comes nearest
    wanted_brix : the strength wished for (brix) [mass percent]; else null
    pressure_pa : gauge pressure at which this valve flow would do it (brix) [Pa]; null where it is
        not needed or none does
    pressure_warnings : what is wrong with that setting at that pressure, as in ``setting``
    round_trip_s : time in which the sap, sent back into its own tank at the widest valve, gets
        there (brix) [s]; null where it is not needed, does not get there, or no sap was named
    left_m3 : sap that is left at the time named (done) [m³]; 0 when it is possible
    within_s : time from now to the time named (done) [s]; else null
    tomorrow : whether the time named is over today, so that tomorrow's was taken (done)
    """

    wish: str
    possible: bool
    breaks: str
    setting: Setting
    wanted_brix: float | None = None
    pressure_pa: float | None = None
    pressure_warnings: tuple[str, ...] = ()
    round_trip_s: float | None = None
    left_m3: float = 0.0
    within_s: float | None = None
    tomorrow: bool = False


def settings_map(machine: Machine, sap: Sap, rows: int = MAP_ROWS) -> tuple[Setting, ...]:
    """Return settings over the range of the valve, each flow as many times the last."""
    least_m3_s, most_m3_s = _valve(machine)
    ratio = (most_m3_s / least_m3_s) ** (1.0 / (rows - 1))
    flows = [least_m3_s * ratio**row for row in range(rows - 1)]
    return tuple(setting(machine, sap, flow) for flow in [*flows, most_m3_s])


def for_brix(machine: Machine, sap: Sap, brix: float) -> Answer:
    """Return the valve flow for a concentrate of a strength.

    Raises
    ------
    RangeError : the strength is not above that of the sap
    """
    if not sap.brix < brix <= 40.0:
        allowed = f"above the sap's {sap.brix:.1f} to 40 Brix"
        raise RangeError("brix", brix, "is no strength that this sap can be brought to", allowed)
    strongest, weakest = (setting(machine, sap, flow) for flow in _valve(machine))
    if brix > strongest.concentrate_brix:
        return Answer(
            "brix",
            False,
            "too strong",
            strongest,
            brix,
            *_pressure(machine, sap, brix, strongest.concentrate_flow_m3_s),
            _round_trip_s(machine, sap, brix, weakest),
        )
    if brix < weakest.concentrate_brix:
        needed = _pressure(machine, sap, brix, weakest.concentrate_flow_m3_s)
        return Answer("brix", False, "too weak", weakest, brix, *needed)
    found = _search(machine, sap, strongest, weakest, lambda s: s.concentrate_brix / brix - 1.0)
    return Answer("brix", True, "", found, brix)


def for_pan(machine: Machine, sap: Sap, boil_rate_m3_s: float, syrup_brix: float) -> Answer:
    """Return the valve flow that gives a pan at full fire just what it takes in.

    Parameters
    ----------
    machine, sap : the machine and what goes in
    boil_rate_m3_s : water that the pan boils off, measured cold [m³/s]
    syrup_brix : strength of the syrup drawn from it [mass percent]

    Notes
    -----
    The pan takes in ``water boiled / (1 - concentrate / syrup)`` by mass. That depends little on
    the strength of the concentrate, so that putting one into the other closes in tenfold a round.
    """
    least_m3_s, most_m3_s = _valve(machine)
    boiled_kg_s = boil_rate_m3_s * water_density_kg_m3(20.0)
    flow_m3_s = boil_rate_m3_s
    for _ in range(_ROUNDS):
        found = setting(machine, sap, min(max(flow_m3_s, least_m3_s), most_m3_s))
        brix = min(found.concentrate_brix, syrup_brix - 1.0)
        taken_kg_s = boiled_kg_s / (1.0 - brix / syrup_brix)
        before_m3_s, flow_m3_s = flow_m3_s, taken_kg_s / density_kg_m3(brix, sap.temperature_c)
        if abs(flow_m3_s - before_m3_s) <= _TOLERANCE * flow_m3_s:
            break
    breaks = ""
    if flow_m3_s > most_m3_s * (1.0 + _TOLERANCE):
        breaks = "pan too fast"
    elif flow_m3_s < least_m3_s * (1.0 - _TOLERANCE):
        breaks = "pan too slow"
    return Answer("pan", not breaks, breaks, found)


def for_time(machine: Machine, sap: Sap, duration_s: float) -> Answer:
    """Return the valve flow that works off the sap in a time: the sweetest concentrate for it.

    Raises
    ------
    RangeError : no sap was named, or no time is left
    """
    if sap.volume_m3 <= 0.0:
        raise RangeError("sap", sap.volume_m3, "is nothing to work off", "more than 0")
    if duration_s <= 0.0:
        raise RangeError("duration_s", duration_s, "leaves no time", "more than 0")
    slowest, fastest = (setting(machine, sap, flow) for flow in _valve(machine))
    if _over(slowest, duration_s) <= 0.0:
        return Answer("done", True, "", slowest, within_s=duration_s)
    if _over(fastest, duration_s) > 0.0:
        # What fouling takes of the feed is the same part of a shorter run, within a little.
        left_m3 = sap.volume_m3 * (1.0 - 1.0 / (1.0 + _over(fastest, duration_s)))
        late = "too little time"
        return Answer("done", False, late, fastest, left_m3=left_m3, within_s=duration_s)
    found = _search(machine, sap, slowest, fastest, lambda s: _over(s, duration_s))
    return Answer("done", True, "", found, within_s=duration_s)


def _over(found: Setting, duration_s: float) -> float:
    """Return by what part a setting takes longer than a time."""
    return (found.duration_s or 0.0) / duration_s - 1.0


def _search(
    machine: Machine,
    sap: Sap,
    narrow: Setting,
    wide: Setting,
    miss: Callable[[Setting], float],
) -> Setting:
    """Return the setting between two at which ``miss`` is nothing.

    It is above zero at the narrow valve and not at the wide one. False position (Illinois form) in
    the logarithm of the flow.
    """
    low, high = math.log(narrow.concentrate_flow_m3_s), math.log(wide.concentrate_flow_m3_s)
    at_low, at_high, found, last = miss(narrow), miss(wide), wide, 0
    for _ in range(_ROUNDS):
        if abs(miss(found)) <= _TOLERANCE:
            break
        tried = (low * at_high - high * at_low) / (at_high - at_low)
        found = setting(machine, sap, math.exp(tried))
        if miss(found) > 0.0:
            low, at_low = tried, miss(found)
            at_high *= 0.5 if last == 1 else 1.0
            last = 1
        else:
            high, at_high = tried, miss(found)
            at_low *= 0.5 if last == -1 else 1.0
            last = -1
    return found


def _round_trip_s(machine: Machine, sap: Sap, brix: float, wide: Setting) -> float | None:
    """Return the time to bring the sap to a strength round and round at the widest valve, or None.

    At the condition that the membrane has now.
    """
    if sap.volume_m3 <= 0.0 or brix > 30.0:
        return None
    done = batch(
        sap.volume_m3,
        sap.brix,
        brix,
        sap.temperature_c,
        wide.exit_pressure_pa,
        wide.concentrate_flow_m3_s,
        PUMP_EFFICIENCY_FRACTION,
        machine.built(),
    )
    return done.duration_s if math.isfinite(done.duration_s) else None


def _valve(machine: Machine) -> tuple[float, float]:
    return machine.membrane.least_flow_m3_s, machine.membrane.most_flow_m3_s


def _pressure(
    machine: Machine, sap: Sap, brix: float, flow_m3_s: float
) -> tuple[float | None, tuple[str, ...]]:
    """Return the gauge pressure that makes a strength at a valve flow, or None; and its warnings.

    Pressures that no sap membrane is made for are none.
    """
    try:
        pa = pressure_for_brix(brix, sap.brix, sap.temperature_c, flow_m3_s, machine.built())
    except RangeError:
        return None, ()
    if pa > GREATEST_EXIT_PRESSURE_PA:
        return None, ()
    return pa, setting(machine, sap, flow_m3_s, pa).warnings
