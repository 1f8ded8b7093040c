"""What an entry says in the ledger's own terms: m³ and true Brix, with how sure they are."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sugarwright.errors import InputError
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import sd_of, tank_at
from sugarwright.physics.hydrometer import brix_from_hydrometer
from sugarwright.plant.house import House
from sugarwright.plant.tanks import capacity_m3, volume_at_depth_m3, volume_sd_m3

CALIBRATED_C = 15.556
"""Temperature at which hydrometers of the trade read true: 60 °F."""
COLD_C = 4.0
"""Of sap and concentrate whose temperature was not read."""
HOT_TEST_BELOW_BRIX = 63.0
"""A hot draw that shows less was read hot; more, and the person corrected it already."""
VOLUME_FLOOR_M3 = 0.0002
BRIX_FLOOR = 0.03


@dataclass(frozen=True)
class Value:
    """A number that was read.

    Parameters
    ----------
    quantity : as the ledger balances it: "volume" (m³), "brix", or the entry's own quantity
    value, sd : in SI, corrected, with its standard uncertainty
    measure : as it was read
    """

    quantity: str
    value: float
    sd: float
    measure: Measure


def volume_of(house: House, entry: Entry) -> Value | None:
    """Return the volume that an entry states, straight or by a depth; None if it states none.

    Raises
    ------
    InputError : a volume or depth that cannot be
    """
    if measure := entry.measure("volume"):
        sd = sd_of(measure)
        _within(measure, 0.0, _most_m3(house, entry))
        return Value("volume", measure.value, max(sd, VOLUME_FLOOR_M3), measure)
    if measure := entry.measure("depth"):
        tank = tank_at(house, entry.place)
        if tank is None:
            raise InputError("place", entry.place, "has no tank whose shape is known")
        sd_m = sd_of(measure)
        volume_m3 = volume_at_depth_m3(tank, measure.value)
        sd_m3 = max(volume_sd_m3(tank, measure.value, sd_m), VOLUME_FLOOR_M3)
        return Value("volume", volume_m3, sd_m3, measure)
    return None


def brix_of(entry: Entry, quantity: str = "brix") -> Value | None:
    """Return the strength that an entry states, set right for the temperature read with it.

    Raises
    ------
    InputError : a strength or temperature that cannot be
    """
    measure = entry.measure(quantity)
    if measure is None:
        return None
    _within(measure, 0.0, 85.0)
    sd = max(sd_of(measure), BRIX_FLOOR)
    temperature_c = entry.value("temperature")
    by_hydrometer = measure.instrument in ("", "hydrometer") and quantity != "permeate_brix"
    if temperature_c is None or not by_hydrometer or _corrected_already(entry, measure.value):
        return Value("brix", measure.value, sd, measure)
    true = brix_from_hydrometer(measure.value, temperature_c, CALIBRATED_C)
    if not math.isfinite(true):
        raise InputError(quantity, measure.value, "cannot be at the temperature read with it")
    return Value("brix", true, sd, measure)


def plain_of(entry: Entry, quantity: str, greatest: float) -> Value | None:
    """Return a flow or another plain number of an entry, if it states one.

    Raises
    ------
    InputError : it cannot be
    """
    measure = entry.measure(quantity)
    if measure is None:
        return None
    _within(measure, 0.0, greatest)
    sd = max(sd_of(measure), 1e-3 * abs(measure.value), 1e-12)
    return Value(quantity, measure.value, sd, measure)


def _corrected_already(entry: Entry, brix: float) -> bool:
    return entry.kind in ("draw", "syrup") and brix >= HOT_TEST_BELOW_BRIX


def _most_m3(house: House, entry: Entry) -> float:
    """Return the most that a volume can be: of a reading what the tank holds, with its marks."""
    tank = tank_at(house, entry.place) if entry.kind == "reading" else None
    return 1e4 if tank is None else 1.1 * capacity_m3(tank)


def _within(measure: Measure, least: float, greatest: float) -> None:
    if not least <= measure.value <= greatest:
        allowed = f"{least:g} to {greatest:g}"
        raise InputError(measure.quantity, measure.value, "cannot be there", allowed)
