"""What may stand in the logbook: kinds of entries, places, quantities, instruments, flags."""

from __future__ import annotations

from dataclasses import dataclass

GATHERING = "gathering:"  # before the name of a [[gathering]]


@dataclass(frozen=True)
class Quantity:
    """A measured quantity: the suffix that names its SI unit, and what it is."""

    suffix: str
    what: str


QUANTITIES: dict[str, Quantity] = {
    "volume": Quantity("_m3", "volume; of a tank: what it holds"),
    "depth": Quantity("_m", "depth on the stick; the house's tank shape makes a volume of it"),
    "brix": Quantity("_brix", "strength of the liquid at the place, as read"),
    "temperature": Quantity("_c", "of the liquid at the place; of a draw: when it was drawn"),
    "pressure": Quantity("_pa", "gauge pressure at the membrane's concentrate valve"),
    "concentrate_flow": Quantity("_m3_s", "concentrate flow set or running"),
    "permeate_flow": Quantity("_m3_s", "permeate flow running"),
    "permeate_brix": Quantity("_brix", "strength of the permeate"),
    "concentrate_brix": Quantity("_brix", "strength of the concentrate as it leaves"),
    "feed_brix": Quantity("_brix", "strength of what the membrane is fed with"),
    "vacuum": Quantity("_pa", "vacuum on the lines, positive"),
    "wood": Quantity("_wood_m3", "stacked wood: on hand, or put on the fire"),
    "duration": Quantity("_s", "how long it took or was waited"),
    "count": Quantity("", "how many: taps, pails, jars"),
    "money": Quantity("_money", "paid or received"),
    "light": Quantity("", "light transmittance of syrup, percent"),
}


@dataclass(frozen=True)
class KindOf:
    """A kind of entry: what it means and the quantities that may stand in it."""

    what: str
    quantities: tuple[str, ...] = ()
    places: tuple[str, ...] = ()


_TANKS = ("sap", "stock", "permeate", "gathering")
_RUNNING = (
    *("temperature", "pressure", "concentrate_flow", "permeate_flow"),
    *("feed_brix", "concentrate_brix", "permeate_brix"),
)

KINDS: dict[str, KindOf] = {
    "reading": KindOf(
        "something was read and nothing changed",
        ("volume", "depth", "brix", "temperature", "vacuum", "wood", *_RUNNING[1:]),
        (*_TANKS, "membrane", "pan", "air", "woodpile", "lines", "water"),
    ),
    "gather": KindOf(
        "sap came in from a gathering point; volume gathered since the one before",
        ("volume", "brix", "temperature", "count"),
        ("gathering", "sap"),
    ),
    "membrane_on": KindOf("the membrane was started", _RUNNING, ("membrane",)),
    "membrane_off": KindOf("the membrane was stopped", _RUNNING, ("membrane",)),
    "setpoint": KindOf("the concentrate valve was set anew", _RUNNING, ("membrane",)),
    "rinse": KindOf("the membrane was rinsed", ("volume", "duration"), ("membrane",)),
    "wash": KindOf(
        "the membrane was washed", ("volume", "duration", "temperature", "money"), ("membrane",)
    ),
    "clean_water_test": KindOf(
        "permeate flow measured with clean water at a known pressure", _RUNNING, ("membrane",)
    ),
    "new_membrane": KindOf("an element was replaced", ("count", "money"), ("membrane",)),
    "fire_lit": KindOf("the fire was lit", ("wood",), ("pan",)),
    "stoke": KindOf(
        "wood was put on; of a span: all of it, and how long the fire burnt",
        ("wood", "duration"),
        ("pan",),
    ),
    "fire_out": KindOf("the last wood is on; the fire dies down", ("wood",), ("pan",)),
    "draw": KindOf("syrup was drawn off", ("volume", "brix", "temperature", "light"), ("pan",)),
    "syrup": KindOf(
        "finished syrup measured; of a span: all that was made in it",
        ("volume", "brix", "temperature", "light", "count"),
        ("syrup",),
    ),
    "transfer": KindOf("liquid was moved by hand", ("volume", "brix"), _TANKS),
    "filter_change": KindOf(
        "a filter was changed", ("count", "money"), ("pan", "membrane", "syrup")
    ),
    "dump": KindOf("liquid was thrown away", ("volume", "depth", "brix"), (*_TANKS, "pan")),
    "spill": KindOf("liquid was lost", ("volume", "brix"), (*_TANKS, "pan")),
    "sap_bought": KindOf("sap came from elsewhere", ("volume", "brix", "money"), ("sap",)),
    "sap_sold": KindOf("sap went elsewhere", ("volume", "brix", "money"), ("sap",)),
    "syrup_sold": KindOf("syrup was sold or given", ("volume", "money", "count"), ("syrup",)),
    "wood_in": KindOf("wood was brought", ("wood", "money"), ("woodpile",)),
    "tapped": KindOf("taps were set", ("count",), ("gathering",)),
    "pulled": KindOf("taps were pulled", ("count",), ("gathering",)),
    "note": KindOf("words alone"),
    "withdrawn": KindOf("the entry that this one replaces was wrong and nothing stands for it"),
}

