"""Reading a quantity that a person typed; conversion by a unit's name."""

from __future__ import annotations

import math
import re
from difflib import get_close_matches

from sugarwright.errors import QuantityError, RangeError
from sugarwright.units.angle import read_angle
from sugarwright.units.kind import Kind, unit_key
from sugarwright.units.kinds import KINDS
from sugarwright.units.number import take_number, tidy
from sugarwright.units.trade import ANGLE, BRIX, FRACTION

_LONGEST_TEXT = 200
_CURRENCY = re.compile(
    r"(?:\b(?:US|CAN?|C|A|AU|NZ))?\$|[€£]"
    r"|(?<![a-z])(?:USD|CAD|EUR|GBP|AUD|NZD|dollars?|euros?)(?![a-z])",
    re.IGNORECASE,
)


class _Refusal(Exception):  # noqa: N818  not an error yet: the field is known to parse() only
    def __init__(self, problem: str, allowed: str = "", fix: str = "") -> None:
        self.problem, self.allowed, self.fix = problem, allowed, fix


def parse(
    text: str | int | float, kind: Kind, field: str = "value", default_unit: str | None = None
) -> float:
    """Return what a person typed, in SI.

    Parameters
    ----------
    text : the text ("1 1/2 cord"), or a bare number as a file gives it
    kind : what it must be
    field : its name as the person knows it, for the message
    default_unit : unit of a number that has none; without it such a number is refused
        (except where none is needed: Brix, fractions, money, angles)

    Returns
    -------
    The value in the SI unit that ``kind.suffix`` names.

    Raises
    ------
    QuantityError : the text is no quantity of this kind
    RangeError : it is one that cannot exist (below absolute zero, above 100 Brix)

    >>> from sugarwright.units import LENGTH, VOLUME, parse
    >>> round(parse("400 gal", VOLUME), 4)
    1.5142
    >>> round(parse("5 ft 3 in", LENGTH), 4)
    1.6002
    """
    try:
        value = _read(text, kind, default_unit)
    except _Refusal as refusal:
        raise QuantityError(field, text, refusal.problem, refusal.allowed, refusal.fix) from None
    if kind.least <= value <= kind.greatest:
        return value
    if math.isclose(value, kind.least, rel_tol=1e-12):
        return kind.least
    raise RangeError(field, text, *_beyond(kind, value))


def from_unit(value: float, kind: Kind, unit: str) -> float:
    """Return a number of a unit in SI. Raises QuantityError when the kind has no such unit.

    >>> from sugarwright.units import TEMPERATURE, from_unit
    >>> from_unit(212.0, TEMPERATURE, "F")
    100.0
    """
    factor, offset = _factors(unit, kind)
    return value * factor + offset


def to_unit(value: float, kind: Kind, unit: str) -> float:
    """Return an SI value as a number of a unit. Raises QuantityError when the kind has no such.

    >>> from sugarwright.units import VOLUME, to_unit
    >>> round(to_unit(1.0, VOLUME, "gal"), 3)
    264.172
    """
    factor, offset = _factors(unit, kind)
    return (value - offset) / factor


def _factors(unit: str, kind: Kind) -> tuple[float, float]:
    try:
        return _find(_without_currency(tidy(unit), kind), kind)
    except _Refusal as refusal:
        raise QuantityError("unit", unit, refusal.problem, refusal.allowed, refusal.fix) from None


def _read(text: object, kind: Kind, default_unit: str | None) -> float:
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise _Refusal("is neither a text nor a number", fix=f"Write it like {kind.example!r}")
    if not isinstance(text, str):
        return _in_si(_as_float(text), "", kind, default_unit)
    if len(text) > _LONGEST_TEXT:
        raise _Refusal("is too long for a quantity", fix=f"Write it like {kind.example}")
    plain = _without_currency(tidy(text), kind)
    if not plain:
        raise _Refusal("is empty", fix=f"Write a {kind.name}, for example {kind.example}")
    if kind is ANGLE:
        degrees = read_angle(plain)
        if degrees is None:
            raise _Refusal("is no angle", fix="Write degrees, for example 44.2 N or 44°12'N")
        return degrees
    first = take_number(plain)
    if first is None:
        raise _Refusal("does not start with a usable number", fix=f"Write it like {kind.example}")
    number, unit = first
    if kind.parts and kind.find(unit) is None and re.search("[0-9]", unit):
        return _in_parts(plain, kind)
    return _in_si(number, unit, kind, default_unit)


