"""Readings of the log that should agree: pairs of instruments, and instruments beside a balance."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sugarwright.errors import InputError
from sugarwright.learning.levels import (
    Moved,
    direction_of,
    levels_of,
    membrane_into,
    moved_into,
)
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.meaning import instrument_of, sd_of, tank_at
from sugarwright.physics.air import standard_pressure_pa
from sugarwright.physics.boiling import boiling_point_c
from sugarwright.physics.hydrometer import GLASS_EXPANSION_PER_K
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.assemble import COLD_C
from sugarwright.plant.house import House
from sugarwright.plant.tanks import volume_at_depth_m3

TOGETHER_S = 1800.0  # readings of one liquid no farther apart
CALIBRATED_C = 15.556  # 60 °F, at which hydrometers of the trade read true
CLEAN_BRIX = 0.05  # what else may be in clean water: judgement
UNKNOWN_WARMTH_BRIX = 0.25  # water from a cold tap to a warm room moves a hydrometer so much
WATER = {"boiling water": "boiling", "ice water": "ice"}


@dataclass(frozen=True)
class Pair:
    """One comparison.

    Parameters
    ----------
    at_s : UTC s
    quantity : "brix", "temperature" or "volume" (then a difference of logarithms)
    parts : instrument -> factor of its bias in the difference
    difference, sd : read, and its standard uncertainty
    """

    at_s: float
    quantity: str
    parts: tuple[tuple[str, float], ...]
    difference: float
    sd: float


def pairs_of(house: House, entries: Sequence[Entry]) -> list[Pair]:
    """Return every comparison that the log holds.

    Parameters
    ----------
    house : its tanks and elevation
    entries : that stand, in order of time
    """
    found = [*_brix_pairs(entries), *_clean_water(entries), *_water(house, entries)]
    return [*found, *_concentrate(entries), *_volumes(house, entries)]


def _brix_pairs(entries: Sequence[Entry]) -> Iterator[Pair]:
    """Yield readings of one liquid with two instruments, shortly after each other."""
    read = [
        (each, measure)
        for each in entries
        if each.place not in ("", "water") and (measure := each.measure("brix")) is not None
        if "hot" not in each.flags and "ice" not in each.flags
    ]
    used: set[str] = set()
    for place, (entry, measure) in enumerate(read):
        for later, other in read[place + 1 :]:
            if later.at_s - entry.at_s > TOGETHER_S:
                break
            first, second = instrument_of(measure), instrument_of(other)
            if later.place != entry.place or first == second or {entry.key, later.key} & used:
                continue
            if not _still(entries, entry.place, entry.at_s, later.at_s):
                continue
            used |= {entry.key, later.key}
            sd = math.hypot(sd_of(measure), sd_of(other))
            parts = ((first, 1.0), (second, -1.0))
            yield Pair(entry.at_s, "brix", parts, measure.value - other.value, sd)


def _clean_water(entries: Sequence[Entry]) -> Iterator[Pair]:
    """Yield instruments of strength that were held in clean water, where there is none.

    Cold water carries a hydrometer higher and warm water lower than water at which it reads true.
    """
    for entry in entries:
        measure = entry.measure("brix")
        if entry.place != "water" or measure is None:
            continue
        name, temperature_c = instrument_of(measure), entry.value("temperature")
        true_brix, unsure_brix = 0.0, CLEAN_BRIX
        if name == "hydrometer" and temperature_c is not None:
            true_brix = shown_in_water_brix(temperature_c)
        elif name == "hydrometer":
            unsure_brix = UNKNOWN_WARMTH_BRIX
        if measure.value <= 0.0 and true_brix < -CLEAN_BRIX:
            continue  # below its scale: nobody can read how far
        sd = math.hypot(sd_of(measure), unsure_brix)
        yield Pair(entry.at_s, "brix", ((name, 1.0),), measure.value - true_brix, sd)


def shown_in_water_brix(temperature_c: float) -> float:
    """Return what a true hydrometer shows in clean water, below its scale where that is warm.

    Parameters
    ----------
    temperature_c : of the water [°C], 0 to 40
    """
    warmth_k = temperature_c - CALIBRATED_C
    felt_kg_m3 = density_kg_m3(0.0, temperature_c) * (1.0 + GLASS_EXPANSION_PER_K * warmth_k)
    zero_kg_m3, one_kg_m3 = (density_kg_m3(brix, CALIBRATED_C) for brix in (0.0, 1.0))
    return (felt_kg_m3 - zero_kg_m3) / (one_kg_m3 - zero_kg_m3)


def _still(entries: Sequence[Entry], place: str, begin_s: float, end_s: float) -> bool:
    """Tell whether nothing was logged that changes the strength of a place meanwhile.

    What leaves a tank, by the membrane or by hand, leaves the rest as strong as it was.
    """
    if place == "stock" and membrane_into(entries, begin_s, end_s) != Moved(0.0, 0.0):
        return False
    return not any(
        begin_s < each.at_s <= end_s and direction_of(each, place) > 0.0 for each in entries
    )


def _water(house: House, entries: Sequence[Entry]) -> Iterator[Pair]:
    """Yield thermometers in boiling water, at the usual pressure of the place, and in ice water.

    A reading is one of these when its note says so. The day's pressure moves the boiling point by
    some 0.3 K about the usual.
    """
    boiling_c = boiling_point_c(0.0, standard_pressure_pa(house.site.elevation_m))
    for entry in entries:
        measure = entry.measure("temperature")
        note = " ".join(entry.words.get("note", "").lower().split())
        liquid = next((name for words, name in WATER.items() if words in note), None)
        if measure is None or liquid is None:
            continue
        true_c, unsure_k = (boiling_c, 0.3) if liquid == "boiling" else (0.0, 0.1)
        sd = math.hypot(sd_of(measure), unsure_k)
        parts = ((instrument_of(measure), 1.0),)
        yield Pair(entry.at_s, "temperature", parts, measure.value - true_c, sd)


def _concentrate(entries: Sequence[Entry]) -> Iterator[Pair]:
    """Yield the concentrate's reading beside what feed and flows say: all sugar stays in it."""
    for entry in entries:
        feed, out = entry.measure("feed_brix"), entry.measure("concentrate_brix")
        slow, fast = entry.measure("concentrate_flow"), entry.measure("permeate_flow")
        if feed is None or out is None or slow is None or fast is None or slow.value <= 0.0:
            continue
        # By mass: what comes in is what goes out, as concentrate and as water.
        strong_kg_s = slow.value * density_kg_m3(min(max(out.value, 0.0), 40.0), COLD_C)
        water_kg_s = fast.value * density_kg_m3(0.0, COLD_C)
        times = 1.0 + water_kg_s / strong_kg_s
        flows = math.hypot(sd_of(slow) / slow.value, sd_of(fast) / max(fast.value, 1e-12))
        by_flows_sd = feed.value * (times - 1.0) * flows
        sd = math.sqrt(sd_of(out) ** 2 + (times * sd_of(feed)) ** 2 + by_flows_sd**2)
        parts = ((instrument_of(out), 1.0), (instrument_of(feed), -times))
        yield Pair(entry.at_s, "brix", parts, out.value - times * feed.value, sd)


