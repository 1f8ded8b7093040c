"""Which reading would help most to say where the sugar went, and what the record lacks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from sugarwright.ledger.fit import Fit
from sugarwright.ledger.slopes import Number, density
from sugarwright.ledger.timeline import Timeline
from sugarwright.plant.house import House

WORTH_SAYING = 0.05
_AT_C = 20.0


@dataclass(frozen=True)
class NextReading:
    """A reading that would help.

    Parameters
    ----------
    what : in words
    gain_fraction : by how much the uncertainty of the sugar that got lost would shrink
    """

    what: str
    gain_fraction: float


def next_reading(fit: Fit) -> NextReading | None:
    """Return the reading that would help most; None when none would help to speak of.

    Notes
    -----
    Of a linear balance, a further reading of deviation ``s`` with slopes ``h`` takes
    ``(t'Ch)²/(h'Ch + s²)`` off the variance of a target with slopes ``t``. The target is the sugar
    that came less that in the syrup.
    """
    target = _target(fit)
    covariance = fit.covariance
    if target is None:
        return None
    count = len(covariance)
    towards = covariance @ target[:count]
    before = float(target[:count] @ towards)
    best: NextReading | None = None
    for what, number, sd in _possible(fit):
        slopes = number.slopes[:count]
        along = float(slopes @ towards)
        taken = along**2 / (float(slopes @ covariance @ slopes) + sd**2)
        gain = 1.0 - math.sqrt(max(1.0 - taken / before, 0.0)) if before > 0.0 else 0.0
        if gain > WORTH_SAYING and (best is None or gain > best.gain_fraction):
            best = NextReading(what, gain)
    return best


def lacking(house: House, timeline: Timeline) -> Iterator[str]:
    """Yield what the record lacks for a balance that can be told, in sentences.

    Parameters
    ----------
    house, timeline : the house and its record
    """
    moves = [each for period in timeline.periods for each in period.moves]
    rounds = [each for period in timeline.periods for each in period.readings]
    kinds = {each.entry.kind for each in moves}

    def read(place: str, name: str) -> bool:
        return any(each.entry.place == place and name in each.values for each in rounds)

    unmeasured = [
        each.name for each in house.gathering
        if f"gathering:{each.name}" not in timeline.measured_points
    ]  # fmt: skip
    if unmeasured and not {"", "sap"} & timeline.measured_points:
        yield (
            f"No sap was measured as it came in from {', '.join(unmeasured)}. Enter each gathering "
            "with its volume, or read the sap tank before and after each run."
        )
    sap_brix = read("sap", "brix") or any(
        "brix" in each.values for each in moves if each.entry.kind in ("gather", "sap_bought")
    )
    if not sap_brix:
        yield "No sap was tested: without its Brix nothing can be said of its sugar."
    if "draw" not in kinds and not timeline.syrup:
        yield "No syrup was measured: enter each draw with its volume, or the syrup you canned."
    if not read("sap", "volume"):
        yield "The sap tank was never read: a stick in the morning and at night ties the days."
    if house.membrane is not None and house.stock_tank is not None and not read("stock", "volume"):
        yield "The stock tank was never read: membrane and pan can't be told apart without it."
    if house.membrane is not None and all(each.membrane_s is None for each in timeline.periods):
        yield "No start or stop of the membrane was entered: its run hours are not known."
    if all(each.fire_s is None for each in timeline.periods):
        yield "No fire was entered: what the pan boiled off can't be held against its hours."


def _target(fit: Fit) -> np.ndarray[tuple[int], np.dtype[np.float64]] | None:
    came = [e.sugar for e in fit.walked.flows if e.name in ("gathered", "ran in", "bought")]
    made = [e.sugar for e in fit.walked.flows if e.name == "syrup"]
    if not came and not made:
        return None
    slopes = [each.slopes for each in came] + [-each.slopes for each in made]
    return np.sum(slopes, axis=0)  # type: ignore[no-any-return]  # NumPy says too little of sums


def _possible(fit: Fit) -> Iterator[tuple[str, Number, float]]:
    """Yield readings that could be made, with their deviations."""
    walked = fit.walked
    sums: dict[str, Callable[[], tuple[Number, Number] | None]] = {
        "sap": lambda: _sum(fit, ("gathered", "ran in", "bought")),
        "syrup": lambda: _sum(fit, ("syrup",)),
    }
    for name, told in (
        ("sap", "the volume of all sap as it comes in, within 2 %"),
        ("syrup", "the volume of all syrup, within 1 %"),
    ):
        both = sums[name]()
        if both is None or both[0].value <= 1.0:
            continue
        mass, sugar = both
        volume = mass / density(sugar / mass * 100.0, _AT_C)
        yield told, volume, (0.02 if name == "sap" else 0.01) * abs(volume.value)
        brix = "the Brix of the sap at each gathering" if name == "sap" else "the Brix of the syrup"
        yield brix, sugar / mass * 100.0, 0.05 if name == "sap" else 0.1
    for place in ("sap", "stock"):
        if place in walked.held and walked.timeline.periods:
            volume = walked.volumes[place, len(walked.timeline.periods) - 1]
            yield f"the level of the {place} tank now", volume, 0.005
            at = walked.held[place]
            if at.mass.value > 20.0:
                yield f"the Brix in the {place} tank now", at.sugar / at.mass * 100.0, 0.15
    pan = walked.held["pan"].sugar
    yield "what the pan holds now: its depth, and the Brix from end to end", pan, 1.0


def _sum(fit: Fit, names: tuple[str, ...]) -> tuple[Number, Number] | None:
    found = [each for each in fit.walked.flows if each.name in names]
    if not found:
        return None
    mass, sugar = found[0].mass, found[0].sugar
    for each in found[1:]:
        mass, sugar = mass + each.mass, sugar + each.sugar
    return mass, sugar
