"""Numbers among the words, made into measures of the quantities that a form has."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from sugarwright.errors import InputError
from sugarwright.logbook.amounts import Amount, units_of
from sugarwright.logbook.entry import Measure
from sugarwright.logbook.forms import Form
from sugarwright.logbook.possible import brix_range
from sugarwright.logbook.vocabulary import NAMED, fits, kind_of_quantity
from sugarwright.plant.house import House
from sugarwright.units import BRIX, MONEY, Kind, parse

_STRENGTHS = ("feed_brix", "concentrate_brix", "permeate_brix")


@dataclass
class Draft:
    """A number whose quantity may not be known yet (a bare one)."""

    amount: Amount
    quantity: str = ""
    sd: float | None = None
    instrument: str = ""

    def measure(self) -> Measure:
        """Return it as a measure."""
        amount = self.amount
        return Measure(self.quantity, amount.value, self.sd, amount.typed, self.instrument)


@dataclass
class Drafts:
    """The numbers of one statement, in order."""

    form: Form
    place: str
    house: House
    all: list[Draft] = field(default_factory=list)

    @property
    def kinds(self) -> list[Kind]:
        """Kinds of units that may stand in the form, first ones first."""
        kinds = [kind_of_quantity(quantity) for quantity in self.form.quantities]
        return list(dict.fromkeys(kind for kind in kinds if kind is not None))

    def add(self, amount: Amount, name: str) -> None:
        """Add a number, named by the word before it or by its unit alone.

        Raises
        ------
        InputError : it has no place in the form, or its place is taken
        """
        quantity = self._named(amount, name) if name else self._by_unit(amount)
        if quantity and any(each.quantity == quantity for each in self.all):
            problem = f"is a second {quantity.replace('_', ' ')}"
            raise InputError(self.form.heads[0], amount.typed, problem, fix="Say each value once")
        self.all.append(Draft(_as_quantity(amount, quantity), quantity))

    def add_level(self, typed: str, volume_m3: float) -> None:
        """Add a tank that is said to be empty or full."""
        self.add(Amount(0.0, typed, kind_of_quantity("volume"), volume_m3), "volume")

    def set_instrument(self, instrument: str) -> None:
        """Say what the last number was read with, or the nearest before it that it can read."""
        for draft in reversed(self.all):
            quantity = draft.quantity or "brix"
            if not draft.instrument and fits(instrument, quantity):
                draft.instrument = instrument
                return
        raise _reads_nothing(instrument)

    def set_sd(self, amount: Amount, typed: str) -> None:
        """Say how uncertain the last number is; without a unit in that number's own."""
        if not self.all:
            raise InputError("±", typed, "has no value before it")
        last = self.all[-1]
        kind, own = last.amount.kind, amount.kind
        factor = 1.0
        if own is not None and kind is not None and own is kind:
            factor = _factor(own, amount.typed)
        elif kind is not None and amount.kind is None:
            factor = _factor(kind, last.amount.typed)
        sd = amount.number * factor
        if not 0.0 < sd < float("inf"):
            raise InputError("±", typed, "is no uncertainty", "above 0")
        last.sd = sd

    def measures(self) -> tuple[Measure, ...]:
        """Return the measures, in the order in which they were said.

        Raises
        ------
        InputError : a bare number could be several things
        """
        bare = [draft for draft in self.all if not draft.quantity]
        for draft in bare:
            quantity = self._of_bare(draft.amount, len(bare))
            draft.quantity = quantity
            draft.amount = _as_quantity(draft.amount, quantity)
            if draft.instrument and not fits(draft.instrument, quantity):
                raise _reads_nothing(draft.instrument)
        return tuple(draft.measure() for draft in self.all)

    def _by_unit(self, amount: Amount) -> str:
        """Return the first free quantity of the unit's kind; empty for a bare number."""
        if amount.counted:
            return self._only("count", amount)
        if amount.kind is None:
            return ""
        free = [
            quantity
            for quantity in self.form.quantities
            if kind_of_quantity(quantity) is amount.kind
        ]
        unnamed = [quantity for quantity in free if quantity not in _STRENGTHS]
        if not unnamed:
            raise self._which_strength(amount)
        taken = {each.quantity for each in self.all}
        return next((each for each in unnamed if each not in taken), unnamed[-1])

    def _named(self, amount: Amount, name: str) -> str:
        could = [each for each in NAMED[name] if each in self.form.quantities]
        if not could:
            raise self._has_none(name)
        if amount.kind is not None:
            of_unit = [each for each in could if _takes(each, amount.kind)]
            if of_unit:
                return of_unit[0]
            if any(kind_of_quantity(each) is amount.kind for each in self.form.quantities):
                return self._by_unit(amount)  # "feed 41F": the name is of the stream
        bare = [each for each in could if kind_of_quantity(each) in (None, BRIX, MONEY)]
        if amount.kind is None and bare:
            return bare[0]
        kinds = [kind for each in could if (kind := kind_of_quantity(each)) is not None]
        raise self._what(amount, kinds)

    def _only(self, quantity: str, amount: Amount) -> str:
        if quantity not in self.form.quantities:
            raise InputError(self.form.heads[0], amount.typed, "is not logged here")
        return quantity

    def _of_bare(self, amount: Amount, together: int) -> str:
        """Decide a bare number where only one thing can be meant; else ask."""
        quantities = self.form.quantities
        if together > 1:
            raise self._what(amount, self.kinds)
        if "/" in amount.typed:
            raise self._what(amount, self.kinds)  # half of what? nobody reads Brix in fractions
        if "brix" not in quantities:
            if "count" in quantities:
                return self._free("count", amount)
            if any(each in quantities for each in _STRENGTHS):
                raise self._which_strength(amount)
            raise self._what(amount, self.kinds)
        has_level = any(each.quantity in ("volume", "depth") for each in self.all)
        least, greatest = brix_range(self.form.kind, self.place)
        clearly = least <= amount.number <= greatest and not amount.typed.isdigit()
        if has_level or clearly:
            return self._free("brix", amount)
        meant = amount.number / 10.0
        slip = amount.number > greatest and least <= meant <= greatest
        raise self._what(amount, self.kinds, f"{meant:g}" if slip else "")

    def _free(self, quantity: str, amount: Amount) -> str:
        if any(each.quantity == quantity for each in self.all):
            raise self._what(amount, self.kinds)
        return quantity

    def _what(self, amount: Amount, kinds: Sequence[Kind], meant: str = "") -> InputError:
        """Ask what a bare number is."""
        system = self.house.site.units
        units = units_of([kind for kind in kinds if kind is not MONEY], system)
        fix = f'Write it with its unit, as in "{amount.typed} {units[0]}"' if units else ""
        if MONEY in kinds:
            fix = f'{fix}; money as "paid {amount.typed}"'.removeprefix("; ")
            fix = fix[:1].upper() + fix[1:]
        if meant:
            fix = f'Did you mean "{meant}"? {fix}'
        return InputError(self.form.heads[0], amount.typed, "needs its unit", ", ".join(units), fix)

    def _which_strength(self, amount: Amount) -> InputError:
        digits = amount.typed.split()[0]
        fix = f"Write feed {digits}, concentrate {digits} or permeate {digits}"
        return InputError(
            self.form.heads[0], amount.typed, "is a strength, but not said of what", fix=fix
        )

    def _has_none(self, name: str) -> InputError:
        known = [
            each
            for each, quantities in NAMED.items()
            if any(q in self.form.quantities for q in quantities)
        ]
        return InputError(self.form.heads[0], name, "is not logged here", ", ".join(known))


