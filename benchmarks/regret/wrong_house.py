"""The same house with another membrane, pan and trees than its owner believes.

Every draw has the spread of the prior: what a careful description leaves open before a season's
readings have taught better.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.physics.tree import TREE_PRIOR_SPREAD, TreeParameters
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.drive import tree_parameters
from sugarwright.plant.house import House

from .houses import Case
from .seasons import Season
from .truth import Truth, make_truth

PERMEABILITY_SD_LOG = 0.15  # of the condition of an element of unknown age: judgement
BOIL_RATE_SD_LOG = 0.10  # wood and weather of the day; what "25 gallons an hour" hides: judgement
LOSS_SD_LOG = 0.40  # how fast it fouls: judgement
MIXING_SD_LOG = 0.40  # of the pan's compartments: judgement


def ready_other(case: Case, season: Season) -> tuple[Plant, Truth]:
    """Return the house of a season as it really is, and what happens in it."""
    plant = assemble(other_house(case.tapped(season.tapped), season.seed))
    return plant, make_truth(plant, season, other_trees(plant.house, season.seed))


def other_house(house: House, seed: int) -> House:
    """Return the house as it really is."""
    chance = np.random.default_rng([seed, 11])
    draws = np.exp(chance.standard_normal(4))
    pan = replace(
        house.pan,
        boil_rate_m3_s=house.pan.boil_rate_m3_s * draws[0] ** BOIL_RATE_SD_LOG,
        mixing_fraction=min(1.0, house.pan.mixing_fraction * draws[1] ** MIXING_SD_LOG),
    )
    membrane = house.membrane
    if membrane is not None:
        loss = membrane.loss_per_hour_fraction * draws[2] ** LOSS_SD_LOG
        membrane = replace(
            membrane,
            condition_fraction=min(
                1.3, membrane.condition_fraction * draws[3] ** PERMEABILITY_SD_LOG
            ),
            loss_per_hour_fraction=min(0.2, loss),
        )
    return replace(house, pan=pan, membrane=membrane)


def other_trees(house: House, seed: int) -> TreeParameters:
    """Return its trees as they really are."""
    chance = np.random.default_rng([seed, 12])
    believed = tree_parameters(house.trees)
    changed = {}
    for name, (kind, spread) in TREE_PRIOR_SPREAD.items():
        step, value = spread * chance.standard_normal(), getattr(believed, name)
        changed[name] = value * float(np.exp(step)) if kind == "log" else value + step
    changed["freeze_c"] = min(-0.1, changed["freeze_c"])  # wood does not freeze above sap
    changed["thaw_c"] = max(0.0, changed["thaw_c"])
    return believed._replace(**changed)
