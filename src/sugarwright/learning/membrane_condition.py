"""What a reading says of a membrane's condition, through the full model, and how sure that is.

The condition is the water permeability by that of the new membrane, so that temperature, pressure,
strength and flows are taken out (as normalising does in the practice of ASTM D4516, "Standardizing
Reverse Osmosis Performance Data", there with means along the membrane; here the membrane model is
turned round). Slopes by each thing read say how its error reaches the condition.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from sugarwright.learning.membrane_log import OUTPUTS, Reading
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.membrane_machine import Machine, full_point

Miss = Callable[[float], float]

LEAST, GREATEST = 0.02, 2.0
"""Conditions beyond which a reading is of another machine, or in the wrong unit."""

AGREE_SDS = 3.5
"""Standard deviations of their difference within which flow and strength tell of one condition."""

_LIKELY = (math.log(0.5), math.log(1.2))  # where the search begins
_ROUNDS, _TOLERANCE = 60, 1e-8
_STEP_FRACTION = 0.005  # of a value, over which its slope is taken
_STEP_K = 0.1
_STEP_LOG = 0.005


@dataclass(frozen=True)
class Seen:
    """The condition that one reading says.

    Parameters
    ----------
    condition_log : natural logarithm of the condition
    slopes : of that, by each quantity, in its SI unit
    sd_log : standard deviation of the logarithm from all of its inputs
    feed_flow_m3_s : what the membrane took in then
    """

    condition_log: float
    slopes: dict[str, float]
    sd_log: float
    feed_flow_m3_s: float


def seen_in(reading: Reading, machine: Machine) -> Seen | None:
    """Return what a reading says of the condition, or None where no condition explains it.

    Where both permeate flow and the concentrate's strength were read, each says a condition; sugar
    and water balance, so that the difference of the two is error alone, and the mean of least
    variance is what all readings say together.

    Parameters
    ----------
    reading : as logged
    machine : as built; its own pressure does not count
    """
    looks = [
        found
        for output in OUTPUTS
        if output in reading.inputs and (found := _look(reading, machine, output)) is not None
    ]
    if not looks:
        return None
    if len(looks) == 1:
        return looks[0]
    return _together(reading, looks[0], looks[1])


def _look(reading: Reading, machine: Machine, output: str) -> Seen | None:
    """Return the condition that one of the two outputs says, with all that was read but the other.

    Returns None where the model does not hold for what was read, or no condition explains it.
    """
    inputs = {
        name: each for name, each in reading.inputs.items() if name == output or name not in OUTPUTS
    }
    told = _Told({name: each.value for name, each in inputs.items()}, machine, output)
    if not told.usable():
        return None
    found = _root(told.miss)
    if found is None:
        return None
    by_condition = told.miss(found + _STEP_LOG) / _STEP_LOG
    slopes = {
        name: -told.slope(name, found) / by_condition
        for name, each in inputs.items()
        if each.sd > 0.0
    }
    if not all(map(math.isfinite, slopes.values())):
        return None
    return Seen(found, slopes, _sd_log(reading, slopes), told.feed_flow_m3_s(found))


def _together(reading: Reading, first: Seen, second: Seen) -> Seen:
    """Return the mean of two looks at one reading that has the least variance.

    Where they are farther apart than their errors can make them, a figure is wrong and a mean would
    hide that: then the water let through counts alone, and stands out if it is the wrong one.
    """
    names = {**first.slopes, **second.slopes}
    apart = {name: first.slopes.get(name, 0.0) - second.slopes.get(name, 0.0) for name in names}
    variance = {name: reading.inputs[name].sd ** 2 for name in names}
    spread = sum(apart[name] ** 2 * variance[name] for name in names)
    gap = abs(first.condition_log - second.condition_log)
    if spread <= 0.0 or gap > AGREE_SDS * math.sqrt(spread):
        return first
    common = sum(first.slopes.get(name, 0.0) * apart[name] * variance[name] for name in names)
    part = common / spread  # of the second
    slopes = {name: first.slopes.get(name, 0.0) - part * apart[name] for name in names}
    condition_log = first.condition_log - part * (first.condition_log - second.condition_log)
    return Seen(condition_log, slopes, _sd_log(reading, slopes), first.feed_flow_m3_s)


def _sd_log(reading: Reading, slopes: dict[str, float]) -> float:
    return math.sqrt(sum((slope * reading.inputs[name].sd) ** 2 for name, slope in slopes.items()))


def permeate_kg_s(
    machine: Machine,
    condition_fraction: float,
    pressure_pa: float,
    concentrate_flow_m3_s: float,
    feed_brix: float,
    temperature_c: float,
) -> float:
    """Return what a machine lets through in a condition; arguments as for the full model."""
    at_pressure = machine._replace(exit_pressure_pa=pressure_pa)
    point = full_point(
        at_pressure, concentrate_flow_m3_s, feed_brix, temperature_c, condition_fraction
    )
    return point.permeate_kg_s


@dataclass(frozen=True)
class _Told:
    """What was read, the machine that it was read at, and the output that is explained."""

    values: dict[str, float]
    machine: Machine
    output: str

    def usable(self) -> bool:
        """Tell whether the model holds for what was read."""
        values = self.values
        within = 0.0 <= values["temperature"] <= 45.0 and 1e3 <= values["pressure"] <= 45e5
        within &= 1e-8 <= values["concentrate_flow"] <= 0.1 and values[self.output] > 0.0
        return within and 0.0 <= values["feed_brix"] <= 30.0

    def miss(self, condition_log: float) -> float:
        """Return the logarithm by which a condition would give more than was read."""
        values = self.values
        point = full_point(
            self.machine._replace(exit_pressure_pa=values["pressure"]),
            values["concentrate_flow"],
            values["feed_brix"],
            values["temperature"],
            math.exp(condition_log),
        )
        if not point.solved:
            return math.inf
        made = point.concentrate_brix
        if self.output == "permeate_flow":
            made = point.permeate_kg_s / density_kg_m3(0.0, values["temperature"])
        return math.log(made / values[self.output]) if made > 0.0 else -math.inf

    def slope(self, name: str, condition_log: float) -> float:
        """Return the slope of ``miss`` by one of the things read, at its root."""
        value = self.values[name]
        step = _STEP_K if name == "temperature" else _STEP_FRACTION * max(abs(value), 1e-12)

        moved = _Told({**self.values, name: value + step}, self.machine, self.output)
        return moved.miss(condition_log) / step

    def feed_flow_m3_s(self, condition_log: float) -> float:
        """Return what the membrane took in."""
        values = self.values
        made = self.values.get("permeate_flow")
        if made is None:
            setting = (values["pressure"], values["concentrate_flow"], values["feed_brix"])
            warmth_c = values["temperature"]
            made_kg_s = permeate_kg_s(self.machine, math.exp(condition_log), *setting, warmth_c)
            made = made_kg_s / density_kg_m3(0.0, warmth_c)
        return values["concentrate_flow"] + made


def _root(miss: Miss) -> float | None:
    """Find where a rising curve crosses nought, by false position (Illinois form)."""
    low, high = _LIKELY
    at_low, at_high, last = miss(low), miss(high), 0
    if not at_low < 0.0 <= at_high:
        low, high = math.log(LEAST), math.log(GREATEST)
        at_low, at_high = miss(low), miss(high)
    if not at_low < 0.0 <= at_high:
        return None
    for _ in range(_ROUNDS):
        finite = math.isfinite(at_low) and math.isfinite(at_high)
        tried = (low * at_high - high * at_low) / (at_high - at_low) if finite else (low + high) / 2
        found = miss(tried)
        if abs(found) <= _TOLERANCE:
            return tried
        if found < 0.0:
            low, at_low = tried, found
            at_high *= 0.5 if last == -1 else 1.0
            last = -1
        else:
            high, at_high = tried, found
            at_low *= 0.5 if last == 1 else 1.0
            last = 1
    return None
