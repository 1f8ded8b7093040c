"""The ensemble: many houses that all fit what was logged, and differ in what was not seen."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import tapped_s, tree_parameters
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tree_knowledge import TreeKnowledge, nothing_learnt, tree_members
from sugarwright.twin.air import Air
from sugarwright.twin.spreads import (
    BOIL_LOG,
    FOULING_LOG,
    GROWTH_LOG,
    PERMEABILITY_LOG,
    SAP_BRIX,
    SCALE_LOG,
    TRAITS,
    VALVE_LOG,
    Spreads,
)
from sugarwright.twin.told import dice
from sugarwright.twin.unknown import know_nothing

MEMBERS = 200
STEP_S = 300
SEED = 17
_SCALE = TreeParameters._fields.index("bush_scale")


@dataclass(frozen=True, eq=False)
class Ground:
    """What the twin stands on and does not change.

    Parameters
    ----------
    plant : the described house
    air : of each member
    trees : what is known of them; None: what the description says
    spreads : how unsure everything is
    members, seed : of the ensemble
    """

    plant: Plant
    air: Air
    trees: TreeKnowledge | None = None
    spreads: Spreads = field(default_factory=Spreads)
    members: int = MEMBERS
    seed: int = SEED

    @property
    def vacuums_pa(self) -> tuple[float, ...]:
        """The different vacuums of the gathering points: trees are run once for each."""
        return tuple(dict.fromkeys(each.vacuum_pa for each in self.plant.house.gathering))

    def tree_rows(self) -> Floats:
        """Parameters of each member's trees, (members, parameters)."""
        house = self.plant.house
        known = self.trees or nothing_learnt(
            house.trees.tapped.year, house.trees.yield_factor, house.trees.sap_brix
        )
        if self.spreads.run_log == 0.0:  # no noise: the trees as described
            return np.tile(np.array(tree_parameters(house.trees)), (self.members, 1))
        return tree_members(known, self.members, self.seed, tree_parameters(house.trees))


@dataclass(eq=False)
class Ensemble:
    """Where every member stands at the begin of a step.

    Parameters
    ----------
    step : steps of :data:`STEP_S` since 1970
    x : (members, state) of the kernel
    drawn_kg : (members, 2) water and sugar of the syrup drawn so far
    traits : (members, ``TRAITS``)
    tree_rows : (members, tree parameters)
    tree_hour : hour since 1970 at which ``tree_states`` stand; None before they are brought there
    tree_states : (vacuums, members, 6)
    run : (members,) number of the run of sap that each member is in; -1 before the first
    run_hour : last hour since 1970 for which runs have wandered
    come_m3 : (members, gathering points) sap since that point was last gathered
    lit_kg : (members, 2) ``drawn_kg`` as the fire was lit
    told_drawn_m3 : syrup told since then
    flow_m3_s : concentrate flow told, or by habit
    offsets : (members, sensors) of each sensor, in its standard deviations (``hearing``)
    sensors : their series
    fire_word_s : UTC s of the last word about a fire that burns; None without one
    short_s : (members,) UTC s since which the feed of a fire is at its reserve or below; else nan
    """

    step: int
    x: Floats
    drawn_kg: Floats
    traits: Floats
    tree_rows: Floats
    tree_states: Floats
    come_m3: Floats
    lit_kg: Floats
    run: NDArray[np.int64]
    offsets: Floats
    short_s: Floats
    sensors: tuple[str, ...] = ()
    tree_hour: int | None = None
    run_hour: int = 0
    told_drawn_m3: float = 0.0
    flow_m3_s: float = 0.0
    fire_word_s: float | None = None

    @property
    def members(self) -> int:
        """How many."""
        return len(self.x)

    @property
    def time_s(self) -> int:
        """UTC s."""
        return self.step * STEP_S

    def copy(self) -> Ensemble:
        """Return one that can go another way."""
        arrays: dict[str, Any] = {
            name: value.copy()
            for name, value in vars(self).items()
            if isinstance(value, np.ndarray)
        }
        return replace(self, **arrays)

    def tree_scale(self) -> NDArray[np.float64]:
        """What each member's trees are multiplied by, against those it was drawn with."""
        ratio: Floats = np.exp(self.traits[:, SCALE_LOG]) / self.tree_rows[:, _SCALE]
        return ratio


def step_of(time_s: float) -> int:
    """Return the step whose begin is nearest to a time."""
    return round(time_s / STEP_S)


def begin(ground: Ground, time_s: float) -> Ensemble:
    """Return the ensemble before anything was logged.

    On the day of tapping, or before, all is empty and clean. Later nothing is known: a tank may be
    anything from empty to full.
    """
    plant, members = ground.plant, ground.members
    fresh = start_state(plant, Levels())
    points = len(plant.points)
    rows = ground.tree_rows()
    ensemble = Ensemble(
        step=step_of(time_s),
        x=np.tile(fresh, (members, 1)),
        drawn_kg=np.zeros((members, 2)),
        traits=_traits(ground, rows),
        tree_rows=rows,
        tree_states=np.zeros((len(ground.vacuums_pa), members, 6)),
        come_m3=np.zeros((members, points)),
        lit_kg=np.zeros((members, 2)),
        run=np.full(members, -1, dtype=np.int64),
        offsets=np.zeros((members, 0)),
        short_s=np.full(members, np.nan),
        flow_m3_s=float(plant.house.habit.concentrate_flow_m3_s),
    )
    if time_s > tapped_s(plant.house) + 12 * 3600:
        know_nothing(ground.plant, ensemble.x, dice(ground.seed, "nothing known"))
    return ensemble


def begin_from(ground: Ground, time_s: float, levels: Levels) -> Ensemble:
    """Return an ensemble that begins with known levels: for replays and studies."""
    ensemble = begin(ground, 0.0)
    ensemble.step = step_of(time_s)
    ensemble.x[:] = start_state(ground.plant, levels)
    return ensemble


def _traits(ground: Ground, rows: Floats) -> Floats:
    spreads, members = ground.spreads, ground.members
    source = dice(ground.seed, "traits")
    traits = np.zeros((members, TRAITS))
    traits[:, SCALE_LOG] = np.log(rows[:, _SCALE])
    for which, sd in (
        (SAP_BRIX, spreads.sap_brix),
        (PERMEABILITY_LOG, spreads.permeability_log),
        (FOULING_LOG, spreads.fouling_log),
        (BOIL_LOG, spreads.boil_log),
        (VALVE_LOG, spreads.valve_untold_log),
        (GROWTH_LOG, spreads.growth_log),
    ):
        traits[:, which] = sd * source.standard_normal(members)
    return traits


__all__ = [
    "MEMBERS",
    "SEED",
    "STEP_S",
    "Ensemble",
    "Ground",
    "begin",
    "begin_from",
    "step_of",
]
