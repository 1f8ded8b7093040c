"""A fire that was let go before the plan begins, or as it does: until when it ties somebody.

The run begins with the whole hour, and a fire dies from now on: its end is reckoned from now.
"""

from __future__ import annotations

import math
from dataclasses import replace

from sugarwright.planning.action import Action
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.pan_kernel import is_lit, reserve_now_m3, until_safe_s
from sugarwright.plant.simulate import Trace
from sugarwright.plant.tank_kernel import Floats

STAY = "stay with the pan"


def dies_s(plant: Plant, x: Floats, now_s: int) -> int | None:
    """Return until when a fire that was let go is too hot to be left; None where none is.

    Parameters
    ----------
    plant : the house
    x : its state now
    now_s : UTC s
    """
    if x[at.FIRE_ON] > 0.0 or not is_lit(plant.p, x):
        return None
    return now_s + math.ceil(until_safe_s(plant.p, x))


def tied_until_s(plant: Plant, x: Floats, trace: Trace, now_s: int) -> int | None:
    """Return the same, also of one that burns and that the plan lets go at once."""
    if x[at.FIRE_ON] > 0.0 and trace.column(at.T_FIRE_ON)[0] <= 0.0:
        return now_s + int(plant.p[at.CLEAR_S])
    return dies_s(plant, x, now_s)


def stay_with(scene: Scene) -> list[Action]:
    """Stay with the pan of a fire that was let go before; nothing where none dies."""
    x, until_s = scene.state, scene.tied_until_s
    if scene.first > 0 or x is None or until_s is None or x[at.FIRE_ON] > 0.0:
        return []
    boils_off_m3, needed_m3 = still_takes_m3(scene.plant, x)
    return [
        Action(
            STAY,
            scene.time_s(0),
            reserve_m3=needed_m3,
            boils_off_m3=boils_off_m3,
            leave_s=until_s,
            caution="burn-down",
        )
    ]


def still_takes_m3(plant: Plant, x: Floats) -> tuple[float, float]:
    """Return what a dying fire may boil off yet, m³, and the feed that takes with its draws."""
    p = plant.p.copy()
    p[at.BURN_DOWN_KG] *= x[at.HEAT_W] / p[at.FULL_HEAT_W]
    p[at.RESERVE_M3] = 1e-9  # whatever the house lets a fire go at
    return float(p[at.BURN_DOWN_KG] * p[at.WATER_M3_KG]), float(reserve_now_m3(p, x))


def after_it(scene: Scene, actions: list[Action]) -> list[Action]:
    """Return trips for sap as they are made when the pan may be left, by one who is alone with it.

    Parameters
    ----------
    scene : a day of the plan
    actions : of that day, none before now
    """
    until_s = scene.tied_until_s
    if scene.first > 0 or until_s is None:
        return actions
    steps = math.ceil((until_s - scene.trace.begin_s) / scene.trace.step_s)
    if (scene.drive.calendar[:steps, at.PEOPLE] > 1.0).all():
        return actions
    return sorted((_not_before(each, until_s) for each in actions), key=lambda each: each.time_s)


def _not_before(action: Action, until_s: int) -> Action:
    if not action.point or action.time_s >= until_s:
        return action
    late_s = until_s - action.time_s
    end_s = None if action.until_s is None else action.until_s + late_s
    return replace(action, time_s=until_s, until_s=end_s)
