"""Clauses of ``--if`` that name a quantity: readings, settings, the air, prices."""

from __future__ import annotations

import re
from collections.abc import Callable

from sugarwright.errors import InputError
from sugarwright.planning.if_time import DAY_WORDS
from sugarwright.planning.suppositions import Forced, Price, Reading, Supposition, Warmer
from sugarwright.plant.house import House, Tank
from sugarwright.plant.tanks import capacity_m3
from sugarwright.units import (
    BRIX,
    FLOW,
    FRACTION,
    MONEY,
    PRICE_PER_TIME,
    PRICE_PER_VOLUME,
    PRICE_PER_WOOD,
    TEMPERATURE_DIFFERENCE,
    VOLUME,
    WOOD,
    Kind,
    parse,
    show,
)

MOST_WARMER_K = 15.0
MOST_WOOD_M3 = 362.5
"""100 cords, stacked: more than any small sugarhouse burns in years (judgement)."""
_MONEY = re.compile(r"[$€£¥¢]|/|\b(cents?|dollars?|a|per)\b")
_LITTLE = re.compile(r"\b(the|is|are|at|of|holds?|has|to|by|worth|in|my|our|tank|mine|if)\b")
_WARMER = re.compile(r"(?P<before>.*?)\b(?P<side>warmer|colder|cooler)\b(?P<after>.*)")
_HEADS = (
    ("set", r"set ?-?point|setting|set membrane|membrane set|set|concentrate|membrane(?= *[\d.])"),
    ("night", r"overnight|night|membrane overnight"),
    ("sap", r"sap"),
    ("stock", r"stock"),
    ("permeate", r"permeate"),
    ("pan", r"pan"),
    ("wood", r"wood"),
    ("condition", r"condition|membrane condition"),
    ("hour", r"(?:an? )?hours?"),
    ("syrup", r"syrup"),
)
_HOLDS = {"sap": "sap_tank", "stock": "stock_tank", "permeate": "permeate_tank"}
_BRIX = {"sap": (0.5, 8.0), "stock": (0.5, 40.0)}
_READ_BRIX = re.compile(r"brix|°bx|\bbx\b")


def read_quantity(
    clause: str, house: House, named: Callable[[str], int], today: int
) -> Supposition | None:
    """Read a clause that names a quantity.

    Parameters
    ----------
    clause : "wood 0.5 cord", "set-point 20 gal/h tomorrow"
    house : whose tanks and units count
    named : day number of a day's word
    today : day number of now

    Returns
    -------
    The supposition; None for a clause of another sort.

    Raises
    ------
    InputError : the quantity cannot be read, or cannot be
    """
    lower = clause.lower()
    if not any(c.isdigit() for c in lower):
        return None
    warmer = _WARMER.fullmatch(lower)
    if warmer is not None:
        return _warmer(clause, warmer, house)
    words, day = [], today
    for word in _LITTLE.sub(" ", lower).split():
        if word in DAY_WORDS:
            day = named(word)
        else:
            words.append(word)
    plain = re.sub(r"\s+on$", "", " ".join(words))
    for head, pattern in _HEADS:
        found = re.match(rf"(?:{pattern})\s*[:=]?\s+(?=[-\d.$€£~])(.+)", plain)
        if found is not None:
            return _of(head, found[1], clause, house, day)
    return None


def _of(head: str, rest: str, clause: str, house: House, day: int) -> Supposition | None:
    if head in ("set", "night"):
        return _setting(head, rest, clause, house, day)
    if head in ("hour", "syrup") or (head == "wood" and _MONEY.search(rest)):
        return Price(head, _price(head, rest))
    if head == "wood":
        return Reading("wood", _within(rest, WOOD, 0.0, MOST_WOOD_M3, house))
    if head == "condition":
        return Reading("condition", _within(rest, FRACTION, 0.05, 1.0, house))
    if head == "pan":
        return Reading("pan", _within(rest, BRIX, 0.0, house.pan.finish_brix, house))
    if _READ_BRIX.search(rest):
        return Reading(f"{head} strength", _within(rest, BRIX, *_BRIX.get(head, (0, 40)), house))
    tank: Tank | None = getattr(house, _HOLDS[head])
    if tank is None:
        raise InputError("--if", clause, f"the house has no {head} tank")
    return Reading(head, _within(rest, VOLUME, 0.0, capacity_m3(tank), house))


def _setting(head: str, rest: str, clause: str, house: House, day: int) -> Supposition | None:
    """A concentrate setting; a clock time behind "membrane" or "set" is no setting."""
    if house.membrane is None:
        raise InputError("--if", clause, "the house has no membrane")
    if re.fullmatch(r"\d{1,2}(:\d\d)?\s*([ap]\.?m\.?)?", rest) and "/" not in rest:
        return None
    least, most = house.membrane.least_flow_m3_s, house.membrane.most_flow_m3_s
    flow_m3_s = _within(rest, FLOW, least, most, house)
    return Forced(head, day, flow_m3_s)


def _price(head: str, rest: str) -> float:
    kinds = {"hour": PRICE_PER_TIME, "syrup": PRICE_PER_VOLUME, "wood": PRICE_PER_WOOD}
    if head == "hour" and not re.search(r"/|\bper\b|\ban? h", rest):
        money = parse(rest, MONEY, "--if") / 3600.0
    else:
        money = parse(rest, kinds[head], "--if")
    if money < 0.0:
        raise InputError("--if", rest, "is below nothing", "$0 and up")
    return money


def _within(text: str, kind: Kind, least: float, greatest: float, house: House) -> float:
    units = house.site.units
    value = parse(text, kind, "--if")
    if value < 0.0:
        raise InputError("--if", text, "is below nothing", f"up to {show(greatest, kind, units)}")
    if not least * (1.0 - 1e-9) <= value <= greatest * (1.0 + 1e-9):
        allowed = f"{show(least, kind, units)} to " if least > 0.0 else "up to "
        allowed += show(greatest, kind, units)
        raise InputError("--if", text, "cannot be in this house", allowed)
    return min(max(value, least), greatest)


def _warmer(clause: str, found: re.Match[str], house: House) -> Warmer:
    said = _LITTLE.sub(" ", f"{found['before']} {found['after']}")
    words = [word for word in said.split() if word not in DAY_WORDS and word not in ("it", "air")]
    unit = "F" if house.site.units == "us" else "K"
    difference_k = parse(" ".join(words), TEMPERATURE_DIFFERENCE, "--if", unit)
    if difference_k < 0.0:
        other = "warmer" if found["side"] != "warmer" else "colder"
        raise InputError("--if", clause, "is below nothing", fix=f'Say "{other}" without the minus')
    if difference_k > MOST_WARMER_K:
        allowed = show(MOST_WARMER_K, TEMPERATURE_DIFFERENCE, house.site.units)
        raise InputError("--if", clause, "is more than a forecast can be off", f"up to {allowed}")
    return Warmer(difference_k if found["side"] == "warmer" else -difference_k)
