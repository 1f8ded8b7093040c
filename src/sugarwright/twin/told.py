"""What the logbook tells the twin: things done, and things read, in the order of their time."""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import GATHERING
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import sd_of, tank_at
from sugarwright.plant.house import House
from sugarwright.plant.house_tank import Tank
from sugarwright.plant.tanks import capacity_m3, full_depth_m, volume_at_depth_m3, volume_sd_m3

DONE = frozenset(
    {
        *("membrane_on", "membrane_off", "setpoint", "rinse", "wash", "new_membrane"),
        *("fire_lit", "stoke", "fire_out", "draw", "gather"),
        *("transfer", "dump", "spill", "sap_bought", "sap_sold", "wood_in"),
    }
)
"""Kinds of entries that change something in the plant."""

WIDER = {"doubtful": 3.0, "ice": 3.0, "hot": 10.0, "overflow": 2.0, "not_emptied": 1.5}
"""Flags that make a reading less sure, by how much (judgement)."""

_LEAST_SD = {"volume": 0.0005, "brix": 0.05, "temperature": 0.2, "wood": 0.01}
POINTS_APART = 0.5
"""How far what one of several points brought may be from what the others lead to expect (a share).
The ensemble lets all of them run alike; they stand some 0.2 apart (trees, sun, slope), the same way
every day, while a filter takes each reading's error as a new one: so it is made larger by the root
of the half dozen gatherings over which it would be learnt (judgement)."""
_READ_PLACES = ("sap", "stock", "permeate", "pan", "woodpile", "membrane")


@dataclass(frozen=True)
class Reading:
    """One quantity that was read, as the filter takes it.

    Parameters
    ----------
    key : of its entry
    at_s : UTC s
    place : "sap", "stock", "permeate", "gathering:NAME", "membrane", "pan", "woodpile"
    quantity : "volume" (a depth is turned into one), "brix", "temperature", "permeate_flow",
        "concentrate_brix", "wood", "drawn" (since the fire was lit), "come" (sap since the last
        gathering)
    value, sd : in SI; a volume above the rim stays so
    measure : as it was read
    allowed : "", or what the value would have to be within
    sensor : series of the sensor that said so; "" where a person read it
    """

    key: str
    at_s: float
    place: str
    quantity: str
    value: float
    sd: float
    measure: Measure
    allowed: tuple[float, float] | None = None
    sensor: str = ""

    @property
    def name(self) -> tuple[str, str]:
        """Place and quantity: readings of one name speak of the same thing."""
        return self.place, self.quantity


def in_order(entries: Sequence[Entry], until_s: float) -> list[Entry]:
    """Return the entries that the twin takes, in order of time; those of one time as entered."""
    kept = [each for each in entries if each.at_s <= until_s and _speaks(each)]
    return sorted(kept, key=lambda each: (each.at_s, each.made_s, each.key))


def _speaks(entry: Entry) -> bool:
    return entry.kind in DONE or (entry.kind == "reading" and bool(entry.measures))


def digest(entries: Sequence[Entry]) -> str:
    """Return a mark of these entries, in this order: other entries, another mark."""
    mark = 0
    for each in entries:
        values = [measure.value for measure in each.measures]  # else a correction would go unseen
        mark = zlib.crc32(f"{each.key} {each.at_s} {each.kind} {values};".encode(), mark)
    return f"{len(entries)}-{mark:08x}"


def dice(seed: int, *marks: int | str) -> np.random.Generator:
    """Return a source of chance that hangs on nothing but its marks, so that a replay repeats."""
    numbers = [zlib.crc32(m.encode()) if isinstance(m, str) else abs(int(m)) for m in marks]
    return np.random.default_rng(np.random.SeedSequence([abs(int(seed)), *numbers]))


def readings_of(house: House, entry: Entry) -> list[Reading]:
    """Return what an entry says that was read, the surest to be understood first."""
    wider = 1.0
    for flag in entry.flags:
        wider *= WIDER.get(flag, 1.0)
    found = []
    for measure in entry.measures:
        reading = _reading(house, entry, measure, wider)
        if reading is not None:
            found.append(reading)
    return found


def _reading(house: House, entry: Entry, measure: Measure, wider: float) -> Reading | None:
    named = _named(house, entry, measure)
    if named is None:
        return None
    place, quantity = named
    sd = sd_of(measure)
    value, allowed = measure.value, None
    tank = tank_at(house, place)
    if measure.quantity == "depth" and tank is not None:
        understood = _of_depth(tank, measure.value, sd)
        if understood is None:
            return None
        value, sd, allowed = understood
    elif quantity == "volume" and tank is not None:
        allowed = (0.0, capacity_m3(tank))
    if quantity == "come" and len(house.gathering) > 1:
        sd = math.hypot(sd, POINTS_APART * value)
    sd = max(sd, _LEAST_SD.get(quantity, 0.0)) * wider
    sensor = measure.instrument if entry.source == "sensor" else ""
    return Reading(entry.key, entry.at_s, place, quantity, value, sd, measure, allowed, sensor)


def _named(house: House, entry: Entry, measure: Measure) -> tuple[str, str] | None:
    """Return place and quantity of a measure as the filter names them; None: says nothing to it."""
    what = measure.quantity
    if entry.kind == "gather":
        return _gathered(house, entry, what)
    if entry.kind == "draw":
        return ("pan", "drawn") if what == "volume" else None
    if entry.kind in ("membrane_on", "membrane_off", "setpoint") or entry.place == "membrane":
        return _of_membrane(entry, what)
    if entry.kind != "reading":
        return None
    if what in ("volume", "depth") and tank_at(house, entry.place) is not None:
        return entry.place, "volume"
    if what in ("brix", "temperature") and tank_at(house, entry.place) is not None:
        return entry.place, what
    if (entry.place, what) in (("pan", "brix"), ("woodpile", "wood")):
        return entry.place, what
    return None


def _of_membrane(entry: Entry, what: str) -> tuple[str, str] | None:
    if what == "feed_brix":
        return "sap", "brix"
    if entry.kind == "membrane_off" or what not in ("permeate_flow", "concentrate_brix"):
        return None
    return "membrane", what


def _gathered(house: House, entry: Entry, what: str) -> tuple[str, str] | None:
    """A gathering tells what had come: out of the tank of a trip, or by a line since the last."""
    names = [GATHERING + each.name for each in house.gathering]
    place = entry.place
    if not place.startswith(GATHERING):
        if len(names) > 1:
            return None  # nobody says from where
        place = names[0]
    if place not in names:
        return None
    if what == "volume":
        by_hand = house.gathering[names.index(place)].way == "trips"
        return place, "volume" if by_hand else "come"
    if what == "brix" and tank_at(house, place) is not None:
        return place, "brix"
    return None


def _of_depth(
    tank: Tank, depth_m: float, sd_m: float
) -> tuple[float, float, tuple[float, float]] | None:
    """Return volume, its standard deviation and what is possible, from a depth on the stick."""
    try:
        full_m = full_depth_m(tank)
    except InputError:
        return None  # only the tank's volume is known
    rim_m3 = capacity_m3(tank)
    if not 0.0 <= depth_m <= full_m:
        beyond_m3 = rim_m3 * depth_m / full_m
        return beyond_m3, rim_m3 * sd_m / full_m, (0.0, rim_m3)
    volume_m3 = volume_at_depth_m3(tank, depth_m)
    return volume_m3, volume_sd_m3(tank, depth_m, sd_m), (0.0, rim_m3)
