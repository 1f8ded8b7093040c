"""What a day asks for beside membrane and fire: wash, dump what turned."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.membrane_ends import is_washed
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.decisions import HEEL_FRACTION

ALMOST_SPOILED = 0.98  # of the keeping time, at the last look before it is dumped


def wash(scene: Scene) -> Action:
    """Wash the membrane, if by then it has run enough and there is permeate for it."""
    p = scene.plant.p
    begin = scene.at_hand(scene.row[at.WASH_AT])
    cleaning = _washed(scene, begin)
    step = min(begin if cleaning is None else cleaning, len(scene.trace.rows) - 1)
    permeate_m3 = scene.before(at.T_PERMEATE_M3)[step]  # the step itself takes of it
    return Action(
        "wash the membrane",
        scene.time_s(begin if cleaning is None else cleaning),
        Trigger("permeate", float(p[at.WASH_M3])),
        expected_s=None if cleaning is None else scene.time_s(cleaning),
        after_run_s=float(scene.row[at.WASH_AFTER_S]),
        permeate_needed_m3=float(p[at.WASH_M3]),
        permeate_expected_m3=float(permeate_m3),
        caution="wash",
    )


def _washed(scene: Scene, begin: int) -> int | None:
    """First step of the day, from another on, in which a wash begins: a rinse is none."""
    cleaning = scene.trace.column(at.T_CLEANING)[begin : scene.last] > 0.0
    begins = np.flatnonzero(cleaning & ~np.append(False, cleaning[:-1])) + begin
    return next((step for step in begins.tolist() if is_washed(scene, step)), None)


def spoiled(scene: Scene) -> list[Action]:
    """Dump a tank whose sap spoils before anything can be made of it."""
    p, trace = scene.plant.p, scene.trace
    found = []
    for tank, level, life, rim in (
        ("sap", at.T_SAP_M3, at.T_SAP_LIFE, at.SAP_CAPACITY_M3),
        ("stock", at.T_STOCK_M3, at.T_STOCK_LIFE, at.STOCK_CAPACITY_M3),
    ):
        held_m3, used = trace.column(level), trace.column(life)
        turned = (used[:-1] > ALMOST_SPOILED) & (held_m3[:-1] > HEEL_FRACTION * p[rim])
        for step in np.flatnonzero(turned & (held_m3[1:] < 0.5 * held_m3[:-1])) + 1:
            if scene.first <= step < scene.last:
                volume_m3 = float(held_m3[step - 1])
                found.append(
                    Action(
                        "dump what has spoiled",
                        scene.time_s(int(step)),
                        Trigger(tank, volume_m3),
                        caution="spoiled",
                    )
                )
    return found
