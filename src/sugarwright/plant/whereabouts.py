"""Where every kilogram of a run came from and went, as plain lists to be shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sugarwright.plant.balance import Balance, Parcel


@dataclass(frozen=True)
class Share:
    """Water and sugar that came from one place, or went there.

    Parameters
    ----------
    place : "trees", "syrup", "steam", "in the sap tank at the end" ...
    water_kg, sugar_kg : masses
    """

    place: str
    water_kg: float
    sugar_kg: float


@dataclass(frozen=True)
class Whereabouts:
    """Every kilogram.

    Parameters
    ----------
    came : from the trees and elsewhere, and what was there at the beginning
    went : to syrup, steam and elsewhere, and what is there at the end
    water_error_kg, sugar_error_kg : what came less what went: rounding
    """

    came: tuple[Share, ...]
    went: tuple[Share, ...]
    water_error_kg: float
    sugar_error_kg: float


def whereabouts(of: Balance) -> Whereabouts:
    """Lay out a balance; places that nothing came from or went to are left out."""
    return Whereabouts(
        (*_shares(of.held_before, "in the {} before"), *_shares(of.brought)),
        (*_shares(of.went_out), *_shares(of.held, "in the {} at the end")),
        of.error.water_kg,
        of.error.sugar_kg,
    )


def _shares(parcels: Mapping[str, Parcel], told: str = "{}") -> tuple[Share, ...]:
    return tuple(
        Share(told.format(place), parcel.water_kg, parcel.sugar_kg)
        for place, parcel in parcels.items()
        if parcel.water_kg > 0.0 or parcel.sugar_kg > 0.0
    )
