"""An invented sugarhouse in steady air, and entries of its log, for tests of the twin."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np

from plant_houses import GALLON_M3
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.twin.air import Air
from sugarwright.twin.ensemble import Ground
from sugarwright.twin.report import NowReport, TankNow
from sugarwright.twin.told import in_order
from sugarwright.twin.track import Track, follow, start

BEGIN_S = 1426176000  # 12 March 2015, 12 in the house's clock
HOUR_S = 3600
HOUSE = """\
[site]
name = "Invented house"
latitude = 42.6
longitude = -72.9
timezone = "America/New_York"
[[gathering]]
name = "home"
taps = 310
[[gathering]]
name = "far"
taps = 60
way = "trips"
[gathering.tank]
volume = "100 gal"
[gathering.trips]
[tank.sap]
shape = "box"
length = "4 ft"
width = "4 ft"
height = "3.5 ft"
[tank.stock]
volume = "160 gal"
[tank.permeate]
volume = "310 gal"
[membrane]
[pan]
boil_rate = "21 gal/h"
[[people]]
[trees]
tapped = 2015-03-03
"""


@cache
def house() -> House:
    """The invented house."""
    return parse_house(HOUSE)


@cache
def plant() -> Plant:
    """The same, assembled."""
    return assemble(house())


def ground(members: int = 60, warm_c: float = -3.0) -> Ground:
    """What the twin stands on: the same air day and night, so that no sap runs below freezing."""
    first_s = BEGIN_S - 20 * 86400
    hours = 30 * 24
    air = Air(first_s, np.full((members, hours), warm_c), "made up", first_s + hours * HOUR_S)
    return Ground(plant(), air, members=members)


def entry(kind: str, hour: float, place: str, *measures: Measure, flags: str = "") -> Entry:
    """One entry, some hours after the begin."""
    at_s = BEGIN_S + hour * HOUR_S
    key = f"{kind} {place} {hour}"
    marks = (flags,) if flags else ()
    return Entry(key, kind, at_s, at_s, place=place, measures=measures, flags=marks)


def gallons(place: str, hour: float, gal: float) -> Entry:
    """A level read, and typed in gallons."""
    measure = Measure("volume", gal * GALLON_M3, typed=f"{gal:g} gal")
    return entry("reading", hour, place, measure)


def followed(*told: Entry, members: int = 60, sensed: Sequence[Entry] = ()) -> Track:
    """The track after these entries."""
    on = ground(members)
    ordered = in_order(told, np.inf)
    first_s = min(each.at_s for each in (*ordered, *sensed))
    return follow(on, start(on, first_s), ordered, sensed=sensed)


def tank_at(report: NowReport, place: str) -> TankNow:
    """One tank of a report."""
    return next(each for each in report.tanks if each.place == place)


class States:
    """States kept in memory."""

    def __init__(self) -> None:
        self.kept: list[tuple[str, float, bytes]] = []

    def keep_state(self, name: str, time_s: float, content: bytes, made_s: float) -> None:
        self.kept.append((name, time_s, content))

    def state(self, name: str, before_s: float | None = None) -> tuple[float, bytes] | None:
        limit = np.inf if before_s is None else before_s
        found = [(t, blob) for of, t, blob in self.kept if of == name and t < limit]
        return max(found, key=lambda each: each[0], default=None)