def _reads_nothing(instrument: str) -> InputError:
    problem = "has read nothing that is said"
    return InputError("with", instrument, problem, fix="Say it behind the value that it has read")


def _takes(quantity: str, kind: Kind) -> bool:
    """Tell whether a quantity is read in a kind of units; light in percent as well."""
    return kind_of_quantity(quantity) is kind or (quantity == "light" and kind is BRIX)


def _as_quantity(amount: Amount, quantity: str) -> Amount:
    """Return a number as the quantity it turned out to be."""
    if quantity == "light":
        digits = amount.typed if amount.kind is None else amount.typed.rpartition(" ")[0]
        return Amount(amount.number, digits, None, amount.number)
    kind = kind_of_quantity(quantity) if quantity else None
    if amount.kind is not None or kind is None:
        return amount
    if kind is BRIX:
        typed = f"{amount.typed} Brix"
        return Amount(amount.number, typed, kind, parse(typed, BRIX, "brix"))
    return Amount(amount.number, amount.typed, kind, amount.value)


def _factor(kind: Kind, typed: str) -> float:
    """Return the SI size of the unit that ends a typed amount ("14 in"); 1 where none does."""
    _, _, unit = typed.rpartition(" ")
    found = kind.find(unit) or kind.find(typed.partition(" ")[2])
    return 1.0 if found is None else found[0]
