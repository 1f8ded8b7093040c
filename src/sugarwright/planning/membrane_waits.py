"""The hour at which the membrane can begin, and what it waits for beside its own gauge.

Frost where it stands, a repair, the circuit, its wash, room in the stock tank.

The rules are those of the simulator's decisions; what stands in the way is read from the forecast's
calendar, air and trace.
"""

from __future__ import annotations

import numpy as np

from sugarwright.planning.action import Wait
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import Flags
from sugarwright.plant.membrane_decisions import STOCK_ROOM_FRACTION
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION
from sugarwright.plant.plan_clock import night_flow_m3_s


def can_begin(scene: Scene, begin: int, *, again: bool = False) -> tuple[int, tuple[Wait, ...]]:
    """Find the first step at or after another at which the membrane can be started on enough sap.

    Parameters
    ----------
    scene : the day
    begin : step at which the plan asks for it, somebody being there
    again : it is the stock tank that passes again: that fills no tank, and asks for no room in one

    Returns
    -------
    That step, and what it waits for until then, in order. A day on which it cannot be started at
    all gives the step asked for, and a wait without an end.
    """
    span = slice(begin, scene.last)
    hindrances = _hindrances(scene, span)
    if again:
        del hindrances["stock tank full"]
    there = _somebody_starts(scene, span)
    free = there & ~np.any(list(hindrances.values()), axis=0)
    found = np.flatnonzero(free)
    first = int(found[0]) if len(found) else len(free)
    waits = _waits(scene, begin, hindrances, there[:first])
    return begin + (first if len(found) else 0), waits


def _waits(
    scene: Scene, begin: int, hindrances: dict[str, Flags], there: Flags
) -> tuple[Wait, ...]:
    """What stands in the way while somebody is there who would start it, one after another."""
    found, step = list[Wait](), 0
    while step < len(there):
        why = next((name for name, each in hindrances.items() if each[step]), "")
        if not there[step] or not why:
            step += 1
            continue
        ends = np.flatnonzero(~hindrances[why][step:])
        until = step + int(ends[0]) if len(ends) else None
        if all(each.why != why for each in found):
            found.append(Wait(why, None if until is None else scene.time_s(begin + until)))
        step = len(there) if until is None else until
    return tuple(found)


def _somebody_starts(scene: Scene, span: slice) -> Flags:
    """Whether somebody is there for long enough to start it, and to rinse it where that is due."""
    p, calendar = scene.plant.p, scene.drive.calendar[span]
    stay_s = calendar[:, at.STAY_S]
    attended = stay_s > max(p[at.STEP_S], p[at.RINSE_S] + p[at.STOP_HANDS_S])
    if p[at.UNATTENDED] > 0.0:
        night = [night_flow_m3_s(scene.rows, scene.plan_day, each) for each in calendar]
        attended |= np.array(night) > 0.0
    there: Flags = (calendar[:, at.PEOPLE] > 0.0) & (stay_s >= p[at.START_HANDS_S]) & attended
    return there


def _hindrances(scene: Scene, span: slice) -> dict[str, Flags]:
    """Each thing that may stand in the way, at each step of a span."""
    p, calendar = scene.plant.p, scene.drive.calendar[span]
    air_c = scene.drive.air_c[0, calendar[:, at.HOUR].astype(np.int64)]
    order_s = max(p[at.STEP_S], p[at.RINSE_S] + p[at.STOP_HANDS_S])
    lit = (scene.before(at.T_FIRE_ON)[span] > 0.0) | (
        scene.before(at.T_HEAT)[span] > SAFE_HEAT_FRACTION * (1.0 + 1e-9)
    )
    room_m3 = STOCK_ROOM_FRACTION * p[at.STOCK_CAPACITY_M3]
    now = scene.trace.column(at.T_CLEANING)[span] > 0.0
    cleaning = now | (scene.before(at.T_CLEANING)[span] > 0.0)
    return {
        "out of order": calendar[:, at.MEMBRANE_OK_S] <= order_s,
        "frost": (p[at.MEMBRANE_OUTDOORS] > 0.0) & (air_c < 0.0),
        "circuit": (p[at.NOT_WITH_FIRE] > 0.0) & lit,
        "wash": cleaning,
        "stock tank full": scene.before(at.T_STOCK_M3)[span] >= room_m3,
    }
