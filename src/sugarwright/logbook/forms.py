"""The forms of words: how each kind of entry begins, and what may stand in it.

The parser, the page of documentation and the phone page all read this one table.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from sugarwright.logbook.catalogue import KINDS

_RUNNING = ("temperature", "pressure", "concentrate_flow", "permeate_flow")
_STRENGTHS = ("feed_brix", "concentrate_brix", "permeate_brix")
_READ = {
    "sap": "the sap tank",
    "stock": "the stock tank",
    "permeate": "the permeate tank",
    "gathering": "a gathering tank",
    "membrane": "the membrane as it runs",
    "pan": "the pan",
    "woodpile": "the wood on hand",
    "lines": "the vacuum on the lines",
    "air": "the air",
    "water": "an instrument checked in clean water",
}
_TANK = ("depth", "volume", "brix", "temperature")


@dataclass(frozen=True)
class Form:
    """One way of saying what happened.

    Parameters
    ----------
    heads : words that it may begin with; the first is the one that is written back
    kind : of the entry, a name of ``catalogue.KINDS``
    place : where; empty when the words name it
    asks : places that the words name: "" none, "gathering" one (it may be left out where the
        house has one only), "gathering?" one or none, "tank" one, "tanks" two
    quantities : what may stand in it; numbers of the same unit fill them in this order
    needs : at least one of these must be said; empty: nothing need be
    example : as a person types it
    """

    heads: tuple[str, ...]
    kind: str
    place: str
    asks: str
    quantities: tuple[str, ...]
    needs: tuple[str, ...]
    example: str

    @property
    def what(self) -> str:
        """What it means, in words."""
        if self.kind == "reading":
            return f"a reading: {_READ[self.place or self.asks]}"
        if self.kind == "filter_change":
            return f"the filter of the {self.place} was changed"
        return KINDS[self.kind].what


def _form(
    heads: str,
    kind: str,
    place: str,
    quantities: tuple[str, ...],
    example: str,
    needs: tuple[str, ...] | None = None,
    asks: str = "",
) -> Form:
    words = tuple(head.strip() for head in heads.split("|"))
    return Form(words, kind, place, asks, quantities, needs or (), example)


_SYRUP = ("volume", "brix", "temperature", "light", "count")
_MEMBRANE = (*_RUNNING, *_STRENGTHS)

FORMS: tuple[Form, ...] = (
    _form("sap | sap tank", "reading", "sap", _TANK, "sap 14in 1.9", _TANK),
    _form("stock | stock tank", "reading", "stock", _TANK, "stock 31 gal 5.8", _TANK),
    _form("permeate | permeate tank", "reading", "permeate", _TANK, "permeate 140 gal", _TANK),
    _form("tank", "reading", "", _TANK, "tank north 60 gal", _TANK, "gathering"),
    _form(
        "gather | gathered | collect | collected",
        "gather",
        "",
        ("volume", "brix", "temperature", "count"),
        "gather north 120 gal 1.8",
        None,
        "gathering",
    ),
    _form(
        "membrane on | ro on | start membrane",
        "membrane_on",
        "membrane",
        ("concentrate_flow", "permeate_flow", "temperature", "pressure", *_STRENGTHS),
        "membrane on 25 gal/h",
    ),
    _form("membrane off | ro off | stop membrane", "membrane_off", "membrane", _MEMBRANE,
          "membrane off"),
    _form("set | valve", "setpoint", "membrane", _MEMBRANE, "set 20 gal/h",
          ("concentrate_flow", "pressure")),
    _form("running | membrane", "reading", "membrane", _MEMBRANE,
          "running 41F 205psi 20gal/h 33gal/h", _MEMBRANE),
    _form("rinse | rinsed", "rinse", "membrane", ("volume", "duration"), "rinse 30 gal"),
    _form("wash | washed", "wash", "membrane", ("volume", "duration", "temperature", "money"),
          "wash 60 gal 105F"),
    _form("clean water test | water test", "clean_water_test", "membrane",
          ("permeate_flow", *_RUNNING[:3], *_STRENGTHS), "water test 33 gal/h 55F 205psi",
          ("permeate_flow",)),
    _form("new membrane | new element", "new_membrane", "membrane", ("count", "money"),
          "new membrane paid 350"),
    _form("lit | fire | fire lit | fire on", "fire_lit", "pan", ("wood",), "lit"),
    _form("stoke | stoked | burnt | burned", "stoke", "pan", ("wood", "duration"), "stoke"),
    _form("fire out | out", "fire_out", "pan", ("wood",), "fire out"),
    _form("draw | drew | drawn", "draw", "pan", ("volume", "brix", "temperature", "light"),
          "draw 1.5 gal 66.8 at 212F"),
    _form("pan", "reading", "pan", ("volume", "depth", "brix", "temperature"), "pan 30 Brix",
          _TANK),
    _form("syrup | finished", "syrup", "syrup", _SYRUP, "syrup 3.2 gal amber good",
          ("volume", "count")),
    _form("transfer | transferred | move | moved", "transfer", "", ("volume", "brix"),
          "transfer sap stock 20 gal", ("volume",), "tanks"),
    _form("filter | syrup filter", "filter_change", "syrup", ("count", "money"), "filter"),
    _form("pan filter", "filter_change", "pan", ("count", "money"), "pan filter"),
    _form("membrane filter | prefilter", "filter_change", "membrane", ("count", "money"),
          "membrane filter paid 12"),
    _form("dump | dumped", "dump", "", ("volume", "depth", "brix"), "dump stock 20 gal", None,
          "tank"),
    _form("spill | spilled | spilt | lost", "spill", "", ("volume", "brix"), "spill sap 15 gal",
          None, "tank"),
    _form("bought | bought sap | sap bought", "sap_bought", "sap", ("volume", "brix", "money"),
          "bought 200 gal 2.1 paid 80", ("volume",)),
    _form("sold sap | sap sold", "sap_sold", "sap", ("volume", "brix", "money"),
          "sold sap 150 gal 2.0", ("volume",)),
    _form("sold | sold syrup | syrup sold | gave", "syrup_sold", "syrup",
          ("volume", "money", "count"), "sold 10 gal", ("volume", "count")),
    _form("wood", "reading", "woodpile", ("wood",), "wood 2.3 cords", ("wood",)),
    _form("wood in | bought wood | wood bought", "wood_in", "woodpile", ("wood", "money"),
          "wood in 1 cord paid 150", ("wood",)),
    _form("tapped", "tapped", "", ("count",), "tapped main 250", None, "gathering?"),
    _form("pulled | pulled taps", "pulled", "", ("count",), "pulled", None, "gathering?"),
    _form("lines | vacuum", "reading", "lines", ("vacuum",), "lines 20 inHg", ("vacuum",)),
    _form("air", "reading", "air", ("temperature",), "air 34F", ("temperature",)),
    _form("clean water | in clean water", "reading", "water",
          ("brix", "temperature"), "clean water 0.2 hydrometer 60F", ("brix", "temperature")),
    _form("note", "note", "", (), "note filter press leaks"),
    _form("off-flavour | off-flavor", "note", "", (), "off-flavour buddy"),
)  # fmt: skip
"""All forms. What a form takes is never more than its kind in ``catalogue.KINDS`` may hold."""


@cache
def form_of_head() -> dict[tuple[str, ...], Form]:
    """Return every head, as its words, with its form."""
    return {tuple(head.split()): form for form in FORMS for head in form.heads}


def form_of(kind: str, place: str) -> Form | None:
    """Return the form that says a kind of entry at a place; None where none does."""
    fitting = [form for form in FORMS if form.kind == kind]
    exact = next((form for form in fitting if form.place == place and not form.asks), None)
    return exact or next((form for form in fitting if form.asks), None)
