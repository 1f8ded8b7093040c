"""What the tanks of many members hold: volumes, strengths, ages, read from their states and set."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.kernel import CELLS_MOST
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.plant.tank_kernel import Floats, mixed_m3
from sugarwright.plant.tanks import capacity_m3

_DAY_S = 86400.0


def volumes_m3(plant: Plant, x: Floats, tank: int) -> Floats:
    """Volume of each member's tank."""
    return mixed_m3(plant.p, x[:, tank + at.WATER], x[:, tank + at.SUGAR])


def brixes(x: Floats, tank: int) -> Floats:
    """Strength in each member's tank; 0 where it is empty."""
    mass_kg = x[:, tank + at.WATER] + x[:, tank + at.SUGAR]
    strength: Floats = 100.0 * x[:, tank + at.SUGAR] / np.maximum(mass_kg, 1e-9)
    return strength


def fill(plant: Plant, x: Floats, tank: int, volume_m3: Floats, brix: Floats) -> None:
    """Give each member's tank a volume and a strength; its age and temperature stay."""
    p = plant.p
    fraction = brix / 100.0
    mass_kg = volume_m3 / (p[at.WATER_M3_KG] + fraction * (p[at.SUGAR_M3_KG] - p[at.WATER_M3_KG]))
    x[:, tank + at.SUGAR] = mass_kg * fraction
    x[:, tank + at.WATER] = mass_kg * (1.0 - fraction)


@lru_cache(maxsize=8)
def tanks_of(plant: Plant) -> dict[str, tuple[int, float]]:
    """Place of every tank of the house: where it begins in the state, and what it holds, m³."""
    house = plant.house
    found = {"sap": (at.SAP, float(plant.p[at.SAP_CAPACITY_M3]))}
    if plant.p[at.HAS_MEMBRANE] > 0.0:
        found["stock"] = (at.STOCK, float(plant.p[at.STOCK_CAPACITY_M3]))
        found["permeate"] = (at.PERMEATE, float(plant.p[at.PERMEATE_CAPACITY_M3]))
    for g, each in enumerate(house.gathering):
        if plant.points[g, at.OWN_TANK] > 0.0 and each.tank is not None:
            place = f"gathering:{each.name}"
            found[place] = (at.GATHERED + g * at.POINT_WIDTH, capacity_m3(each.tank))
    return found


@lru_cache(maxsize=8)
def _cells_of_a_day(plant: Plant) -> float:
    aged = Contents(0.0, 2.0, _DAY_S)
    return float(start_state(plant, Levels(sap=aged))[at.SAP + at.CELLS])


def cells_of_age(plant: Plant, age_s: Floats) -> Floats:
    """Cells of sap of some ages, as a run that starts from readings takes them.

    They grow at one rate, so that a day tells of every age; one run of it is asked for the day.
    """
    cells: Floats = np.minimum(_cells_of_a_day(plant) ** (age_s / _DAY_S), CELLS_MOST)
    return cells


def age_s(plant: Plant, cells: Floats, raw_to_here: Floats | float = 1.0) -> Floats:
    """Return for how long sap would have waited at the usual temperature to have so many cells.

    Parameters
    ----------
    plant : the house
    cells : relative to fresh sap
    raw_to_here : what a membrane has multiplied them by: the ratio of strengths
    """
    logs: Floats = np.log(np.maximum(cells / np.maximum(raw_to_here, 1.0), 1.0))
    aged: Floats = _DAY_S * logs / np.log(_cells_of_a_day(plant))
    return aged
