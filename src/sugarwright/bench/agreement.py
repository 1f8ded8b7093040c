"""Do the instruments agree; and if not, which is off, and why."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.bench.instruments import Strength

GREATEST_GAP = 2.0
"""Gap of two instruments, in standard deviations of the gap, that chance gives once in 20 times."""

LIKELY = {
    ("hydrometer", "high"): "the syrup was cooler than the temperature given, or the hydrometer "
    "touched the cup, or its paper has slipped: check it in water of 60 °F, where it should sink "
    "past its scale, or against a second one",
    ("hydrometer", "low"): "the syrup was hotter than the temperature given, or dried syrup on the "
    "stem pulled it down, or foam hid the mark: rinse it, warm it, read at the flat of the surface",
    ("refractometer", "high"): "the drop was hot or stood too long and thickened: let a covered "
    "sample cool, then take a fresh drop",
    ("refractometer", "low"): "the prism was wet, or its zero has drifted: dry it and set it to "
    "zero with distilled water at room temperature",
    ("thermometer", "high"): "the air's pressure has risen since water was boiled, or the probe "
    "touched the pan, or late syrup with much invert sugar: boil water again",
    ("thermometer", "low"): "the air's pressure has fallen since water was boiled, or the probe "
    "was not deep enough, or its scale is off: boil water again with the same thermometer",
}
"""Common causes (trade practice and the physics of each instrument)."""


@dataclass(frozen=True)
class Agreement:
    """What several instruments say together.

    Parameters
    ----------
    brix : the strength to go by [mass percent]
    sd_brix : its standard deviation [Brix]; widened when they disagree and none can be singled out
    agree : whether they agree, within chance
    odd : the instrument that is off and was left out; None when none is or none can be told
    likely : why it may be off; empty when they agree
    greatest_gap_brix : largest difference between two of them [Brix]; 0 with one
    """

    brix: float
    sd_brix: float
    agree: bool
    odd: str | None
    likely: str
    greatest_gap_brix: float


def agreement(found: Sequence[Strength]) -> Agreement:
    """Return what instruments say together, and which of them is off.

    Parameters
    ----------
    found : one to three instruments, each once

    Notes
    -----
    Mean weighted by inverse variance. One of three is off when it lies apart from both others and
    they agree. Two that disagree cannot be told apart: the spread is widened by the Birge ratio.
    """
    brix, sd_brix = _mean(found)
    gap_brix = max(each.brix for each in found) - min(each.brix for each in found)
    apart = [pair for pair in itertools.combinations(found, 2) if _gap(*pair) > GREATEST_GAP]
    if not apart:
        return Agreement(brix, sd_brix, True, None, "", gap_brix)
    odd = _odd(found, apart)
    if odd is None:
        chi_squared = sum(((each.brix - brix) / each.sd_brix) ** 2 for each in found)
        wider = math.sqrt(max(1.0, chi_squared / (len(found) - 1)))
        return Agreement(brix, sd_brix * wider, False, None, _either(found), gap_brix)
    rest = [each for each in found if each is not odd]
    brix, sd_brix = _mean(rest)
    return Agreement(brix, sd_brix, False, odd.instrument, _why(odd, brix), gap_brix)


def _mean(found: Sequence[Strength]) -> tuple[float, float]:
    weights = [1.0 / each.sd_brix**2 for each in found]
    total = math.fsum(weights)
    mean = math.fsum(w * each.brix for w, each in zip(weights, found, strict=True)) / total
    return mean, math.sqrt(1.0 / total)


def _gap(one: Strength, other: Strength) -> float:
    return abs(one.brix - other.brix) / math.hypot(one.sd_brix, other.sd_brix)


def _odd(found: Sequence[Strength], apart: Sequence[tuple[Strength, Strength]]) -> Strength | None:
    """Return the one of three that is in every pair that lies apart, both of them."""
    if len(found) < 3 or len(apart) != 2:
        return None
    common = [each for each in found if all(each in pair for pair in apart)]
    return common[0] if len(common) == 1 else None


def _why(odd: Strength, brix: float) -> str:
    return LIKELY[odd.instrument, "high" if odd.brix > brix else "low"]


def _either(found: Sequence[Strength]) -> str:
    low, *_, high = sorted(found, key=lambda each: each.brix)
    return (
        f"If the {low.instrument} is off: {LIKELY[low.instrument, 'low']}. "
        f"If the {high.instrument} is off: {LIKELY[high.instrument, 'high']}."
    )
