"""What can be: limits of what is logged, by the house, and what was meant when one is passed.

A value beyond them is asked about, and kept only when the person says that it is so; then it bears
the flag "doubtful". What is odd in the light of other entries is the twin's business, not this.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from sugarwright.errors import InputError
from sugarwright.logbook.catalogue import GATHERING
from sugarwright.logbook.entry import Measure
from sugarwright.logbook.meaning import tank_at
from sugarwright.logbook.vocabulary import kind_of_quantity
from sugarwright.plant.house import Gathering, House
from sugarwright.plant.house_tank import Tank
from sugarwright.plant.tanks import capacity_m3, full_depth_m
from sugarwright.units import FLOW, parse, show

_JUDGED: Mapping[str, tuple[float, float]] = {
    "volume": (0.0, 200.0),
    "depth": (0.0, 12.0),
    "temperature": (-2.0, 60.0),
    "pressure": (0.0, 8e6),
    "concentrate_flow": (0.0, 0.01),
    "permeate_flow": (0.0, 0.01),
    "feed_brix": (0.0, 30.0),
    "concentrate_brix": (0.3, 40.0),
    "permeate_brix": (0.0, 3.0),
    "brix": (0.0, 75.0),
    "vacuum": (0.0, 1.0e5),
    "wood": (0.0, 700.0),
    "duration": (0.0, 7 * 86400.0),
    "count": (0.0, 1e5),
    "money": (0.0, 1e6),
    "light": (0.0, 100.0),
}
"""Ends of what can be anywhere, SI; judgements, wide on purpose."""
_BRIX: Mapping[str, tuple[float, float]] = {
    "sap": (0.3, 8.0),
    "stock": (0.5, 40.0),
    "permeate": (0.0, 3.0),
    "pan": (0.0, 75.0),
    "water": (0.0, 5.0),
    "syrup": (50.0, 75.0),
    "draw": (50.0, 75.0),
}
_FLOWS = {"concentrate_flow": 4.0, "permeate_flow": 12.0}
"""Times the most concentrate that the membrane is ever set to; judgements."""
_HOT = ("pan", "syrup")
_GATHERED_M3_PER_TAP = 0.06
_SYRUP_M3_PER_TAP = 0.008
"""More than a very good spring gives a tap; judgements."""


@dataclass(frozen=True)
class Doubt:
    """A value beyond what can be.

    Parameters
    ----------
    measure : it
    what : in a clause, what is wrong ("is more than the tank holds")
    allowed : what can be
    meant : the value that was probably meant, as one types it; may be empty
    """

    measure: Measure
    what: str
    allowed: str
    meant: str


class DoubtError(InputError):
    """Something typed is beyond what can be: ask the person, who may be sure of it."""

    def __init__(self, doubt: Doubt, place: str, sure_hint: str) -> None:
        self.doubt = doubt
        meant = f'Did you mean "{doubt.meant}"? ' if doubt.meant else ""
        name = f"{place} {doubt.measure.quantity.replace('_', ' ')}".strip()
        super().__init__(
            name, doubt.measure.typed, doubt.what, doubt.allowed, f"{meant}{sure_hint}"
        )


def brix_range(kind: str, place: str) -> tuple[float, float]:
    """Return the strengths that can be read at a place."""
    if kind in ("gather", "sap_bought", "sap_sold") or place.startswith(GATHERING):
        return _BRIX["sap"]
    if kind in ("draw", "syrup"):
        return _BRIX[kind]
    return _BRIX.get(place, _JUDGED["brix"])


def doubt_of(house: House, kind: str, place: str, to_place: str, measure: Measure) -> Doubt | None:
    """Return what is to be asked about a measure; None when it can be."""
    least, greatest, what = _limits(house, kind, place, to_place, measure.quantity)
    slack = 1e-9 * max(abs(greatest), 1.0)
    if least - slack <= measure.value <= greatest + slack:
        return None
    if measure.value < least:
        what = "is less than can be"
    allowed = range_text(house, kind, place, measure.quantity, to_place)
    return Doubt(measure, what, allowed, _meant(measure, least, greatest))


def range_text(house: House, kind: str, place: str, quantity: str, to_place: str = "") -> str:
    """Return what a quantity can be there, as the house reads it: "0 in to 54.3 in"."""
    least, greatest, _ = _limits(house, kind, place, to_place, quantity)
    kind_of_unit, system = kind_of_quantity(quantity), house.site.units
    if kind_of_unit is None:
        return f"{least:g} to {greatest:g}"
    unit = kind_of_unit.display_unit(greatest, system)
    return " to ".join(show(end, kind_of_unit, system, unit=unit) for end in (least, greatest))


def _limits(
    house: House, kind: str, place: str, to_place: str, quantity: str
) -> tuple[float, float, str]:
    """Return least, greatest, and what it is when the greatest is passed."""
    least, greatest = _JUDGED[quantity]
    if quantity == "brix":
        return (*brix_range(kind, place), f"is more Brix than {_liquid(kind, place)} has")
    if quantity == "temperature" and place in _HOT:
        return least, 125.0, "is hotter than syrup gets"
    if quantity == "temperature" and place == "air":
        return -50.0, 45.0, "is no air of a sugaring season"
    if quantity == "depth" and (full_m := _rim_m(tank_at(house, place))) is not None:
        return 0.0, full_m, "is above the rim of the tank"
    if quantity == "volume":
        return 0.0, *_most_volume(house, kind, place, to_place)
    if quantity.endswith("_flow") and house.membrane is not None:
        return 0.0, _FLOWS[quantity] * house.membrane.most_flow_m3_s, "is more than can be"
    if quantity == "count" and kind in ("tapped", "pulled"):
        taps = sum(each.taps for each in _gatherings(house, place))
        return 0.0, 2.0 * taps, "is far more taps than the house has"
    return least, greatest, "is more than can be"


def _most_volume(house: House, kind: str, place: str, to_place: str) -> tuple[float, str]:
    if kind in ("reading", "dump", "spill", "transfer"):
        tanks = [tank_at(house, place)]
        tanks += [tank_at(house, to_place)] if kind == "transfer" else []
        sizes = [capacity_m3(tank) for tank in tanks if tank is not None]
        if sizes:
            return min(sizes), "is more than the tank holds"
    if place == "pan":
        return 1.5 * sum(house.pan.compartments_m3), "is more than the pan holds"
    if kind == "gather":
        taps = sum(each.taps for each in _gatherings(house, place))
        return _GATHERED_M3_PER_TAP * taps, "is more than these taps give"
    if kind in ("syrup", "syrup_sold"):
        taps = sum(each.taps for each in house.gathering)
        return _SYRUP_M3_PER_TAP * taps, "is more than a spring of these taps gives"
    return _JUDGED["volume"][1], "is more than can be"


def _gatherings(house: House, place: str) -> list[Gathering]:
    """Return the gathering at a place; all of them where the place names none."""
    name = place.removeprefix(GATHERING)
    return [each for each in house.gathering if each.name == name] or list(house.gathering)


def _liquid(kind: str, place: str) -> str:
    names = {"sap": "sap", "stock": "concentrate", "permeate": "permeate"}
    if kind in ("draw", "syrup"):
        return "syrup"
    return names.get(place, "sap" if brix_range(kind, place) == _BRIX["sap"] else "it")


def _rim_m(tank: Tank | None) -> float | None:
    if tank is None or tank.shape == "plain":
        return None
    return full_depth_m(tank)


def _meant(measure: Measure, least: float, greatest: float) -> str:
    """Ask back where the point is missing or misplaced (19 for 1.9), or minutes stand for hours."""
    number, _, unit = measure.typed.partition(" ")
    kind = kind_of_quantity(measure.quantity)
    try:
        typed = float(number)
    except ValueError:
        return ""
    tries = [f"{typed * by:.6g} {unit}".strip() for by in (0.1, 0.01, 10.0)]
    if kind is FLOW:
        tries.insert(0, f"{number} {'gal/h' if unit.startswith('g') else 'L/h'}")
    for text in tries if typed > 0.0 and not re.search("[0-9] ", unit) else ():
        try:
            value = float(text.split()[0]) if kind is None else parse(text, kind)
        except InputError:  # beyond what can exist at all, as 190 Brix
            continue
        if max(least, 0.0) < value <= greatest or 0.0 < least <= value <= greatest:
            return text.removesuffix(" Brix")
    return ""
