"""A kind of quantity: its name, its SI suffix and the units in which people write it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from sugarwright.errors import QuantityError

Ladder = tuple[tuple[str, float], ...]
"""Display units, each with the SI magnitude from which it is the one to use; ascending."""


@dataclass(frozen=True)
class Unit:
    """One unit: SI value = number * factor + offset.

    Parameters
    ----------
    name : the spelling that is shown
    factor, offset : to SI (temperatures: to degrees Celsius)
    also : other spellings that are read
    """

    name: str
    factor: float
    also: tuple[str, ...] = ()
    offset: float = 0.0

    @property
    def spellings(self) -> tuple[str, ...]:
        """Every way in which the unit may be written."""
        return (self.name, *self.also)


@dataclass(frozen=True, eq=False)
class Kind:
    """One sort of quantity, for example a volume.

    Parameters
    ----------
    name : plain words, as a message would say it ("volume")
    suffix : end of the names of attributes that hold it in SI ("_m3")
    example : how a person would write one ("400 gal")
    units : the units it is read in; a unit named "" lets a bare number stand
    us, metric : display ladders of the two systems
    ratio : kinds whose quotient this is, so that any of their units combine ("qt/min")
    refused : spellings that have several meanings -> what to tell the person
    least, greatest : the ends of what can exist at all, in SI
    parts : may be written in parts ("5 ft 3 in")
    next_part : unit of a last number without one, by the unit before it ("1h30")
    decimals : digits after the point when shown, by unit; others get two significant digits
    """

    name: str
    suffix: str
    example: str
    units: tuple[Unit, ...]
    us: Ladder
    metric: Ladder
    ratio: tuple[Kind, ...] = ()
    refused: Mapping[str, str] = field(default_factory=dict)
    least: float = -float("inf")
    greatest: float = float("inf")
    parts: bool = False
    next_part: Mapping[str, str] = field(default_factory=dict)
    decimals: Mapping[str, int] = field(default_factory=dict)

    @cached_property
    def table(self) -> dict[str, tuple[float, float]]:
        """Every spelling with its (factor, offset) to SI; quotients of units are not listed."""
        return {text: (unit.factor, unit.offset) for unit in self.units for text in unit.spellings}

    @cached_property
    def names(self) -> dict[str, str]:
        """Every spelling with the name that is shown for its unit."""
        return {text: unit.name for unit in self.units for text in unit.spellings}

    @cached_property
    def _by_key(self) -> dict[str, str]:
        return {key: text for text in self.table for key in _keys(text, self.table)}

    @cached_property
    def _refused_by_key(self) -> dict[str, str]:
        return {key: why for text, why in self.refused.items() for key in _keys(text, self.refused)}

    def find(self, unit: str) -> tuple[float, float] | None:
        """Return (factor, offset) of a unit as typed, or None when this kind has no such unit."""
        spelling = self._by_key.get(unit_key(unit))
        if spelling is not None:
            return self.table[spelling]
        factor = self._quotient(unit)
        return None if factor is None else (factor, 0.0)

    def why_refused(self, unit: str) -> str:
        """Return why a spelling is refused although trade uses it, or an empty text."""
        return self._refused_by_key.get(unit_key(unit), "")

    def ladder(self, system: str) -> Ladder:
        """Return the display units of a system, "us" or "metric"."""
        if system not in ("us", "metric"):
            raise QuantityError("units", system, "is no system of units", "us, metric")
        return self.metric if system == "metric" else self.us

    def display_unit(self, value: float, system: str = "us") -> str:
        """Return the unit in which a value reads best."""
        fitting = [unit for unit, start in self.ladder(system) if abs(value) >= start]
        return fitting[-1]

    def _quotient(self, unit: str) -> float | None:
        """Factor of "qt/min": first kind of the ratio over the others, in any order."""
        above, *below = re.sub(r"\bper\b", "/", unit).split("/")
        if not self.ratio or len(below) != len(self.ratio) - 1:
            return None
        found = self.ratio[0].find(above)
        left = list(self.ratio[1:])
        factor = found[0] if found else 0.0
        for part in below:
            owner = next((kind for kind in left if part.strip() and kind.find(part)), None)
            pair = owner.find(part) if owner else None
            if owner is None or pair is None:
                return None
            left.remove(owner)
            factor /= pair[0]
        return factor or None


def unit_key(unit: str) -> str:
    """Return a spelling without the accidents of typing: spaces, dots, carets, letter case.

    The case of a first m stays, because milli and mega differ by 10^9.
    """
    text = re.sub(r"\bper\b", "/", unit, flags=re.IGNORECASE)
    text = re.sub(r"[\s.^*·()]", "", text)
    first = text[:1]
    return (first if first in "mM" else first.casefold()) + text[1:].casefold()


def _keys(spelling: str, known: Iterable[str]) -> set[str]:
    """Keys of a spelling; a first m is free when it is no prefix ("min", but not "mL")."""
    key = unit_key(spelling)
    if spelling[:1] not in ("m", "M") or spelling[1:] in known:
        return {key}
    return {"m" + key[1:], "M" + key[1:]}
