"""Where every kilogram of water and sugar of a run came from and went.

Steam is water; everything else is both. What came less what went is the closing error: the kernel
only moves mass, so it is rounding, a thousandth of a gram or less in a season.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import Floats


@dataclass(frozen=True)
class Share:
    """Water and sugar that came from one place, or went there."""

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
    water_error_kg, sugar_error_kg : what came less what went
    """

    came: tuple[Share, ...]
    went: tuple[Share, ...]
    water_error_kg: float
    sugar_error_kg: float


def whereabouts(plant: Plant, start: Floats, end: Floats, totals: Floats) -> Whereabouts:
    """Account for a run.

    Parameters
    ----------
    plant : the house
    start, end : state before and after
    totals : of the run, (``TOTALS_SIZE``,)
    """
    y = totals
    came = (
        _held("there at the beginning", plant, start),
        _share("trees", y[at.SAP_WATER_KG], y[at.SAP_SUGAR_KG]),
        _share("water thrown into a dry pan", y[at.BUCKET_WATER_KG], 0.0),
    )
    went = (
        _share("syrup", y[at.SYRUP_WATER_KG], y[at.SYRUP_SUGAR_KG]),
        _share("steam", y[at.STEAM_KG], 0.0),
        _share("permeate let go", y[at.LET_GO_WATER_KG], y[at.LET_GO_SUGAR_KG]),
        _share("rinse and wash", y[at.CLEANING_WATER_KG], y[at.CLEANING_SUGAR_KG]),
        _share("spilled", y[at.SPILLED_WATER_KG], y[at.SPILLED_SUGAR_KG]),
        _share("dumped as spoiled", y[at.DUMPED_WATER_KG], y[at.DUMPED_SUGAR_KG]),
        _held("there at the end", plant, end),
    )
    return Whereabouts(
        came,
        went,
        sum(each.water_kg for each in came) - sum(each.water_kg for each in went),
        sum(each.sugar_kg for each in came) - sum(each.sugar_kg for each in went),
    )


def _share(place: str, water_kg: float, sugar_kg: float) -> Share:
    return Share(place, float(water_kg), float(sugar_kg))


def _held(place: str, plant: Plant, state: Floats) -> Share:
    """What tanks and pan hold."""
    tanks = [at.SAP, at.STOCK, at.PERMEATE]
    tanks += [at.GATHERED + point * at.POINT_WIDTH for point in range(len(plant.points))]
    water_kg = sum(state[tank + at.WATER] for tank in tanks)
    sugar_kg = sum(state[tank + at.SUGAR] for tank in tanks)
    compartments = slice(at.COMPARTMENT_KG, at.COMPARTMENT_KG + int(plant.p[at.COMPARTMENTS]))
    pan_kg = state[at.PAN_FILLED] * np.sum(plant.p[compartments])
    pan_sugar_kg = np.sum(state[at.PAN_SUGAR : at.PAN_SUGAR + at.MAX_COMPARTMENTS])
    return _share(place, water_kg + pan_kg - pan_sugar_kg, sugar_kg + pan_sugar_kg)
