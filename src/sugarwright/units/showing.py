"""Printing SI as a maker reads it: the usual unit, and no more digits than can be used."""

from __future__ import annotations

import math

from sugarwright.errors import RangeError
from sugarwright.units.basic import DAY_S, DURATION
from sugarwright.units.kind import Kind
from sugarwright.units.money import MONEY
from sugarwright.units.reading import to_unit

_COUNTED = frozenset({"cord", "stere", "day"})


def show(
    value: float,
    kind: Kind,
    system: str = "us",
    digits: int | None = None,
    unit: str | None = None,
    currency: str = "$",
) -> str:
    """Return an SI value as a text that :func:`~sugarwright.units.parse` reads back.

    Parameters
    ----------
    value : in SI
    kind : what it is
    system : "us" or "metric"
    digits : digits after the point; without it two significant digits, and whole numbers in full
    unit : a unit of the kind, instead of the usual one of the system
    currency : sign before an amount of money

    Raises
    ------
    RangeError : the value is not a finite number
    QuantityError : the kind has no such unit

    >>> from sugarwright.units import DURATION, TEMPERATURE, VOLUME, show
    >>> show(0.0908, VOLUME), show(3.33, TEMPERATURE), show(19800, DURATION), show(300, DURATION)
    ('24 gal', '38 °F', '5 h 30 min', '5 min')
    """
    if not math.isfinite(value):
        raise RangeError(kind.name, value, "cannot be shown", "a finite number")
    if kind is DURATION and unit is None and digits is None and 3570 <= abs(value) < 3 * DAY_S:
        return _hours_and_minutes(value)
    if unit is None:
        unit = kind.display_unit(value, system)
    number = to_unit(value, kind, unit)
    if kind.suffix.startswith("_money"):
        if digits is None and kind is not MONEY and abs(number) < 0.1:
            digits = _decimals(number)
        return _money(number, digits, currency) + unit
    text = _rounded(number, kind.decimals.get(unit) if digits is None else digits)
    if unit == "min" and digits is None:  # "5 min" of work is not known to the second
        text = text.removesuffix(".0")
    if unit in _COUNTED and abs(number) > 1.0 and text != "1":
        unit += "s"
    return f"{text}{unit}" if unit == "°" else f"{text} {unit}".rstrip()


def _rounded(number: float, decimals: int | None) -> str:
    """Two significant digits, whole numbers in full ("1,234", "24", "6.1", "0.20")."""
    if decimals is None:
        decimals = _decimals(number)
    if decimals > 8:
        return f"{number:.1e}"
    text = f"{number:,.{decimals}f}"
    return text.lstrip("-") if not text.strip("-0.,") else text


def _decimals(number: float) -> int:
    """Digits after the point that leave two significant ones."""
    if number == 0.0:
        return 0
    # Rounded first, so that 9.96 counts as the 10 it will be shown as.
    return max(0, 1 - math.floor(math.log10(abs(float(f"{number:.1e}")))))


def _money(number: float, digits: int | None, currency: str) -> str:
    """Whole amounts without cents ("$15"), others with ("$0.45"); no cents from 100 on."""
    decimals = digits
    if decimals is None:
        decimals = 0 if abs(number) >= 100.0 else 2
    text = _rounded(abs(number), decimals)
    if digits is None:
        text = text.removesuffix(".00")
    sign = "-" if number < 0.0 and text.strip("0.,") else ""
    return f"{sign}{currency}{text}"


def _hours_and_minutes(value: float) -> str:
    hours, minutes = divmod(round(abs(value) / 60.0), 60)
    sign = "-" if value < 0.0 else ""
    return f"{sign}{hours} h {minutes} min" if minutes else f"{sign}{hours} h"
