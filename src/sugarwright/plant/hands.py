"""Whose hands are there for something new, what they cost, and whom a full tank calls."""

from __future__ import annotations

from sugarwright.plant import layout as at
from sugarwright.plant.asked import reached
from sugarwright.plant.tank_kernel import Floats

BRIM_FRACTION = 0.95  # as full as a tank gets without worry: no gauge waits for more
ROOM_FRACTION = 0.5  # of a sap tank too small for what is worth a trip
SHORTEST_BEGUN_S = 1.0  # whatever is begun takes somebody's time


def charge(y: Floats, row: Floats, work_s: float) -> None:
    """Book somebody's time, at the price of an hour of whoever is there."""
    y[at.HANDS_S] += work_s
    y[at.HANDS_MONEY] += work_s * row[at.HOUR_MONEY_S]


def may_begin(row: Floats, needed_s: float) -> bool:
    """Tell whether something new may be begun: not by who is there only to end what runs already.

    Parameters
    ----------
    row : of the calendar
    needed_s : how long somebody must stay for it
    """
    counted_s = row[at.COUNTED_S]
    return counted_s <= 0.0 or row[at.STAY_S] - counted_s >= max(needed_s, SHORTEST_BEGUN_S)


def room_to_set_out_m3(p: Floats, start_m3: float) -> float:
    """Room in the sap tank from which somebody sets out for sap, m³.

    Parameters
    ----------
    p : parameters of the house
    start_m3 : level of a gathering tank from which a trip is worth it
    """
    room_m3: float = min(start_m3, ROOM_FRACTION * p[at.SAP_CAPACITY_M3])
    return room_m3


def calls(asked: Floats, today: Floats, entry: int, held_m3: float, row: Floats) -> bool:
    """Tell whether a tank is so full that somebody who is there begins before the hour."""
    return (
        row[at.PEOPLE] > 0.0
        and not reached(asked, today, entry, 0.0)
        and reached(asked, today, entry, held_m3)
    )
