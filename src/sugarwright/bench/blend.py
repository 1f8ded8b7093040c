"""Blending drums: what comes of all of them, and how much of each gives a wanted strength."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.bench.adjust import Batch
from sugarwright.errors import RangeError
from sugarwright.physics.solution import density_kg_m3


@dataclass(frozen=True)
class Portion:
    """What is taken of one drum.

    Parameters
    ----------
    brix : its strength [mass percent]
    have_kg : what it holds [kg]
    take_kg : what is taken [kg]
    take_m3 : the same at 20 °C [m³]
    left_kg : what stays in it [kg]
    """

    brix: float
    have_kg: float
    take_kg: float
    take_m3: float
    left_kg: float


@dataclass(frozen=True)
class Blend:
    """A blend of drums.

    Parameters
    ----------
    portions : of each drum, in the order given
    mass_kg, volume_m3 : of the blend, the volume at 20 °C
    brix : its strength [mass percent]
    sd_brix : standard deviation of that [Brix]
    """

    portions: tuple[Portion, ...]
    mass_kg: float
    volume_m3: float
    brix: float
    sd_brix: float


def blend(drums: Sequence[Batch]) -> Blend:
    """Return what comes of pouring whole drums together.

    Parameters
    ----------
    drums : one or more

    Raises
    ------
    RangeError : no drums, or nothing in them
    """
    return _poured(drums, [drum.mass_kg for drum in drums])


def blend_to(drums: Sequence[Batch], target_brix: float) -> Blend:
    """Return the largest blend of a wanted strength.

    Parameters
    ----------
    drums : one or more
    target_brix : wanted strength [mass percent]

    Raises
    ------
    RangeError : no drums, or all of them on one side of the target

    Notes
    -----
    Sugar above the target must make good what is missing below it. The side that has less of it
    goes in whole; of the other, the drums nearest to the target go first, as they bring most
    syrup for each pound of it. With two drums it is the Pearson square.
    """
    surplus = [drum.mass_kg * (drum.brix - target_brix) for drum in drums]
    above = math.fsum(part for part in surplus if part > 0.0)
    below = -math.fsum(part for part in surplus if part < 0.0)
    budget = min(above, below)
    take = [drum.mass_kg if drum.brix == target_brix else 0.0 for drum in drums]
    if budget <= 0.0 and not any(take):
        side = "above" if below == 0.0 else "below"
        raise RangeError(
            "to", f"{target_brix:g} Brix", f"every drum is {side} it; no blend reaches it"
        )
    for sign in (1.0, -1.0):
        left = budget
        for place in sorted(range(len(drums)), key=lambda i: abs(drums[i].brix - target_brix)):
            lift = sign * (drums[place].brix - target_brix)
            if lift > 0.0:
                take[place] = min(drums[place].mass_kg, left / lift)
                left -= take[place] * lift
    return _poured(drums, take)


def _poured(drums: Sequence[Batch], take: Sequence[float]) -> Blend:
    mass_kg = math.fsum(take)
    if mass_kg <= 0.0:
        raise RangeError("drum", 0, "there is nothing to blend", "one drum or more, each with some")
    parts = list(zip(drums, take, strict=True))
    brix = math.fsum(part * drum.brix for drum, part in parts) / mass_kg
    return Blend(
        tuple(_portion(drum, part) for drum, part in parts),
        mass_kg,
        mass_kg / density_kg_m3(brix, 20.0),
        brix,
        _sd_brix(parts, mass_kg, brix),
    )


def _portion(drum: Batch, take_kg: float) -> Portion:
    take_m3 = take_kg / density_kg_m3(drum.brix, 20.0)
    return Portion(drum.brix, drum.mass_kg, take_kg, take_m3, drum.mass_kg - take_kg)


def _sd_brix(parts: Sequence[tuple[Batch, float]], mass_kg: float, brix: float) -> float:
    """First-order spread: of each drum's strength, and of how much of it was taken.

    Each drum's own spread counts as independent; a hydrometer that is off is off for all, and then
    the blend is off as much as the drums are.
    """
    terms = []
    for drum, take in parts:
        share = take / mass_kg
        terms.append(share * drum.sd_brix)
        terms.append(share * drum.mass_sd_fraction * (drum.brix - brix))
    return math.sqrt(math.fsum(term * term for term in terms))
