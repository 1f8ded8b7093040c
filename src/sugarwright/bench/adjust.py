"""How much water, sap or heavier syrup brings a batch to its target; all by mass."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.bench.uncertainty import first_order
from sugarwright.errors import RangeError
from sugarwright.physics.solution import density_kg_m3, mass_kg

STRENGTH_SD_BRIX = 0.2
"""A good hydrometer or refractometer, read with care; a judgement."""
VOLUME_SD_FRACTION = 0.01
"""A batch read on a marked tank or pail; a judgement."""
REFERENCE_C = 20.0


@dataclass(frozen=True)
class Adjustment:
    """What brings a batch to its target.

    Parameters
    ----------
    way : add (water or something thinner, or something stronger), boil (water off), or nothing
    added_brix : strength of what is added [mass percent]; None when nothing is
    change_kg, sd_kg : mass to add or to boil off, with its standard deviation [kg]
    change_m3 : the same as a volume at 20 °C; of water when boiled off [m³]
    batch_kg : mass of the batch as it is [kg]
    result_kg, result_m3 : mass and volume at 20 °C of the batch once at its target
    result_sd_brix : standard deviation of its strength then [Brix]
    first_kg : part to add first, before stirring and measuring again [kg]
    within_error : the batch may be at its target already, as far as the instruments tell
    """

    way: str
    added_brix: float | None
    change_kg: float
    sd_kg: float
    change_m3: float
    batch_kg: float
    result_kg: float
    result_m3: float
    result_sd_brix: float
    first_kg: float
    within_error: bool


@dataclass(frozen=True)
class Batch:
    """A batch of syrup.

    Parameters
    ----------
    mass_kg : of all of it [kg]
    brix : its strength [mass percent]
    sd_brix : standard deviation of that [Brix]
    mass_sd_fraction : standard deviation of the mass, as a share of it
    """

    mass_kg: float
    brix: float
    sd_brix: float = STRENGTH_SD_BRIX
    mass_sd_fraction: float = VOLUME_SD_FRACTION


def batch_of_volume(
    volume_m3: float, brix: float, temperature_c: float, sd_brix: float = STRENGTH_SD_BRIX
) -> Batch:
    """Return a batch known by its volume.

    Parameters
    ----------
    volume_m3 : at the temperature given [m³]
    brix : its strength [mass percent]
    temperature_c : its temperature [°C]
    sd_brix : standard deviation of the strength [Brix]

    Raises
    ------
    RangeError : a value outside its range
    """
    return Batch(mass_kg(volume_m3, brix, temperature_c), brix, sd_brix)


def change_kg(batch_kg: float, brix: float, target_brix: float, added_brix: float) -> float:
    """Return the mass to add so that a batch comes to its target; negative to take away.

    Parameters
    ----------
    batch_kg : mass of the batch [kg]
    brix : its strength [mass percent]
    target_brix : wanted strength [mass percent]
    added_brix : strength of what is added, 0 for water [mass percent]

    Raises
    ------
    RangeError : what is added has the target's own strength

    Notes
    -----
    Balance of sugar: m b + a x = (m + a) target.

    >>> round(change_kg(10.0, 69.0, 66.9, 0.0), 4)
    0.3139
    """
    if added_brix == target_brix:
        raise RangeError("with", added_brix, "has the target's strength and cannot move the batch")
    return batch_kg * (brix - target_brix) / (target_brix - added_brix)


def adjust(batch: Batch, target_brix: float, added_brix: float | None = None) -> Adjustment:
    """Return what to add or boil off.

    Parameters
    ----------
    batch : as it is
    target_brix : wanted strength [mass percent]
    added_brix : strength of what there is to add [mass percent]; None for water into heavy syrup,
        and for boiling thin syrup down

    Raises
    ------
    RangeError : what there is to add lies on the wrong side of the target
    """
    thinner = 0.0 if added_brix is None else added_brix
    _check_side(batch, target_brix, added_brix)

    def added(mass: float, brix: float) -> float:
        return change_kg(mass, brix, target_brix, thinner)

    mass_sd_kg = batch.mass_kg * batch.mass_sd_fraction
    spread = first_order(added, (batch.mass_kg, batch.brix), (mass_sd_kg, batch.sd_brix))
    result_kg = batch.mass_kg + spread.value
    amount_kg = abs(spread.value)
    return Adjustment(
        way=_way(spread.value),
        added_brix=thinner if spread.value > 0.0 else None,
        change_kg=amount_kg,
        sd_kg=spread.sd,
        change_m3=amount_kg / density_kg_m3(thinner, REFERENCE_C),
        batch_kg=batch.mass_kg,
        result_kg=result_kg,
        result_m3=result_kg / density_kg_m3(target_brix, REFERENCE_C),
        result_sd_brix=_result_sd(batch, spread.value, thinner),
        first_kg=max(0.0, min(0.75 * amount_kg, amount_kg - spread.sd)),
        within_error=amount_kg <= 2.0 * spread.sd,
    )


def _way(change: float) -> str:
    if change == 0.0:
        return "nothing"
    return "add" if change > 0.0 else "boil"


def _result_sd(batch: Batch, change: float, added_brix: float) -> float:
    """Spread of the strength after exactly this change: sugar and mass are as unsure as before."""

    def strength(mass: float, brix: float) -> float:
        return (mass * brix + change * added_brix) / (mass + change)

    mass_sd_kg = batch.mass_kg * batch.mass_sd_fraction
    return first_order(strength, (batch.mass_kg, batch.brix), (mass_sd_kg, batch.sd_brix)).sd


def _check_side(batch: Batch, target_brix: float, added_brix: float | None) -> None:
    if added_brix is None or batch.brix == target_brix:
        return
    if batch.brix > target_brix and added_brix >= target_brix:
        raise RangeError(
            "with",
            f"{added_brix:g} Brix",
            "is not thinner than the target, and the batch is too heavy",
            f"below {target_brix:g} Brix",
        )
    if batch.brix < target_brix and added_brix <= target_brix:
        raise RangeError(
            "with",
            f"{added_brix:g} Brix",
            "is not stronger than the target, and the batch is too thin",
            f"above {target_brix:g} Brix",
            "Leave it out to boil the batch down",
        )
