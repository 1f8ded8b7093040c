"""What a day asks for beside membrane and fire: wash, drain before a frost, dump what turned."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.decisions import FROST_C, HEEL_FRACTION
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION

ALMOST_SPOILED = 0.98  # of the keeping time, at the last look before it is dumped
THAW_S = 6 * 3600.0  # a frost that follows the last one sooner finds the lines still drained
FREEZING_S = 3600.0  # a full line or pump is not frozen sooner: common practice, no source
DRAINING_S = 1800.0  # somebody must be free for so long: common practice, no source


def wash(scene: Scene) -> Action:
    """Wash the membrane, if by then it has run enough and there is permeate for it."""
    p, trace = scene.plant.p, scene.trace
    begin = scene.at_hand(scene.row[at.WASH_AT])
    cleaning = scene.first_where(at.T_CLEANING, begin, scene.last)
    before = (begin if cleaning is None else cleaning) - 1
    permeate_m3 = trace.rows[max(0, min(before, len(trace.rows) - 1)), at.T_PERMEATE_M3]
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


def frost(scene: Scene) -> list[Action]:
    """Drain what would freeze, at the last chance before each frost that follows a run of sap."""
    plant, drive = scene.plant, scene.drive
    pumps = any(gathering.way == "pump" for gathering in plant.house.gathering)
    if not pumps and plant.p[at.MEMBRANE_OUTDOORS] <= 0.0:
        return []
    hours = drive.calendar[:, at.HOUR].astype(np.int64)
    frosty = drive.air_c[0, hours] < FROST_C
    sap = drive.sap_kg_s[0].sum(axis=(1, 2))[hours]
    found = []
    for step in np.flatnonzero(frosty[1:] & ~frosty[:-1]) + 1:
        since = max(0, step - int(THAW_S / scene.trace.step_s))
        if frosty[since:step].any() or not sap[since:step].any():
            continue
        chance, free = _chance_before(scene, int(step))
        if scene.first <= chance < scene.last:
            found.append(
                Action(
                    "drain before the frost",
                    scene.time_s(chance),
                    expected_s=scene.time_s(int(step)),
                    ends="" if free else "nobody free",
                    caution="frost",
                )
            )
    return found


def _chance_before(scene: Scene, frost_step: int) -> tuple[int, bool]:
    """Last step before a frost at which somebody not needed at a lit pan has the time to drain.

    Where the fire ties everybody who is there, it is the step at which the pan may be left; and
    False if that is too late, which is to be known before the fire is lit.
    """
    lit = scene.trace.column(at.T_HEAT) > SAFE_HEAT_FRACTION
    people = scene.drive.calendar[:, at.PEOPLE]
    needed = int(DRAINING_S / scene.trace.step_s)
    there = np.flatnonzero(people[:frost_step] > 0.0)
    if not len(there):
        return -1, False
    begin = max(0, int(there[-1]) - int(THAW_S / scene.trace.step_s))
    for k in range(frost_step - needed, begin - 1, -1):
        if (people[k : k + needed] - lit[k : k + needed] >= 1.0).all():
            return k, True
    if not lit[begin:frost_step].any():
        return int(there[-1]), False  # too short a stay: as good as it gets
    last_lit = begin + int(np.flatnonzero(lit[begin:frost_step])[-1])
    cold = np.flatnonzero(~lit[last_lit:])
    after = last_lit + (int(cold[0]) if len(cold) else 0) + 1  # one step to be sure
    soon = after <= frost_step + int(FREEZING_S / scene.trace.step_s)
    return after, soon and after < len(people) and bool(people[after] > 0.0)


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
