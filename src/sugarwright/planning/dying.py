"""A fire that was let go before the plan begins: until when it ties somebody, and what it takes."""

from __future__ import annotations

import math

from sugarwright.planning.action import Action
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.pan_kernel import is_lit, reserve_now_m3, until_safe_s
from sugarwright.plant.tank_kernel import Floats

STAY = "stay with the pan"
_NO_RESERVE_M3 = 1e-9  # whatever the house lets a fire go at; 0 would ask for no feed at all


def dies_s(plant: Plant, x: Floats, now_s: int) -> int | None:
    """Return until when a fire that was let go is too hot to be left, UTC s; None without one.

    Parameters
    ----------
    plant : the house
    x : its state now
    now_s : UTC s
    """
    if x[at.FIRE_ON] > 0.0 or not is_lit(plant.p, x):
        return None
    return now_s + math.ceil(until_safe_s(plant.p, x))


def stay_with(scene: Scene) -> list[Action]:
    """Stay with the pan of a fire that was let go before; nothing where none dies."""
    if scene.first > 0 or scene.state is None:
        return []
    begin_s = scene.time_s(0)
    leave_s = dies_s(scene.plant, scene.state, begin_s)
    if leave_s is None:
        return []
    boils_off_m3, needed_m3 = _still_takes_m3(scene.plant, scene.state)
    return [
        Action(
            STAY,
            begin_s,
            reserve_m3=needed_m3,
            boils_off_m3=boils_off_m3,
            leave_s=leave_s,
            caution="burn-down",
        )
    ]


def _still_takes_m3(plant: Plant, x: Floats) -> tuple[float, float]:
    """Return what a dying fire may boil off yet, m³, and the feed that takes with its draws."""
    p = plant.p.copy()
    p[at.BURN_DOWN_KG] *= x[at.HEAT_W] / p[at.FULL_HEAT_W]
    p[at.RESERVE_M3] = _NO_RESERVE_M3
    return float(p[at.BURN_DOWN_KG] * p[at.WATER_M3_KG]), float(reserve_now_m3(p, x))
