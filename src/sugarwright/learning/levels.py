"""Tank levels of the log as volumes, and what was moved in and out between two of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.errors import InputError
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import sd_of, tank_at
from sugarwright.plant.house import House, Tank
from sugarwright.plant.tanks import volume_at_depth_m3, volume_sd_m3

CLOCK_SD_S = 180.0
"""How far an hour that was written down is off: judgement. Rounding to five minutes and looking at
the clock a little late."""

LONGEST_RUN_S = 24 * 3600.0


@dataclass(frozen=True)
class Level:
    """What a tank held.

    Parameters
    ----------
    at_s : UTC s
    volume_m3, sd_m3 : and its standard uncertainty
    """

    at_s: float
    volume_m3: float
    sd_m3: float


@dataclass(frozen=True)
class Moved:
    """What came into a tank between two instants by the log, beside what is asked about.

    Parameters
    ----------
    volume_m3, sd_m3 : net; negative where more was taken out
    parts : each logged part: UTC s, words, volume [m3]
    unknown : why the sum is unknown; empty when it is known
    """

    volume_m3: float
    sd_m3: float
    parts: tuple[tuple[float, str, float], ...] = ()
    unknown: str = ""


def levels_of(house: House, entries: Sequence[Entry], place: str) -> list[Level]:
    """Return the levels that were read at a place, in order; of one instant the last stands."""
    found: dict[float, Level] = {}
    for entry in entries:
        if entry.kind == "reading" and entry.place == place and "doubtful" not in entry.flags:
            level = _level(tank_at(house, place), entry)
            if level is not None:
                found[level.at_s] = level
    return [found[at_s] for at_s in sorted(found)]


def _level(tank: Tank | None, entry: Entry) -> Level | None:
    volume = entry.measure("volume")
    if volume is not None:
        return Level(entry.at_s, volume.value, sd_of(volume))
    depth = entry.measure("depth")
    if depth is None or tank is None:
        return None
    try:
        volume_m3 = volume_at_depth_m3(tank, depth.value)
        sd_m3 = volume_sd_m3(tank, depth.value, sd_of(depth))
    except InputError:  # no depth of this tank
        return None
    return Level(entry.at_s, volume_m3, sd_m3)


def moved_into(entries: Sequence[Entry], place: str, begin_s: float, end_s: float) -> Moved:
    """Return what came into a tank between two instants.

    Parameters
    ----------
    entries : of the log, in order
    place : "stock" or "sap"
    begin_s, end_s : UTC s
    """
    total_m3 = variance = 0.0
    parts: list[tuple[float, str, float]] = []
    for entry in entries:
        if not begin_s < entry.at_s <= end_s:
            continue
        sign = direction_of(entry, place)
        if sign == 0.0:
            continue
        volume = entry.measure("volume")
        if volume is None:
            return Moved(0.0, 0.0, (), f"{_WORDS[entry.kind]} without a volume")
        total_m3 += sign * volume.value
        variance += sd_of(volume) ** 2
        parts.append((entry.at_s, _WORDS[entry.kind], sign * volume.value))
    run = membrane_into(entries, begin_s, end_s) if place == "stock" else Moved(0.0, 0.0)
    if place == "sap" and membrane_into(entries, begin_s, end_s) != Moved(0.0, 0.0):
        run = Moved(0.0, 0.0, (), "the membrane drew from it")
    sd_m3 = math.sqrt(variance + run.sd_m3**2)
    return Moved(total_m3 + run.volume_m3, sd_m3, (*parts, *run.parts), run.unknown)


_WORDS = {
    "gather": "sap gathered",
    "transfer": "a transfer",
    "dump": "something dumped",
    "spill": "a spill",
    "sap_bought": "sap bought",
    "sap_sold": "sap sold",
}


def direction_of(entry: Entry, place: str) -> float:
    """Return 1 for what came into a place, -1 for what left it, 0 for all else."""
    if entry.kind == "transfer":
        return float(entry.to_place == place) - float(entry.place == place)
    if entry.kind in ("dump", "spill"):
        return -1.0 if entry.place == place else 0.0
    if entry.kind == "sap_sold":
        return -1.0 if place == "sap" else 0.0
    return 1.0 if entry.kind in ("gather", "sap_bought") and place == "sap" else 0.0


def membrane_into(entries: Sequence[Entry], begin_s: float, end_s: float) -> Moved:
    """Return the concentrate that the membrane made between two instants, by its set flow."""
    volume_m3 = variance = 0.0
    parts = []
    for run_s, stop_s, flow in membrane_runs(entries):
        first_s, last_s = max(run_s, begin_s), min(stop_s, end_s)
        if last_s <= first_s:
            continue
        if flow is None:
            return Moved(0.0, 0.0, (), "the membrane ran at a flow that nobody wrote down")
        part_m3 = flow.value * (last_s - first_s)
        volume_m3 += part_m3
        variance += (sd_of(flow) * (last_s - first_s)) ** 2 + 2.0 * (flow.value * CLOCK_SD_S) ** 2
        parts.append((first_s, "concentrate by the membrane's flow", part_m3))
    return Moved(volume_m3, math.sqrt(variance), tuple(parts))


def membrane_runs(entries: Sequence[Entry]) -> list[tuple[float, float, Measure | None]]:
    """Return (begin, end, concentrate flow or None) of all stretches in which the membrane ran.

    A flow that was read later in a run stands for its beginning too. A run that nobody ended in the
    log is taken to have gone on for a day at most.
    """
    found: list[tuple[float, float, Measure | None]] = []
    run: list[tuple[float, Measure | None]] = []
    told = ("membrane_on", "membrane_off", "setpoint", "reading")
    for entry in sorted(entries, key=lambda each: each.at_s):
        if entry.place != "membrane" or entry.kind not in told:
            continue
        flow = entry.measure("concentrate_flow")
        if entry.kind == "membrane_on":
            found += _stretches(run, entry.at_s)
            run = [(entry.at_s, flow)]
        elif entry.kind == "membrane_off":
            begun_s = entry.at_s if entry.begin_s is None else entry.begin_s
            found += _stretches(run or [(begun_s, flow)], entry.at_s)
            run = []
        elif run and flow is not None:
            run.append((entry.at_s, flow))
    return found + _stretches(run, math.inf)


def _stretches(
    run: Sequence[tuple[float, Measure | None]], end_s: float
) -> list[tuple[float, float, Measure | None]]:
    if not run:
        return []
    end_s = min(end_s, run[-1][0] + LONGEST_RUN_S)
    first = next((flow for _, flow in run if flow is not None), None)
    ends_s = [*(at_s for at_s, _ in run[1:]), end_s]
    found = []
    for (at_s, flow), until_s in zip(run, ends_s, strict=True):
        first = flow or first
        if until_s > at_s:
            found.append((at_s, until_s, first))
    return found
