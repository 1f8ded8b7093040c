"""What a balance asks for and states while it is gone through: unknowns, readings, possible leaks.

The same walk is made twice: once to learn which unknowns there are (:meth:`Tape.begin`), then with
their slopes, as often as the fit needs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from sugarwright.ledger.reconcile import Floats
from sugarwright.ledger.slopes import Number
from sugarwright.ledger.timeline import Item

Key = tuple[str, int]


@dataclass(frozen=True)
class Unknown:
    """A quantity that is looked for.

    Parameters
    ----------
    guess : to start from
    sd : how far from the guess it may be: a wide one where nothing is known beforehand
    """

    guess: float
    sd: float


@dataclass(frozen=True)
class Statement:
    """Something that was read, or is known of the plant, beside what the balance makes of it.

    Parameters
    ----------
    kind : "reading", or "plant" for what is known without reading
    quantity : "volume", "brix", "permeate_flow" ...; of the plant: what is known
    place : where
    period : its number
    value, sd : as read
    items : the entries that state it (several draws of one boil count together)
    """

    kind: str
    quantity: str
    place: str
    period: int
    value: float
    sd: float
    items: tuple[Item, ...] = ()


@dataclass(frozen=True)
class Leak:
    """A loss that nobody entered (or, negative, something that came and nobody entered), kg."""

    place: str
    period: int


@dataclass(frozen=True)
class Doubted:
    """Something that is not believed any more: a statement, or that nothing leaked.

    Parameters
    ----------
    quantity, place, period, kind : of the statement; of a leak the kind is "leak"
    """

    quantity: str
    place: str
    period: int
    kind: str


NOT_BELIEVED = 1000.0
"""A doubted statement counts with so many times its uncertainty."""


@dataclass
class Tape:
    """One walk through the balance.

    Parameters
    ----------
    doubted : what is not believed
    leaking : whether slopes for leaks are wanted
    at : values of the unknowns, (unknowns,); None on the first walk
    keys : which unknowns there are
    """

    doubted: frozenset[Doubted] = frozenset()
    leaking: bool = True
    at: Floats | None = None
    keys: dict[Key, int] = field(default_factory=dict)
    unknowns: list[Unknown] = field(default_factory=list)
    leaks: list[Leak] = field(default_factory=list)
    statements: list[Statement] = field(default_factory=list)
    predicted: list[Number] = field(default_factory=list)
    _leak: int = 0
    _made: dict[Key, Number] = field(default_factory=dict)

    def again(self, at: Floats, leaking: bool) -> Tape:
        """Return a tape for the next walk, at other values of the unknowns."""
        return Tape(self.doubted, leaking, at, self.keys, self.unknowns, self.leaks)

    @property
    def width(self) -> int:
        """Length of slopes: unknowns, then leaks."""
        return len(self.unknowns) + len(self.leaks) * self.leaking

    def unknown(self, name: str, period: int, guess: float, sd: float) -> Number:
        """Return an unknown."""
        key = (name, period)
        if key in self._made:
            return self._made[key]
        if self.at is None:
            self.keys[key] = len(self.unknowns)
            self.unknowns.append(Unknown(guess, sd))
            made = Number(guess, np.zeros(1))
        else:
            slopes = np.zeros(self.width)
            slopes[self.keys[key]] = 1.0
            made = Number(float(self.at[self.keys[key]]), slopes)
        self._made[key] = made
        return made

    def leak(self, place: str, period: int, most_kg: float) -> Number:
        """Return nothing, with its slope: what would change if some leaked there.

        A leak that is believed in is an unknown like others, of up to ``most_kg``.
        """
        if Doubted("leak", place, period, "leak") in self.doubted:
            return self.unknown(f"leak {place}", period, 0.0, most_kg)
        if self.at is None:
            self.leaks.append(Leak(place, period))
            return Number(0.0, np.zeros(1))
        slopes = np.zeros(self.width)
        if self.leaking:
            slopes[len(self.unknowns) + self._leak] = 1.0
            self._leak += 1
        return Number(0.0, slopes)

    def state(self, statement: Statement, predicted: Number) -> None:
        """Take down a reading and what the balance makes of it."""
        name = Doubted(statement.quantity, statement.place, statement.period, statement.kind)
        if name in self.doubted:
            statement = replace(statement, sd=NOT_BELIEVED * statement.sd)
        self.statements.append(statement)
        self.predicted.append(predicted)

    def known(
        self, what: str, place: str, period: int, value: float, sd: float, predicted: Number
    ) -> None:
        """Take down what is known of the plant without reading."""
        self.state(Statement("plant", what, place, period, value, sd), predicted)

    def read(
        self,
        items: Sequence[Item],
        name: str,
        period: int,
        predicted: Number,
        share: float = 0.0,
        plain: float = 0.0,
    ) -> None:
        """Take down what entries state together of one quantity: volumes add up, others average.

        Parameters
        ----------
        items : entries; those that state nothing of it are passed over
        name : the quantity
        period : its number
        predicted : what the balance makes of it
        share, plain : how far what was read may be from what the balance means (a sample from a
            tank's mean), as a share of it and plainly; standard deviations
        """
        have = [each for each in items if name in each.values]
        if not have:
            return
        values = [each.values[name] for each in have]
        if name == "volume":
            value = sum(each.value for each in values)
            variance = sum(each.sd**2 for each in values)
        else:
            weights = [each.sd**-2 for each in values]
            value = sum(w * v.value for w, v in zip(weights, values, strict=True)) / sum(weights)
            variance = 1.0 / sum(weights)
        sd = float(np.sqrt(variance + (share * value) ** 2 + plain**2))
        place = have[0].entry.place
        self.state(Statement("reading", name, place, period, value, sd, tuple(have)), predicted)
