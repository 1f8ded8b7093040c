"""Specs of keys that hold numbers: quantities with units, plain numbers, lists of quantities."""

# ruff: noqa: D102 - the methods are described once, in Spec

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sugarwright.errors import HouseFileError
from sugarwright.plant.specs import MOST_INTEGER, Spec, refuse
from sugarwright.units import Kind, parse, show


@dataclass(frozen=True, kw_only=True)
class Quantity(Spec):
    """A number with a unit, in quotes: ``"400 gal"``."""

    kind: Kind
    least: str
    greatest: str

    @property
    def suffix(self) -> str:
        return self.kind.suffix

    @property
    def sort(self) -> str:
        return self.kind.name

    def read(self, raw: object, field: str, system: str = "us") -> float:
        huge = isinstance(raw, int) and abs(raw) > MOST_INTEGER
        if isinstance(raw, bool) or huge or not isinstance(raw, str | int | float):
            raise self._no_quantity(raw, field)
        value = parse(raw, self.kind, field)
        least, greatest = parse(self.least, self.kind), parse(self.greatest, self.kind)
        if not least <= value <= greatest:
            side = "too small" if value < least else "too large"
            raise refuse(field, raw, f"is {side} to be meant", self.allowed(system))
        return value

    def _no_quantity(self, raw: object, field: str) -> HouseFileError:
        fix = f'Write a number and its unit in quotes: "{self.kind.example}"'
        return refuse(field, raw, f"is no {self.kind.name}", fix=fix)

    def allowed(self, system: str = "us") -> str:
        return f"{self.shown(self.least, system)} to {self.shown(self.greatest, system)}"

    def shown(self, raw: Any, system: str) -> Any:
        if raw is None or system == "us":
            return raw
        return show(parse(raw, self.kind), self.kind, system)


@dataclass(frozen=True, kw_only=True)
class Number(Spec):
    """A plain number without a unit."""

    least: float
    greatest: float
    integral: bool = False

    @property
    def sort(self) -> str:
        return "whole number" if self.integral else "number"

    def read(self, raw: object, field: str, system: str = "us") -> float:
        allowed = int if self.integral else int | float
        if isinstance(raw, bool) or not isinstance(raw, allowed):
            raise refuse(
                field, raw, f"is no {self.sort}", self.allowed(), "Write it without quotes."
            )
        if not self.least <= raw <= self.greatest:
            raise refuse(field, raw, "is outside what is possible", self.allowed())
        return raw if self.integral else float(raw)

    def allowed(self, system: str = "us") -> str:
        return f"{self.least:g} to {self.greatest:g}"

    def typed(self, text: str) -> Any:
        cleaned = text.strip().replace(",", "")
        for number in (int, float):
            try:
                return number(cleaned)
            except ValueError:
                continue
        return text.strip()


@dataclass(frozen=True, kw_only=True)
class Many(Spec):
    """A list of values of one sort, or (with ``row``) of rows of values."""

    of: tuple[Quantity, ...]
    fewest: int
    most: int

    @property
    def suffix(self) -> str:
        return self.of[0].suffix if len(self.of) == 1 else ""

    @property
    def sort(self) -> str:
        inner = " and ".join(spec.sort for spec in self.of)
        return f"list of {inner}" if len(self.of) == 1 else f"list of pairs of {inner}"

    def read(self, raw: object, field: str, system: str = "us") -> tuple[Any, ...]:
        if not isinstance(raw, list) or not self.fewest <= len(raw) <= self.most:
            raise refuse(field, raw, "is no such list", self.allowed(system))
        if len(self.of) == 1:
            return tuple(self.of[0].read(item, field, system) for item in raw)
        return tuple(self._row(row, field, system) for row in raw)

    def _row(self, row: object, field: str, system: str) -> tuple[Any, ...]:
        if not isinstance(row, list) or len(row) != len(self.of):
            raise refuse(field, row, "is no pair", self.allowed(system))
        return tuple(
            spec.read(item, field, system) for spec, item in zip(self.of, row, strict=True)
        )

    def allowed(self, system: str = "us") -> str:
        inner = " and ".join(spec.allowed(system) for spec in self.of)
        count = self.fewest if self.fewest == self.most else f"{self.fewest} to {self.most}"
        return f"a list of {count}, each {inner}"

    def typed(self, text: str) -> Any:
        return [item.strip() for item in text.split(",") if item.strip()]

    def shown(self, raw: Any, system: str) -> Any:
        if raw is None:
            return None
        if len(self.of) == 1:
            return [self.of[0].shown(item, system) for item in raw]
        return [
            [s.shown(item, system) for s, item in zip(self.of, row, strict=True)] for row in raw
        ]
