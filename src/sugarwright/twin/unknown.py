"""What may be in a tank, pan or membrane of which nothing is known."""

from __future__ import annotations

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.contents import cells_of_age, fill, tanks_of

_MOST_AGE_S = 36 * 3600.0  # of sap that is found
_SAP_BRIX_SD = 0.3
_STOCK_BRIX = (5.0, 14.0)
_PERMEATE_BRIX = 0.02
_PAN_BRIX = (4.0, 25.0)


def any_brix(plant: Plant, tank: int, source: np.random.Generator, members: int) -> Floats:
    """Draw strengths of what may be found in a tank, (members,)."""
    if tank == at.PERMEATE:
        return np.full(members, _PERMEATE_BRIX)
    if tank == at.STOCK:
        drawn: Floats = source.uniform(*_STOCK_BRIX, members)
        return drawn
    off = _SAP_BRIX_SD * source.standard_normal(members)
    likely: Floats = np.clip(plant.house.trees.sap_brix + off, 0.8, 4.0)
    return likely


def any_cells(plant: Plant, source: np.random.Generator, members: int) -> Floats:
    """Draw how many cells it may have, (members,): sap of any age up to a day and a half."""
    ages_s = _MOST_AGE_S * source.random(members)
    return cells_of_age(plant, ages_s)


def know_nothing(plant: Plant, x: Floats, source: np.random.Generator) -> None:
    """Let every tank hold anything, the pan be full or not, and the membrane more or less clean.

    Parameters
    ----------
    plant : the house
    x : (members, state), changed in place
    source : of chance
    """
    members = len(x)
    for tank, rim_m3 in tanks_of(plant).values():
        fill(
            plant, x, tank, rim_m3 * source.random(members), any_brix(plant, tank, source, members)
        )
        x[:, tank + at.CELLS] = any_cells(plant, source, members)
    if plant.p[at.HAS_MEMBRANE] > 0.0:
        x[:, at.CONDITION] = 1.0 - 0.2 * source.random(members)
        longest_s = plant.house.habit.wash_after_s
        x[:, at.RUN_SINCE_WASH_S] = longest_s * source.random(members)
    pan_brix = source.uniform(*_PAN_BRIX, members)
    filled = source.random(members) < 0.5
    count = int(plant.p[at.COMPARTMENTS])
    masses = plant.p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + count]
    x[:, at.PAN_FILLED] = filled
    x[:, at.PAN_SUGAR : at.PAN_SUGAR + count] = np.outer(filled * pan_brix / 100.0, masses)
    x[:, at.WOOD_M3] *= source.uniform(0.5, 1.1, members)
