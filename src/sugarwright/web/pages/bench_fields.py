"""What is typed on the bench page: fields with their units, and what can be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sugarwright.units import Kind, from_unit, show


@dataclass(frozen=True)
class Unit:
    """A unit that a number may have.

    Parameters
    ----------
    name : as typed behind it; empty for plain numbers
    kind : of quantity
    scale : of Baumé and the like, where it is no unit of the kind: its name in the tables
    """

    name: str
    kind: Kind
    scale: str = ""

    @property
    def offset(self) -> float:
        """SI of nothing in this unit."""
        return 0.0 if self.scale else from_unit(0.0, self.kind, self.name)

    @property
    def factor(self) -> float:
        """How much one more of it is in SI: with the offset, what a page without us reckons by."""
        return 1.0 if self.scale else from_unit(1.0, self.kind, self.name) - self.offset


@dataclass(frozen=True)
class Field:
    """A field of a form.

    Parameters
    ----------
    name : in the form, and what the bench calls it
    label : above it
    said : what it is called within a sentence
    units : by system of units; the first is taken unless another is picked; empty for a choice
    least, greatest : what can be, in SI of the first unit's kind; alike: not worth telling
    usual : what stands there to begin with; None: nothing
    choices : words to pick from, value -> label; then no number is typed
    tip : below it
    needed : it cannot be left out
    many : more than one choice may be picked
    rare : most leave it out: it stands folded, below the others
    """

    name: str
    label: str
    said: str
    units: Mapping[str, tuple[Unit, ...]]
    least: float = 0.0
    greatest: float = 0.0
    usual: Mapping[str, str] | None = None
    choices: Mapping[str, str] | None = None
    tip: str = ""
    needed: bool = False
    many: bool = False
    rare: bool = False

    def span(self, system: str) -> str:
        """Return what can be, in words; empty where that goes without saying."""
        if self.least == self.greatest:
            return ""
        unit = self.units[system][0]
        if not unit.name:
            return f"{self.least:g} to {self.greatest:g}"
        low, high = (
            show(end, unit.kind, digits=_digits(end, unit), unit=unit.name)
            for end in (self.least, self.greatest)
        )
        return f"{low.partition(' ')[0]} to {high}"

    def typed(self, values: Mapping[str, str], system: str) -> str | None:
        """Return what was typed with its unit, as the bench reads it; None when nothing was."""
        text = values.get(self.name, "").strip()
        if not text or self.choices is not None:
            return text or None
        if any(letter.isalpha() or letter in "°%" for letter in text):
            return text
        units = self.units[system]
        picked = values.get(f"{self.name}-unit", units[0].name)
        known = picked if picked in {unit.name for unit in units} else units[0].name
        return f"{text} {known}".strip()


def _digits(value: float, unit: Unit) -> int:
    shown = (value - unit.offset) / unit.factor
    return 0 if abs(shown - round(shown)) < 1e-6 or abs(shown) >= 100.0 else 1