FLAGS: dict[str, str] = {
    "ice": "ice was thrown away or left, so that the volume says little",
    "overflow": "something ran over, so that more had come than was measured",
    "not_emptied": "some was left behind for the next gathering",
    "hot": "read hot and not corrected",
    "doubtful": "the person doubted it when entering it",
}


@dataclass(frozen=True)
class Instrument:
    """How sure a quantity is that was read with it: the larger of two standard uncertainties.

    Parameters
    ----------
    sd : in SI of the quantity
    sd_fraction : of the value
    source : where the figure comes from
    """

    quantity: str
    sd: float
    sd_fraction: float
    source: str


INSTRUMENTS: dict[str, Instrument] = {
    "stick": Instrument("depth", 0.004, 0.0, "judgement: a sixth of an inch on a wet stick"),
    "sight mark": Instrument("volume", 0.002, 0.03, "judgement: marks on a tank or pail, 3 %"),
    "pail": Instrument("volume", 0.0002, 0.01, "judgement: a measured pail, 1 %"),
    "meter": Instrument("volume", 0.0005, 0.02, "common practice, no source: 2 %"),
    "hydrometer": Instrument("brix", 0.15, 0.0, "judgement: half a division of a sap hydrometer"),
    "refractometer": Instrument("brix", 0.1, 0.0, "half a division of 0.2 Brix"),
    "thermometer": Instrument("temperature", 0.5, 0.0, "judgement: a dial or digital stick"),
    "gauge": Instrument("pressure", 1.0e4, 0.0, "judgement: a tenth of a bar"),
    "flow tube": Instrument("permeate_flow", 0.0, 0.02, "common practice, no source: 2 %"),
    "stack": Instrument("wood", 0.02, 0.1, "judgement: a stack measured by eye, a tenth"),
    "light meter": Instrument("light", 1.0, 0.0, "judgement"),
}

USUAL_INSTRUMENT: dict[str, str] = {
    "depth": "stick",
    "volume": "sight mark",
    "brix": "hydrometer",
    "feed_brix": "hydrometer",
    "concentrate_brix": "hydrometer",
    "permeate_brix": "refractometer",
    "temperature": "thermometer",
    "pressure": "gauge",
    "permeate_flow": "flow tube",
    "concentrate_flow": "flow tube",
    "wood": "stack",
    "light": "light meter",
}

_PLACES = (
    *("sap", "stock", "permeate", "membrane", "pan", "air", "woodpile", "lines", "syrup"),
    "water",
)


def place_problem(place: str) -> tuple[str, str] | None:
    """Return what is wrong with a place and what is allowed, or None if nothing is."""
    if place == "" or place in _PLACES or (place.startswith(GATHERING) and len(place) > 10):
        return None
    return "is no place of a sugarhouse", ", ".join((*_PLACES, "gathering:NAME"))


def usual_sd(quantity: str, value: float, instrument: str = "") -> float | None:
    """Return the standard uncertainty of a value in SI when none was given; None if unknown."""
    name = instrument if instrument in INSTRUMENTS else USUAL_INSTRUMENT.get(quantity, "")
    found = INSTRUMENTS.get(name)
    return None if found is None else max(found.sd, found.sd_fraction * abs(value))
