"""What can't be right, in sentences: what the others say, the likely slip, how to put it right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.errors import SugarwrightError
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.units import FLOW, MASS, TEMPERATURE, VOLUME, parse, show

if TYPE_CHECKING:
    from sugarwright.ledger.doubts import Suspect
    from sugarwright.ledger.slips import Slip
    from sugarwright.plant.house import House

_CHECK = {
    "reading": "Look at the paper, or read the tank again before anything moves.",
    "gather": "Look at the paper; did the tank rise by as much?",
    "draw": "Count the draws, or the jars that came of them.",
    "rinse": "How far did the permeate tank go down?",
    "wash": "How far did the permeate tank go down?",
}
_PLANT = {
    "hydrometer": "the hydrometer's own zero. Float it in water of its calibration temperature: it "
    "should read 0",
    "boil rate": "what the pan boils off in an hour (boil_rate in sugarhouse.toml)",
    "boil": "the hours of the fire, or its heat, that day",
    "sap tank's size": "the size of the sap tank in sugarhouse.toml",
    "stock tank's size": "the size of the stock tank in sugarhouse.toml",
    "permeate tank's size": "the size of the permeate tank in sugarhouse.toml",
}
_SLIPS = {
    "other unit": "the other unit was meant",
    "decimal point": "the decimal point slipped",
    "digits swapped": "two digits changed places",
    "digit left out": "a digit was left out",
    "digit too many": "there is a digit too many",
}


NOTHING = "nothing"
"""The word of a correction after which no entry stands."""


@dataclass(frozen=True)
class Correction:
    """How a slip is set right.

    Parameters
    ----------
    key : of the entry
    words : what to write instead; ``NOTHING`` where the entry falls away; empty where only a
        person knows
    meant : the number that was meant
    label : the same in few words, for a button
    """

    key: str
    words: str
    meant: str
    label: str


def correction_of(
    suspect: Suspect, house: House, entries: Mapping[str, Entry]
) -> Correction | None:
    """Return how a slip is set right; None without one, or where its entry is gone."""
    slip, entry = suspect.slip, entries.get(suspect.slip_key)
    if slip is None or entry is None:
        return None
    if slip.kind == "entered twice":
        return Correction(entry.key, NOTHING, slip.meant, "it was entered twice: take it out")
    from sugarwright.logbook.retell import retell_bare

    try:
        words = retell_bare(_corrected(entry, suspect, slip, house.site.units), house)
    except SugarwrightError:
        words = ""
    label = slip.meant if slip.kind in _SLIPS else words
    return Correction(entry.key, words, slip.meant, label)


def _corrected(entry: Entry, suspect: Suspect, slip: Slip, system: str) -> Entry:
    if slip.kind == "read hot":  # as it was read, and how hot: the rest is reckoned from that
        typed = _heat(slip, system).replace("°", "")
        heat = Measure("temperature", parse(typed, TEMPERATURE, "temperature"), typed=typed)
        return replace(entry, measures=(*entry.measures, heat))
    names = ("volume", "depth") if suspect.quantity == "volume" else (suspect.quantity,)
    if slip.kind == "wrong tank":
        others = tuple(each for each in entry.measures if each.quantity not in names)
        # What else was read there stands; only the level was another tank's.
        return replace(entry, measures=others) if others else replace(entry, place=slip.detail)
    measures = tuple(
        replace(each, value=slip.value, typed=slip.meant)
        if each.quantity in names and slip.value is not None
        else each
        for each in entry.measures
    )
    return replace(entry, measures=measures)


def suspect_text(suspect: Suspect, house: House, entries: Mapping[str, Entry]) -> str:
    """Return what does not fit, and what all others say."""
    if suspect.what == "plant":
        text = f"{_PLANT[suspect.quantity]} ({_off(suspect)})"
        if suspect.quantity == "boil":
            text = f"{_when(suspect.at_s, house)}: {text}"
        return text
    if suspect.what == "unseen":
        return _unseen(suspect, house)
    entry = entries.get(suspect.keys[-1]) if suspect.keys else None
    when = _when(suspect.at_s, house)
    told = _told(entry, house) if entry is not None else f"{suspect.quantity} at {suspect.place}"
    expected = _value(suspect, suspect.expected, house)
    band = _value(suspect, 1.96 * suspect.expected_sd, house)
    name = "volume" if suspect.quantity == "volume" else suspect.quantity.replace("_", " ")
    together = f", {len(suspect.keys)} entries together" if len(suspect.keys) > 1 else ""
    return (
        f"{when}, {told}{together}. All others say: {name} {expected} (± {band}), "
        f"not {_value(suspect, suspect.read or 0.0, house)}."
    )


def _told(entry: Entry, house: House) -> str:
    from sugarwright.logbook.telling import tell

    try:
        return tell(entry, house)
    except SugarwrightError:
        return entry.kind


def _unseen(suspect: Suspect, house: House) -> str:
    system = house.site.units
    unit = "gal" if system == "us" else "L"
    much = show(abs(suspect.expected) / 1000.0, VOLUME, system, digits=0, unit=unit)
    band = show(1.96 * suspect.expected_sd / 1000.0, VOLUME, system, digits=0, unit=unit)
    place = "pan" if suspect.place == "pan" else f"{suspect.place} tank"
    did = "left" if suspect.expected > 0.0 else "came into"
    what = (
        "a spill, a leak, a dump or a transfer never entered"
        if suspect.expected > 0.0
        else "a gathering or a transfer never entered"
    )
    return (
        f"{_when(suspect.begin_s, house)} to {_when(suspect.at_s, house)}: {much} (± {band}) {did} "
        f"the {place} with no entry: {what}."
    )


def slip_text(slip: Slip, suspect: Suspect, system: str) -> str:
    """Return what was probably done instead."""
    if slip.kind == "entered twice":
        return "the same thing was entered twice."
    if slip.kind == "wrong tank":
        return (
            f"it is the level of the {slip.detail} tank, written down for the {suspect.place} tank."
        )
    if slip.kind == "read hot":
        return (
            f"the hydrometer was read hot, at some {_heat(slip, system)}, and not corrected: "
            f"{slip.meant} Brix."
        )
    return f"{_SLIPS[slip.kind]}: {slip.meant}."


def _heat(slip: Slip, system: str) -> str:
    return show(float(slip.detail), TEMPERATURE, system, digits=0)


def check_text(suspect: Suspect, entries: Mapping[str, Entry]) -> str:
    """Return what to look at before anything is corrected."""
    if suspect.what == "plant":
        return "Nothing need be corrected in the logbook; look at the thing itself."
    if suspect.what == "unseen":
        return "Was something done then and not entered? Enter it with its time."
    if suspect.quantity.endswith("brix"):
        return "Test again, cool and stirred; then look at the paper."
    entry = entries.get(suspect.keys[-1]) if suspect.keys else None
    return _CHECK.get(entry.kind if entry else "", "Look at the paper.")


def _off(suspect: Suspect) -> str:
    if suspect.quantity == "hydrometer":
        return f"it seems to read {suspect.expected:+.2f} Brix"
    if suspect.quantity == "boil":
        sign = "more" if suspect.expected > 0.0 else "less"
        return (
            f"{show(abs(suspect.expected), MASS, digits=0, unit='kg')} {sign} boiled off than fits"
        )
    return f"{100.0 * (suspect.expected - 1.0):+.0f} %"


def _value(suspect: Suspect, value: float, house: House) -> str:
    system = house.site.units
    if suspect.quantity == "volume":
        unit = "gal" if system == "us" else "L"
        digits = 0 if abs(value) >= 0.4 else 1 if abs(value) >= 0.004 else 2
        return show(value, VOLUME, system, digits=digits, unit=unit)
    if suspect.quantity.endswith("flow"):
        return show(value, FLOW, system)
    return f"{value:.2f}"


def _when(at_s: float, house: House) -> str:
    local = datetime.fromtimestamp(at_s, ZoneInfo(house.site.timezone))
    return f"{local:%a} {local.day} {local:%b} {local:%H:%M}"