def _volumes(house: House, entries: Sequence[Entry]) -> Iterator[Pair]:
    """Yield a stick beside marks in one tank, and beside a meter through which its tank filled."""
    for entry in entries:
        depth, volume = entry.measure("depth"), entry.measure("volume")
        tank = tank_at(house, entry.place)
        if entry.kind != "reading" or depth is None or volume is None or tank is None:
            continue
        try:
            by_stick_m3 = volume_at_depth_m3(tank, depth.value)
            more_m3 = volume_at_depth_m3(tank, depth.value + sd_of(depth))
        except InputError:
            continue
        if min(by_stick_m3, volume.value) > 0.0:
            sd = math.hypot(more_m3 / by_stick_m3 - 1.0, sd_of(volume) / volume.value)
            gap = math.log(by_stick_m3 / volume.value)
            parts = ((instrument_of(depth), 1.0), (instrument_of(volume), -1.0))
            yield Pair(entry.at_s, "volume", parts, gap, sd)
    yield from _metered(house, entries)


def _metered(house: House, entries: Sequence[Entry]) -> Iterator[Pair]:
    """Yield the stick's rise in the sap tank beside what a meter let in meanwhile."""
    stuck = [each for each in entries if each.measure("depth") is not None]
    levels = levels_of(house, stuck, "sap")
    for before, after in pairwise(levels):
        came = [
            each
            for each in entries
            if before.at_s < each.at_s <= after.at_s and each.kind == "gather"
        ]
        meters = [each.measure("volume") for each in came]
        moved = moved_into(entries, "sap", before.at_s, after.at_s)
        rise_m3 = after.volume_m3 - before.volume_m3
        if not meters or any(each is None or each.instrument != "meter" for each in meters):
            continue
        others = len(moved.parts) != len(came) or moved.unknown
        if others or min(rise_m3, moved.volume_m3) <= 0.0:
            continue
        by_stick = math.hypot(before.sd_m3, after.sd_m3) / rise_m3
        sd = math.hypot(by_stick, moved.sd_m3 / moved.volume_m3)
        gap = math.log(rise_m3 / moved.volume_m3)
        yield Pair(after.at_s, "volume", (("stick", 1.0), ("meter", -1.0)), gap, sd)
