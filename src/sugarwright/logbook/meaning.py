"""What an entry's places and measures are in the house: the tank meant, how sure a number is."""

from __future__ import annotations

from sugarwright.logbook.catalogue import GATHERING, usual_sd
from sugarwright.logbook.entry import Measure
from sugarwright.plant.house import House
from sugarwright.plant.house_tank import Tank

UNKNOWN_FRACTION = 0.05
"""How unsure a value is, of itself, for which no instrument is known: judgement."""


def tank_at(house: House, place: str) -> Tank | None:
    """Return the tank at a place of the log, if the house describes one there."""
    if place.startswith(GATHERING):
        name = place.removeprefix(GATHERING)
        return next((each.tank for each in house.gathering if each.name == name), None)
    tanks = {"sap": house.sap_tank, "stock": house.stock_tank, "permeate": house.permeate_tank}
    return tanks.get(place)


def sd_of(measure: Measure) -> float:
    """Return the standard uncertainty of a measure: its own, else that of the instrument."""
    if measure.sd is not None:
        return measure.sd
    usual = usual_sd(measure.quantity, measure.value, measure.instrument)
    return UNKNOWN_FRACTION * abs(measure.value) if usual is None else usual
