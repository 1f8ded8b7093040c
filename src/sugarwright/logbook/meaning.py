"""What an entry's places and measures are in the house: the tank meant, how sure a number is."""

from __future__ import annotations

from sugarwright.logbook.catalogue import GATHERING, USUAL_INSTRUMENT, usual_sd
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


WEAK_BRIX = 20.0
"""What is stronger does not stand on a sap hydrometer's scale; syrup's own was read (from memory:
sap hydrometers reach to 10 or 15 Brix, syrup's begin at 40)."""


def instrument_of(measure: Measure) -> str:
    """Return the instrument of a measure: as stated, else the usual one.

    Hydrometers of sap and of syrup are two, each with a zero of its own.
    """
    name = measure.instrument or USUAL_INSTRUMENT.get(measure.quantity, "")
    return "syrup hydrometer" if name == "hydrometer" and measure.value > WEAK_BRIX else name


def sd_of(measure: Measure) -> float:
    """Return the standard uncertainty of a measure: its own, else that of the instrument."""
    if measure.sd is not None:
        return measure.sd
    usual = usual_sd(measure.quantity, measure.value, measure.instrument)
    return UNKNOWN_FRACTION * abs(measure.value) if usual is None else usual