def _as_float(number: int | float) -> float:
    try:
        value = float(number)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise _Refusal("is not a finite number")
    return value


def _in_si(number: float, unit: str, kind: Kind, default_unit: str | None) -> float:
    if not unit and default_unit is not None:
        unit = default_unit
    if not unit and kind is FRACTION and abs(number) > 1.0:
        raise _Refusal(
            "a bare fraction is at most 1", fix=f"Write {number:g} % or a decimal like 0.4"
        )
    if not unit and kind.find("") is None:
        raise _Refusal("needs a unit", fix=f"Write it like {kind.example}")
    factor, offset = _find(unit, kind)
    value = number * factor + offset
    if not math.isfinite(value):
        raise _Refusal("is too large a number")
    return value


def _in_parts(text: str, kind: Kind) -> float:
    """Read "5 ft 3 in": each part smaller than one of the unit before it, the sign for all."""
    sign = -1.0 if text.startswith("-") else 1.0
    rest = text.lstrip("+-")
    total, size_before, unit_before = 0.0, math.inf, ""
    while rest:
        taken = take_number(rest)
        if taken is None or rest.startswith(("+", "-")):
            raise _Refusal("cannot be read", fix=f"Write it like {kind.example}")
        number, rest = taken
        match = re.match(r"[^0-9]*", rest)
        unit = match.group().strip(" ,") if match else ""
        rest = rest[len(match.group()) if match else 0 :]
        unit = unit or kind.next_part.get(unit_before, "")
        if not unit:
            raise _Refusal("has a number without a unit", fix=f"Write it like {kind.example}")
        size, offset = _find(unit, kind)
        if number * size >= size_before or offset:
            raise _Refusal(f'"{number:g} {unit}" does not fit after {unit_before}')
        total += number * size
        size_before, unit_before = size, _name(unit, kind)
    return sign * total


def _name(unit: str, kind: Kind) -> str:
    """Return the shown name of a unit that the kind is known to have."""
    key = unit_key(unit)
    return next((name for text, name in kind.names.items() if unit_key(text) == key), unit)


def _find(unit: str, kind: Kind) -> tuple[float, float]:
    found = kind.find(unit)
    if found is not None:
        return found
    shown = unit if len(unit) <= 30 else unit[:27] + "..."
    allowed = ", ".join(each.name for each in kind.units if each.name)
    why = kind.why_refused(unit)
    if why:
        raise _Refusal(f"{shown}: {why}", allowed)
    other = next((each for each in KINDS if each.find(unit) is not None), None)
    if other is not None:
        raise _Refusal(f"{shown} is a unit of {other.name}; {kind.name} wanted", allowed)
    close = _closest(unit, kind)
    fix = f'Did you mean "{close}"?' if close else f"Write it like {kind.example}"
    raise _Refusal(f'"{shown}" is no unit of {kind.name} known here', allowed, fix)


def _closest(unit: str, kind: Kind) -> str:
    """Return the name of the unit whose spelling is nearest, or an empty text."""
    names = {spelling.casefold(): name for spelling, name in kind.names.items() if spelling}
    near = get_close_matches(unit.casefold()[:60], names, n=1, cutoff=0.6)
    return names[near[0]] if near else ""


def _without_currency(text: str, kind: Kind) -> str:
    """Drop one sign or code of a currency, or both ("$350 CAD"), where money is read."""
    if not kind.suffix.startswith("_money"):
        return text
    return re.sub(r"\s+", " ", _CURRENCY.sub(" ", text, count=2)).strip().replace("- ", "-")


def _beyond(kind: Kind, value: float) -> tuple[str, str]:
    if kind is BRIX:
        return "is no share of sugar in a liquid", "0 to 100 Brix"
    if kind is ANGLE:
        return "is beyond half a turn", "-180 to 180 degrees"
    return "is below absolute zero", "-459.67 °F (-273.15 °C) or warmer"
