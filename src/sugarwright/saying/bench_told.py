"""An answer of the finish bench in words: a sentence at its head, then sentences and tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.units import MASS, TEMPERATURE, VOLUME, Kind, show, to_unit

GALLON_M3 = 3.785411784e-3


@dataclass(frozen=True)
class Sentence:
    """A sentence below the head.

    Parameters
    ----------
    text : without breaks
    kind : "" as it is, "warning" of what was measured, "caution" of what can hurt
    """

    text: str
    kind: str = ""


@dataclass(frozen=True)
class Rows:
    """A table.

    Parameters
    ----------
    titles : of its columns; may be empty words
    rows : a cell a column
    words_last : the last column holds words, not figures
    """

    titles: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    words_last: bool = False


@dataclass(frozen=True)
class Told:
    """An answer.

    Parameters
    ----------
    head : what was asked for, in a sentence without its full stop
    parts : what belongs to it, in order
    """

    head: str
    parts: tuple[Sentence | Rows, ...]


def table(
    titles: Sequence[str], rows: Sequence[Sequence[str]], *, words_last: bool = False
) -> Rows:
    """Return a table of any sequences."""
    return Rows(tuple(titles), tuple(tuple(row) for row in rows), words_last)


def give_or_take(sd: float, digits: int = 1) -> str:
    """Return two standard deviations, which hold 19 times in 20, never shown as nothing."""
    return f"{max(2.0 * sd, 10.0**-digits):.{digits}f}"


def reference(system: str) -> str:
    """Return the temperature that volumes on labels are meant at."""
    return show(20.0, TEMPERATURE, system, digits=0)


def mass(mass_kg: float, system: str) -> str:
    """Return a mass: ounces below a pound, grams below a kilogram."""
    return three(mass_kg, MASS, MASS.display_unit(mass_kg, system))


def volume(volume_m3: float, system: str) -> str:
    """Return a volume: ounces below a tenth of a gallon, millilitres below a litre."""
    return three(volume_m3, VOLUME, VOLUME.display_unit(volume_m3, system))


def small_volume(volume_m3: float, system: str) -> str:
    """Return a volume as one pours it: fluid ounces below half a gallon."""
    if system == "us" and volume_m3 < 0.5 * GALLON_M3:
        return three(volume_m3, VOLUME, "fl oz")
    return volume(volume_m3, system)


def three(value: float, kind: Kind, unit: str) -> str:
    """Return a quantity with three digits that count."""
    number = to_unit(value, kind, unit)
    digits = 0 if number >= 100.0 else 1 if number >= 10.0 else 2
    return show(value, kind, digits=digits, unit=unit)
