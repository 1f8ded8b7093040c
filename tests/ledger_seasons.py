"""A small invented season that balances to the last gram, logged without any error of reading.

Each day sap is gathered, most of it goes through the membrane, and the concentrate is boiled in
the evening. What the pan boils off is what its fire does in the hours entered.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from sugarwright.logbook.entry import Entry, Measure
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.tanks import depth_at_volume_m
from sugarwright.units import LENGTH, VOLUME, to_unit

TOML = """\
[site]
name = "Fern Gully (invented)"
latitude = 44.2
longitude = -72.1
timezone = "America/New_York"
[[gathering]]
name = "north"
taps = 200
[tank.sap]
shape = "upright cylinder"
diameter = "50 in"
height = "62 in"
[tank.stock]
shape = "box"
length = "48 in"
width = "30 in"
height = "34 in"
[tank.permeate]
shape = "box"
length = "60 in"
width = "48 in"
height = "60 in"
[membrane]
exit_pressure = "120 psi"
least_flow = "9 gal/h"
most_flow = "50 gal/h"
[pan]
boil_rate = "24 gal/h"
[[people]]
weekdays = ["06:00-22:30"]
weekends = ["06:00-22:30"]
[trees]
tapped = 2027-03-01
"""
DAY_S = 86400.0
BEGIN_S = 1804000000.0 - 1804000000.0 % DAY_S + 5 * 3600.0  # midnight in the house's zone
DAYS = 10
PAN_KG, PAN_BRIX = 98.0, 15.0


@cache
def house() -> House:
    return parse_house(TOML)


@dataclass
class Tank:
    mass: float
    sugar: float

    @property
    def brix(self) -> float:
        return 100.0 * self.sugar / self.mass

    @property
    def volume(self) -> float:
        return self.mass / density_kg_m3(self.brix, 4.0)

    def take(self, mass: float) -> float:
        sugar = mass * self.sugar / self.mass
        self.mass -= mass
        self.sugar -= sugar
        return sugar


class Book:
    """The entries, as they are written."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []

    def add(self, kind: str, at_s: float, place: str, *measures: Measure) -> None:
        key = f"{len(self.entries):04d}{kind}"
        self.entries.append(Entry(key, kind, at_s, at_s, place=place, measures=measures))


def litres(volume_m3: float) -> Measure:
    return Measure("volume", volume_m3, typed=f"{to_unit(volume_m3, VOLUME, 'gal'):.1f} gal")


def stick(place: str, volume_m3: float) -> Measure:
    tanks = {
        "sap": house().sap_tank, "stock": house().stock_tank, "permeate": house().permeate_tank
    }  # fmt: skip
    tank = tanks[place]
    assert tank is not None
    depth_m = depth_at_volume_m(tank, volume_m3)
    return Measure("depth", depth_m, typed=f"{to_unit(depth_m, LENGTH, 'in'):.2f} in")


def brix(value: float) -> Measure:
    return Measure("brix", value, typed=f"{value:.2f}")


@cache
def season() -> tuple[Entry, ...]:
    """Return ten days; SUGAR_KG holds what came and what was drawn."""
    book, boil_kg_s = Book(), house().pan.boil_rate_m3_s * density_kg_m3(0.0, 4.0)
    sap, stock, permeate = Tank(60.0, 1.2), Tank(40.0, 2.4), Tank(300.0, 0.0)
    for day in range(DAYS):
        at_s = BEGIN_S + day * DAY_S
        _round(book, at_s + 6.5 * 3600.0, sap, stock, permeate)
        mass, strength = 900.0 + 40.0 * (day % 4), 1.9 + 0.05 * (day % 3)
        sap.mass += mass
        sap.sugar += mass * strength / 100.0
        volume_m3 = mass / density_kg_m3(strength, 4.0)
        book.add(
            "gather", at_s + 7.5 * 3600.0, "gathering:north", litres(volume_m3), brix(strength)
        )
        fed = sap.mass - 60.0
        sugar, passed = sap.take(fed), 0.66 * fed
        stock.mass += fed - passed
        stock.sugar += sugar
        permeate.mass += passed
        book.add("membrane_on", at_s + 8.0 * 3600.0, "membrane")
        flow = Measure("permeate_flow", passed / 1000.0 / (7.0 * 3600.0))
        book.add("reading", at_s + 10.0 * 3600.0, "membrane", flow)
        book.add("membrane_off", at_s + 15.0 * 3600.0, "membrane")
        book.add("rinse", at_s + 15.1 * 3600.0, "membrane", litres(0.6))
        permeate.mass -= density_kg_m3(0.0, 4.0) * 0.6
        _round(book, at_s + 15.5 * 3600.0, sap, stock, permeate)
        _boil(book, at_s + 16.0 * 3600.0, stock, boil_kg_s)
        _round(book, at_s + 22.5 * 3600.0, sap, stock, permeate)
    return tuple(book.entries)


def _boil(book: Book, at_s: float, stock: Tank, boil_kg_s: float) -> None:
    """Boil down to 40 kg; the pan's own liquid stays as it is."""
    feed = stock.mass - 40.0
    sugar = stock.take(feed)
    syrup = sugar / 0.669
    light_s, burn_s = house().pan.light_up_s, house().pan.burn_down_s
    fire_s = (feed - syrup) / boil_kg_s + light_s - burn_s
    book.add("fire_lit", at_s, "pan")
    book.add("fire_out", at_s + fire_s, "pan")
    volume_m3 = syrup / density_kg_m3(66.9, 20.0)
    book.add("draw", at_s + fire_s + 60.0, "pan", litres(volume_m3), brix(66.9))


def _round(book: Book, at_s: float, sap: Tank, stock: Tank, permeate: Tank) -> None:
    book.add("reading", at_s, "sap", stick("sap", sap.volume), brix(sap.brix))
    book.add("reading", at_s + 60.0, "stock", stick("stock", stock.volume), brix(stock.brix))
    book.add("reading", at_s + 120.0, "permeate", stick("permeate", permeate.mass / 1000.0))


def changed(key: str, quantity: str, value: float, typed: str) -> tuple[Entry, ...]:
    """Return the season with another number in one entry."""

    def new(entry: Entry) -> Entry:
        measures = tuple(
            replace(each, value=value, typed=typed) if each.quantity == quantity else each
            for each in entry.measures
        )
        return replace(entry, measures=measures)

    return tuple(new(each) if each.key == key else each for each in season())


def entry(kind: str, place: str, number: int) -> Entry:
    """Return the so-manieth entry of a kind at a place."""
    return [each for each in season() if each.kind == kind and each.place == place][number]
