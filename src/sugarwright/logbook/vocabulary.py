"""The words inside a form: names of quantities, flags, tastes, instruments, and mere fillers."""

from __future__ import annotations

from functools import cache

from sugarwright.logbook.catalogue import INSTRUMENTS, QUANTITIES
from sugarwright.units import Kind, kind_of

#: A word before a number -> the quantity it may be, the first that the form has and the unit fits.
NAMED: dict[str, tuple[str, ...]] = {
    "brix": ("brix",),
    "strength": ("brix",),
    "volume": ("volume",),
    "depth": ("depth",),
    "temperature": ("temperature",),
    "temp": ("temperature",),
    "pressure": ("pressure",),
    "vacuum": ("vacuum",),
    "feed": ("feed_brix",),
    "concentrate": ("concentrate_flow", "concentrate_brix"),
    "permeate": ("permeate_flow", "permeate_brix"),
    "wood": ("wood",),
    "took": ("duration",),
    "paid": ("money",),
    "cost": ("money",),
    "got": ("money",),
    "light": ("light",),
    "transmittance": ("light",),
    "count": ("count",),
}

COUNTED = (
    *("taps", "tap", "pails", "pail", "buckets", "bucket", "jars", "jar", "bottles", "bottle"),
    *("elements", "element", "filters", "filter", "pieces", "piece"),
)
"""Words behind a number that counts."""

FLAG_WORDS: dict[tuple[str, ...], str] = {
    ("ice",): "ice",
    ("icy",): "ice",
    ("overflow",): "overflow",
    ("overflowed",): "overflow",
    ("ran", "over"): "overflow",
    ("not", "emptied"): "not_emptied",
    ("some", "left"): "not_emptied",
    ("hot",): "hot",
    ("doubtful",): "doubtful",
}
"""How each of ``catalogue.FLAGS`` is said; the first of each is the one that is written back."""

COLOURS = ("golden", "amber", "very dark", "dark", "processing")
TASTES = ("delicate", "rich", "robust", "strong", "good", "fine", "fair", "poor")
OFF_FLAVOURS = (
    *("buddy", "scorched", "burnt", "sour", "fermented", "musty", "metallic", "chemical"),
    *("smoky", "metabolic", "ropy"),
)
"""Off-flavours that need no word before them; any other is said as `off-flavour WORD`."""

TELLING: dict[str, str] = {
    "colour": "colour",
    "color": "colour",
    "taste": "taste",
    "flavour": "taste",
    "flavor": "taste",
    "off-flavour": "off_flavour",
    "off-flavor": "off_flavour",
    "cleaner": "cleaner",
}
"""A word before a word -> the key of ``Entry.words`` that takes it."""

FILLERS = frozenset(
    (
        *("at", "@", "of", "the", "a", "was", "is", "=", ":", "about", "with", "in", "on", "for"),
        *("to", "from", "and", "then", "it", "has", "down", "up", "-"),
    )
)
LEVELS = ("empty", "full")
WITHIN = "±"
"""Before the uncertainty of the measure that it follows."""


@cache
def kind_of_quantity(quantity: str) -> Kind | None:
    """Return the kind of units of a quantity; None for one that is a bare number."""
    suffix = QUANTITIES[quantity].suffix
    return kind_of(quantity + suffix) if suffix else None


@cache
def instrument_words() -> dict[tuple[str, ...], str]:
    """Return how instruments are said."""
    return {tuple(name.split()): name for name in INSTRUMENTS}


def fits(instrument: str, quantity: str) -> bool:
    """Tell whether a quantity can be read with an instrument; the person's own read anything."""
    found = INSTRUMENTS.get(instrument)
    return found is None or kind_of_quantity(found.quantity) is kind_of_quantity(quantity)


@cache
def value_words() -> dict[tuple[str, ...], tuple[str, str]]:
    """Return what needs no name: word(s) -> key of ``Entry.words`` and value."""
    of = {"colour": COLOURS, "taste": TASTES, "off_flavour": OFF_FLAVOURS}
    return {tuple(each.split()): (key, each) for key, values in of.items() for each in values}


def flag_word(flag: str) -> str:
    """Return how a flag is written back."""
    return next((" ".join(words) for words, name in FLAG_WORDS.items() if name == flag), flag)
