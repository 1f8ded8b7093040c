"""Boils of the log as chains: what left the pan's tank from reading to reading while a fire burnt.

What the tank lost and did not get back went to the pan. What of it became syrup is taken off, the
rest went up as steam. Each part carries the uncertainty of its own instrument.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.fires import Fire, fires_of
from sugarwright.learning.levels import CLOCK_SD_S, Level, Moved, levels_of, moved_into
from sugarwright.learning.remarks import Remark
from sugarwright.learning.robust import Chain, Slip
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.meaning import sd_of
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.assemble import COLD_C
from sugarwright.plant.house import House
from sugarwright.plant.pan_kernel import EMBERS_FRACTION

Floats = NDArray[np.float64]

FARTHEST_S = 18 * 3600.0  # a reading farther from the fire says too little of it
SLIP_M3_FRACTION = 0.3  # of what the tank holds: how far a wrong level may lie
SYRUP_SD_FRACTION = 0.5  # of syrup that nobody measured: what is still in the pan differs
HOT_SD_FRACTION = 0.04  # a draw is measured hot, when syrup stands four parts in a hundred higher
NEW_SEASON_S = 45 * 86400.0  # after so long without a fire the pan was empty
DILIGENT_S = 10 * 86400.0
FILLING = (1.0, 0.25)  # of the pan's volume: how much its first filling took of the tank, and sd


@dataclass(frozen=True)
class Boil:
    """A fire, or several between two readings, with what they took from the tank.

    Parameters
    ----------
    fires : in order
    times_s : (windows + 1,) UTC s of the readings
    chain : volume of feed that became steam in each window [m3]
    fed_brix : strength of the feed
    syrup_kg : of the whole boil, as logged or estimated
    """

    fires: tuple[Fire, ...]
    times_s: Floats
    chain: Chain
    fed_brix: float
    syrup_kg: float


def feed_place(house: House) -> str:
    """Return the place of the log that feeds the pan."""
    return "sap" if house.stock_tank is None else "stock"


def boils_of(house: House, entries: Sequence[Entry]) -> tuple[list[Boil], list[Remark]]:
    """Return the boils that the log can tell something of, and why it cannot of the others."""
    place = feed_place(house)
    levels = levels_of(house, entries, place)
    fires, notes = fires_of(entries)
    found: list[Boil] = []
    for fires_between, read in _sessions(house, fires, levels):
        lit_s = fires_between[0].lit_s
        if read is None:
            notes.append(Remark(lit_s, "a fire without a reading of the tank before and after it"))
            continue
        before = [each.out_s for each in fires if each.out_s < lit_s]
        is_first = not before or lit_s - max(before) > NEW_SEASON_S
        boil = _boil(house, entries, place, fires_between, read, is_first)
        if isinstance(boil, Boil):
            found.append(boil)
        else:
            notes.append(Remark(lit_s, f"a fire that says nothing: {boil}"))
    return found, notes


def _sessions(
    house: House, fires: Sequence[Fire], levels: Sequence[Level]
) -> list[tuple[tuple[Fire, ...], list[Level] | None]]:
    """Group fires with the readings about them; fires with none between them go together."""
    dies_s = house.pan.burn_down_s * math.log(1.0 / EMBERS_FRACTION)
    found: list[tuple[tuple[Fire, ...], list[Level] | None]] = []
    place = 0
    while place < len(fires):
        group = [fires[place]]
        place += 1
        after: list[Level] = []
        while True:
            last_s = group[-1].out_s
            next_s = fires[place].lit_s if place < len(fires) else math.inf
            until_s = min(next_s + CLOCK_SD_S, last_s + FARTHEST_S)
            after = [each for each in levels if last_s - CLOCK_SD_S <= each.at_s <= until_s]
            if after or next_s > last_s + FARTHEST_S:
                break
            group.append(fires[place])
            place += 1
        found.append((tuple(group), _about(group, after, levels, dies_s)))
    return found


def _about(
    group: Sequence[Fire], after: Sequence[Level], levels: Sequence[Level], dies_s: float
) -> list[Level] | None:
    """Return the readings from the last before the first fire to the first after the last died."""
    lit_s, out_s = group[0].lit_s, group[-1].out_s
    earlier = [each for each in levels if lit_s - FARTHEST_S <= each.at_s <= lit_s + 5 * CLOCK_SD_S]
    if not after or not earlier:
        return None
    settled = [each for each in after if each.at_s >= out_s + dies_s]
    last = settled[0] if settled else after[-1]
    return [each for each in levels if earlier[-1].at_s <= each.at_s <= last.at_s]


def _boil(
    house: House,
    entries: Sequence[Entry],
    place: str,
    fires: tuple[Fire, ...],
    read: Sequence[Level],
    is_first: bool,
) -> Boil | str:
    """Return the boil, or why it tells nothing."""
    if place == "sap" and any(each.way == "gravity" for each in house.gathering):
        spans = list(pairwise(read))
        here = [each for each in entries if each.kind == "gather"]
        if not any(a.at_s < each.at_s <= b.at_s for each in here for a, b in spans):
            return "sap runs into the tank by itself, and no gathering was written down"
    moved = [moved_into(entries, place, a.at_s, b.at_s) for a, b in pairwise(read)]
    unknown = next((each.unknown for each in moved if each.unknown), "")
    if unknown:
        return unknown
    brix = _feed_brix(house, entries, place, read)
    feed_kg_m3 = density_kg_m3(brix, COLD_C)
    gone_m3 = [
        a.volume_m3 - b.volume_m3 + into.volume_m3
        for (a, b), into in zip(pairwise(read), moved, strict=True)
    ]
    drawn = _drawn_kind(entries, read[0].at_s, read[-1].at_s)
    syrup = [
        _logged_syrup(house, entries, drawn, a.at_s, b.at_s)
        if drawn
        else _expected_syrup(house, max(gone, 0.0) * feed_kg_m3, brix)
        for (a, b), gone in zip(pairwise(read), gone_m3, strict=True)
    ]
    steam_m3 = np.array(gone_m3) - np.array([each[0] for each in syrup]) / feed_kg_m3
    covariance = _covariance(read, moved, [each[1] / feed_kg_m3 for each in syrup])
    if is_first:
        full_m3 = sum(house.pan.compartments_m3)
        steam_m3[0] -= FILLING[0] * full_m3
        covariance[0, 0] += (FILLING[1] * full_m3) ** 2
    covariance += _hours(house, fires, read)
    slips = _slips(read, moved)
    what = "this boil: its hours, or something that was not logged"
    chain = Chain(fires[0].lit_s, what, steam_m3, covariance, slips)
    times_s = np.array([each.at_s for each in read])
    return Boil(fires, times_s, chain, brix, sum(each[0] for each in syrup))


def _covariance(
    read: Sequence[Level], moved: Sequence[Moved], syrup_sd_m3: Sequence[float]
) -> Floats:
    """Neighbouring windows share a reading: what one gains by its error the other loses."""
    own = np.array([each.sd_m3**2 for each in read])
    matrix = np.diag(own[:-1] + own[1:])
    for at in range(len(moved)):
        matrix[at, at] += moved[at].sd_m3 ** 2 + syrup_sd_m3[at] ** 2
    for at in range(1, len(moved)):
        matrix[at - 1, at] = matrix[at, at - 1] = -own[at]
    return matrix


def _hours(house: House, fires: Sequence[Fire], read: Sequence[Level]) -> Floats:
    """Return what hours that are a little off do to the windows in which a fire begins or ends."""
    variance = np.zeros(len(read) - 1)
    ends_s = [each.at_s for each in read[1:]]
    for fire in fires:
        for at_s in (fire.lit_s, fire.out_s):
            window = min(sum(end_s < at_s for end_s in ends_s), len(variance) - 1)
            variance[window] += (CLOCK_SD_S * house.pan.boil_rate_m3_s) ** 2
    return np.diag(variance)


def _slips(read: Sequence[Level], moved: Sequence[Moved]) -> tuple[Slip, ...]:
    windows = len(moved)
    found = []
    largest_m3 = max(each.volume_m3 for each in read)
    for at, level in enumerate(read):
        effect = np.zeros(windows)
        if at < windows:
            effect[at] += 1.0
        if at > 0:
            effect[at - 1] -= 1.0
        found.append(Slip(level.at_s, "the tank reading", effect, SLIP_M3_FRACTION * largest_m3))
    for at, into in enumerate(moved):
        effect = np.eye(windows)[at]
        for at_s, words, volume_m3 in into.parts:
            found.append(Slip(at_s, words, effect, abs(volume_m3)))
    return tuple(found)


def _feed_brix(house: House, entries: Sequence[Entry], place: str, read: Sequence[Level]) -> float:
    """Return the last Brix read of the feed by the end of the boil, else a usual one."""
    keys = ("brix",) if place == "sap" else ("brix", "concentrate_brix")
    found = [
        value
        for entry in sorted(entries, key=lambda each: each.at_s)
        if read[0].at_s - 2 * 86400.0 <= entry.at_s <= read[-1].at_s
        and entry.place in (place, "membrane")
        for key in keys
        if (value := entry.value(key)) is not None
    ]
    usual = house.trees.sap_brix * (1.0 if place == "sap" else 4.0)
    return min(max(found[-1] if found else usual, 0.5), 30.0)


def _drawn_kind(entries: Sequence[Entry], begin_s: float, end_s: float) -> str:
    """Return which entries tell the syrup of a boil: its draws, else what was measured, or none.

    Who writes draws down in the weeks about it had none where there is none.
    """
    here = {
        each.kind
        for each in entries
        if begin_s - DILIGENT_S < each.at_s <= end_s + DILIGENT_S
        and each.measure("volume") is not None
        and (each.kind == "draw" or begin_s < each.at_s <= end_s)
    }
    return next((kind for kind in ("draw", "syrup") if kind in here), "")


def _logged_syrup(
    house: House, entries: Sequence[Entry], kind: str, begin_s: float, end_s: float
) -> tuple[float, float]:
    """Return syrup drawn between two instants by the log, and its uncertainty [kg]."""
    drawn_m3 = variance = 0.0
    for entry in entries:
        volume = entry.measure("volume") if entry.kind == kind else None
        if volume is not None and begin_s < entry.at_s <= end_s:
            drawn_m3 += volume.value
            variance += sd_of(volume) ** 2 + (HOT_SD_FRACTION * volume.value) ** 2
    syrup_kg_m3 = density_kg_m3(house.pan.finish_brix, 20.0)
    return drawn_m3 * syrup_kg_m3, math.sqrt(variance) * syrup_kg_m3


def _expected_syrup(house: House, fed_kg: float, brix: float) -> tuple[float, float]:
    """Return the syrup that the sugar in the feed will be in the end, and how unsure that is."""
    expected_kg = fed_kg * brix / house.pan.finish_brix
    return expected_kg, SYRUP_SD_FRACTION * expected_kg
