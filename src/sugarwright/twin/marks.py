"""By what kept states are found and judged; imports nothing that takes time."""

from __future__ import annotations

import zlib
from typing import Protocol

from sugarwright.plant.house import House

STATE, OUTLOOK = "twin", "twin outlook"
HOT = frozenset({"fire_lit", "stoke", "draw"})
"""Kinds of entries that say that a fire burns."""
PAN_READ = "pan_read"  # among the kinds of deeds: when the pan was last read
VERSION = 7


class StateStore(Protocol):
    """Whoever keeps states: the logbook."""

    def keep_state(self, name: str, time_s: float, content: bytes, made_s: float) -> object:
        """Keep a state of a time."""

    def state(self, name: str, before_s: float | None = None) -> tuple[float, bytes] | None:
        """Return time and content of the newest state kept, of those before a time."""


def house_mark(house: House, *besides: object) -> str:
    """Return a mark of all that the plant is made of: another house, another mark."""
    parts = (
        *(house.gathering, house.sap_tank, house.stock_tank, house.permeate_tank, house.membrane),
        *(house.pan, house.fire, house.trees, house.keeping, house.site, house.electricity),
        *besides,
    )
    return f"{VERSION}-{zlib.crc32(repr(parts).encode()):08x}"
