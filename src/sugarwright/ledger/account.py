"""The account of a season's sugar and of what flowed, from the readings made to agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sugarwright.ledger.fit import Fit
from sugarwright.ledger.slopes import Number, density
from sugarwright.ledger.walk import Flow, Held
from sugarwright.physics.solution import sap_to_syrup_ratio

AT_C = 20.0
SAP = ("gathered", "ran in", "bought")
OUT = ("syrup", "lost at the pan", "let go", "cleaning", "sold", "dumped", "spilled", "moved")
THROUGH = ("fed", "concentrate", "permeate", "boiled", "steam")
LEAST_KG = 0.0005


@dataclass(frozen=True)
class Amount:
    """What flowed in all, or is held.

    Parameters
    ----------
    name : which flow, or place
    volume_m3, volume_sd_m3 : at 20 °C
    brix, sd_brix : its mean strength; None where there is too little to have one
    sugar_kg, sugar_sd_kg : sugar in it
    """

    name: str
    volume_m3: float
    volume_sd_m3: float
    brix: float | None
    sd_brix: float | None
    sugar_kg: float
    sugar_sd_kg: float


@dataclass(frozen=True)
class Line:
    """A line of the sugar account.

    Parameters
    ----------
    name : where it came from or went to
    sugar_kg, sugar_sd_kg : sugar
    """

    name: str
    sugar_kg: float
    sugar_sd_kg: float


@dataclass(frozen=True)
class Ratio:
    """How much sap made how much syrup.

    Parameters
    ----------
    sap_m3, syrup_m3 : volumes
    sap_by_syrup_ratio, ratio_sd : volume of sap by volume of syrup; None when no syrup was drawn
    balance_ratio : what the balance of sugar gives for sap and syrup of this strength, were none
        lost or held back
    """

    sap_m3: float
    syrup_m3: float
    sap_by_syrup_ratio: float | None
    ratio_sd: float | None
    balance_ratio: float | None


@dataclass(frozen=True)
class Account:
    """Where the sugar went.

    Parameters
    ----------
    flows : what flowed, season's sums
    held : what is in tanks and pan at the end
    came, went : the sugar account; both sides add up to the same
    ratio : sap to syrup
    """

    flows: tuple[Amount, ...]
    held: tuple[Amount, ...]
    came: tuple[Line, ...]
    went: tuple[Line, ...]
    ratio: Ratio


@dataclass(frozen=True)
class PeriodFlows:
    """What flowed from one round of readings to the next.

    Parameters
    ----------
    begin_s, end_s : UTC s
    flows : what moved in it
    """

    begin_s: float
    end_s: float
    flows: tuple[Amount, ...]


def account_of(fit: Fit) -> Account:
    """Draw up the account of a fit."""
    walked = fit.walked
    by_name = {name: _total(fit, name) for name in (*SAP, *THROUGH, *OUT)}
    flows = tuple(
        _amount(fit, name, total.mass, total.sugar)
        for name, total in by_name.items()
        if total is not None
    )
    held = tuple(_amount(fit, place, at.mass, at.sugar) for place, at in walked.held.items())
    came = [_line(fit, f"in the {place} at the beginning", at) for place, at in _held(walked.first)]
    came += _lines(fit, by_name, SAP)
    went = _lines(fit, by_name, OUT)
    for place in walked.held:
        unseen = _total(fit, f"unseen {place}")
        if unseen is not None and abs(unseen.sugar.value) > LEAST_KG:
            came_unseen = unseen.sugar.value < 0.0
            name = f"{'came' if came_unseen else 'lost'} unseen, {place}"
            sign = -1.0 if came_unseen else 1.0
            (came if came_unseen else went).append(
                _line(fit, name, Held(unseen.mass * sign, unseen.sugar * sign))
            )
    went += [_line(fit, f"in the {place} at the end", at) for place, at in _held(walked.held)]
    return Account(flows, held, tuple(came), tuple(went), _ratio(fit, by_name))


def by_period(fit: Fit) -> tuple[PeriodFlows, ...]:
    """Return what flowed from one round of readings to the next."""
    found: list[PeriodFlows] = []
    for number, period in enumerate(fit.walked.timeline.periods):
        here = [each for each in fit.walked.flows if each.period == number]
        shown = tuple(
            _amount(fit, each.name, each.mass, each.sugar)
            for each in here
            if each.name and not each.name.startswith("unseen")
        )
        found.append(PeriodFlows(period.begin_s, period.end_s, shown))
    return tuple(found)


def _held(places: dict[str, Held]) -> Sequence[tuple[str, Held]]:
    return list(places.items())


def _total(fit: Fit, name: str) -> Flow | None:
    """Return all flows of a name together."""
    found = [each for each in fit.walked.flows if each.name == name]
    if not found:
        return None
    mass, sugar = found[0].mass, found[0].sugar
    for each in found[1:]:
        mass, sugar = mass + each.mass, sugar + each.sugar
    return Flow(name, found[-1].period, mass, sugar)


def _lines(fit: Fit, by_name: dict[str, Flow | None], names: Sequence[str]) -> list[Line]:
    found = []
    for name in names:
        total = by_name[name]
        if total is not None:
            found.append(_line(fit, name, Held(total.mass, total.sugar)))
    return found


def _line(fit: Fit, name: str, held: Held) -> Line:
    return Line(name, held.sugar.value, fit.sd(held.sugar))


def _amount(fit: Fit, name: str, mass: Number, sugar: Number) -> Amount:
    brix = sugar / mass * 100.0 if mass.value > 1.0 else None
    strength = brix if brix is not None else Number(0.0, np.zeros_like(mass.slopes))
    volume = mass / density(strength, AT_C)
    return Amount(
        name,
        volume.value,
        fit.sd(volume),
        None if brix is None else brix.value,
        None if brix is None else fit.sd(brix),
        sugar.value,
        fit.sd(sugar),
    )


def _ratio(fit: Fit, by_name: dict[str, Flow | None]) -> Ratio:
    """Hold sap against syrup."""
    sap = [each for name in SAP if (each := by_name[name]) is not None]
    syrup = by_name["syrup"]
    if not sap:
        return Ratio(0.0, 0.0, None, None, None)
    mass, sugar = sap[0].mass, sap[0].sugar
    for each in sap[1:]:
        mass, sugar = mass + each.mass, sugar + each.sugar
    if mass.value <= 1.0:
        return Ratio(0.0, 0.0, None, None, None)
    sap_brix = sugar / mass * 100.0
    sap_m3 = mass / density(sap_brix, AT_C)
    if syrup is None or syrup.mass.value <= 0.1:
        return Ratio(sap_m3.value, 0.0, None, None, None)
    syrup_brix = syrup.sugar / syrup.mass * 100.0
    syrup_m3 = syrup.mass / density(syrup_brix, AT_C)
    ratio = sap_m3 / syrup_m3
    can_be = 0.1 <= sap_brix.value < syrup_brix.value <= 85.0
    balance = sap_to_syrup_ratio(sap_brix.value, syrup_brix.value) if can_be else None
    return Ratio(sap_m3.value, syrup_m3.value, ratio.value, fit.sd(ratio), balance)
