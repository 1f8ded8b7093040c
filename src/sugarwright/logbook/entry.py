"""An entry of the logbook: what was read, or what was done, and when. Plain values, no database."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from sugarwright.errors import InputError, RangeError
from sugarwright.logbook.catalogue import KINDS, QUANTITIES, place_problem

NO_WORDS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True)
class Measure:
    """One measured quantity, as it was typed and in SI.

    Parameters
    ----------
    quantity : a name of ``catalogue.QUANTITIES``; it decides the SI unit of ``value``
    value : in SI, as read: nothing is corrected here (a hot hydrometer stays hot)
    sd : standard uncertainty of ``value`` in SI; None: what is usual for the instrument
    typed : the number with its unit as the person wrote it ("14 in"); empty from a sensor
    instrument : what it was read with, a name of ``catalogue.INSTRUMENTS`` or the person's own
    """

    quantity: str
    value: float
    sd: float | None = None
    typed: str = ""
    instrument: str = ""

    def __post_init__(self) -> None:
        if self.quantity not in QUANTITIES:
            allowed = ", ".join(sorted(QUANTITIES))
            raise InputError("quantity", self.quantity, "is none that is logged", allowed)
        if not math.isfinite(self.value):
            raise RangeError(self.quantity, self.value, "is no number")
        if self.sd is not None and not (math.isfinite(self.sd) and self.sd > 0.0):
            raise RangeError(f"{self.quantity} sd", self.sd, "is no uncertainty", "above 0")


@dataclass(frozen=True)
class Entry:
    """One line of the logbook.

    Parameters
    ----------
    key : made where the entry was made (a random UUID), so that sending it twice keeps it once
    kind : a name of ``catalogue.KINDS``
    at_s : when it was so, UTC s; of a total over a span, the span's end
    made_s : when it was entered, UTC s
    begin_s : begin of the span for totals and for what lasted; None for a moment
    place : where: "sap", "stock", "permeate", "gathering:NAME", "membrane", "pan", ...
    to_place : where it went (transfers)
    measures : what was measured, at most one of each quantity
    words : what is told in words: "colour", "taste", "off_flavour", "cleaner", "note", ...
    flags : "ice", "overflow", "not_emptied", "hot" ...: see ``catalogue.FLAGS``
    who : who entered it
    source : "person", "import" or "sensor"
    typed : the whole text as typed on the command line
    replaces : key of the entry that this one corrects; the old one stays in the book
    """

    key: str
    kind: str
    at_s: float
    made_s: float
    begin_s: float | None = None
    place: str = ""
    to_place: str = ""
    measures: tuple[Measure, ...] = ()
    words: Mapping[str, str] = field(default_factory=lambda: NO_WORDS)
    flags: tuple[str, ...] = ()
    who: str = ""
    source: str = "person"
    typed: str = ""
    replaces: str | None = None

    def __post_init__(self) -> None:
        kind = KINDS.get(self.kind)
        if kind is None:
            raise InputError("kind", self.kind, "is none that is logged", ", ".join(sorted(KINDS)))
        if not self.key:
            raise InputError(
                "key", self.key, "is empty: nothing could tell a repeat from a new one"
            )
        if self.begin_s is not None and not self.begin_s <= self.at_s:
            raise RangeError("begin_s", self.begin_s, "is after the end")
        for place in (self.place, self.to_place):
            if problem := place_problem(place):
                raise InputError("place", place, problem[0], problem[1])
        quantities = [each.quantity for each in self.measures]
        if len(set(quantities)) < len(quantities):
            raise InputError("measures", ", ".join(quantities), "names a quantity twice")

    def value(self, quantity: str) -> float | None:
        """Return the value of a quantity in SI, or None if it was not measured."""
        found = self.measure(quantity)
        return None if found is None else found.value

    def measure(self, quantity: str) -> Measure | None:
        """Return the measure of a quantity, if there is one."""
        return next((each for each in self.measures if each.quantity == quantity), None)
