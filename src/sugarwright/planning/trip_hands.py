"""What one person alone does at membrane and pan between loads of sap, and when the last is in.

The simulator lets a person fetch sap and tend the membrane in one; whoever is alone does one after
the other. What that means for the hours told is reckoned here; the plan itself stays as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sugarwright.planning.action import Action, Alone
from sugarwright.planning.membrane_hands import RUNS, hands_of
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at

GATHER = "gather sap"
DRAIN = "drain before the frost"
WASH = "wash the membrane"
STARTS = ("membrane on", "membrane on again", "again through the membrane")
FIRES = ("light the fire", "light the fire again")


def with_hands(scene: Scene, actions: Sequence[Action]) -> list[Action]:
    """Return a day's actions, its trips with what they leave one person to do, and in which order.

    Parameters
    ----------
    scene : the day
    actions : of that day
    """
    told = [_trips(scene, each, actions) if each.kind == GATHER else each for each in actions]
    fetched = [each for each in told if each.kind == GATHER and each.expected_s is not None]
    told = [_drained_after(scene, each, fetched) for each in told]
    return [_with_fire(scene, each, told) for each in told]


def is_lit_after(action: Action, actions: Sequence[Action]) -> bool:
    """Tell whether a fire is one that whoever fetches sap alone lights once the last load is in.

    Parameters
    ----------
    action : of a day, which need be no fire
    actions : of that day
    """
    return action.kind in FIRES and any(
        each.alone is not None and each.alone.light_after and each.time_s <= action.time_s
        for each in actions
    )


def busy_until_s(trips: Action, actions: Sequence[Action]) -> int:
    """UTC s until which one alone is busy with trips, and with draining that waits for them.

    Parameters
    ----------
    trips : of a day
    actions : of that day
    """
    end_s = trips.until_s or trips.time_s
    drains = (each for each in actions if each.kind == DRAIN)
    return max([end_s, *(e.time_s + int(e.duration_s or 0.0) for e in drains if e.time_s == end_s)])


def _with_fire(scene: Scene, trips: Action, actions: Sequence[Action]) -> Action:
    """Return trips of one alone with whether a fire waits for them; any other action as it is."""
    if trips.alone is None:
        return trips
    over_s = busy_until_s(trips, actions) + scene.trace.step_s  # lit in the step that is after it
    lit_s = [each.expected_s or 0 for each in actions if each.kind in FIRES]
    after = any(trips.time_s <= each < over_s for each in lit_s)
    alone = replace(trips.alone, light_after=after)
    return replace(trips, alone=None if alone == Alone() else alone)


def _drained_after(scene: Scene, action: Action, fetched: Sequence[Action]) -> Action:
    """Return draining that falls into the loads of one person alone as it is done after them.

    The run empties a tank at once, as the trip begins; whoever carries it is gone for longer.
    """
    if action.kind != DRAIN:
        return action
    for trips in fetched:
        end_s = trips.until_s or trips.time_s
        people = scene.drive.calendar[_step(scene, trips.time_s) : _step(scene, end_s), at.PEOPLE]
        if trips.time_s <= action.time_s < end_s and people.max(initial=0.0) <= 1.0:
            over_s = end_s + (action.duration_s or 0.0) - _leave_s(scene, trips.time_s)
            action = replace(
                action,
                time_s=end_s,
                ends=action.ends or "after the trip",
                overtime_s=max(over_s, 0.0) or None,
            )
    return action


def _trips(scene: Scene, trips: Action, actions: Sequence[Action]) -> Action:
    """Return trips that end no sooner than their loads take, one after the other."""
    end_s = max(trips.until_s or 0, trips.time_s + int(_loads_s(trips)))
    alone = _alone(scene, trips, end_s, actions)
    if alone is not None:
        stop_s = 0.0 if alone.stop_s is None else scene.plant.p[at.STOP_HANDS_S]
        first_s = _first_s(scene, alone)
        end_s = max(end_s, trips.time_s + int(_loads_s(trips) + first_s + stop_s))
    leave_s = _leave_s(scene, trips.time_s)
    over_s = float(end_s - leave_s) if (trips.until_s or 0) <= leave_s < end_s else None
    return replace(trips, until_s=end_s, overtime_s=over_s, alone=alone)


def _first_s(scene: Scene, alone: Alone) -> float:
    """What somebody alone does before setting out, s."""
    p = scene.plant.p
    return float(p[at.WASH_HANDS_S] * alone.wash_first + p[at.START_HANDS_S] * alone.start_first)


def _loads_s(trips: Action) -> float:
    return (trips.loads or 1) * (trips.duration_s or 0.0)


def _step(scene: Scene, time_s: int) -> int:
    return int((time_s - scene.trace.begin_s) // scene.trace.step_s)


def _leave_s(scene: Scene, time_s: int) -> int:
    """UTC s at which nobody is there any more, from a time on."""
    step = _step(scene, time_s)
    away = np.flatnonzero(scene.drive.calendar[step:, at.PEOPLE] <= 0.0)
    return scene.time_s(step + int(away[0]) if len(away) else scene.drive.steps)


def _alone(scene: Scene, trips: Action, end_s: int, actions: Sequence[Action]) -> Alone | None:
    """What one who fetches has to do besides, but the fire; None where a second is there."""
    people = scene.drive.calendar[_step(scene, trips.time_s) : _step(scene, end_s), at.PEOPLE]
    if not len(people) or people.min() > 1.0:
        return None
    begin_s, each_s = trips.time_s, max(60.0, trips.duration_s or 0.0)
    begun = [each.kind for each in actions if each.expected_s == begin_s]
    first = Alone(WASH in begun, not set(STARTS).isdisjoint(begun))
    out_s = begin_s + _first_s(scene, first)
    stops_s = [each for each in _stops_s(actions) if begin_s <= each < end_s]
    load = int(max(0.0, stops_s[0] - out_s) // each_s) if stops_s else None
    return replace(
        first,
        stop_load=None if load is None else load + 1,
        stop_s=None if load is None else int(out_s + load * each_s),
        looks=_looks(scene, trips, actions, load),
    )


def _stops_s(actions: Sequence[Action]) -> list[int]:
    """UTC s at which somebody must stop the membrane, in order."""
    by_run = [hand.time_s for each in actions for hand in hands_of(each) if hand.what == "stop"]
    return sorted(by_run + [each.time_s for each in actions if each.kind == "stop the membrane"])


def _looks(scene: Scene, trips: Action, actions: Sequence[Action], stop_load: int | None) -> bool:
    """Tell whether a membrane that may not run alone does so while several loads are fetched."""
    loads = (trips.loads or 1) if stop_load is None else stop_load
    if loads < 2 or scene.plant.p[at.UNATTENDED] > 0.0:
        return False
    runs = [each for each in actions if each.kind in RUNS and each.expected_s is not None]
    before_last_s = trips.time_s + (loads - 1) * (trips.duration_s or 0.0)
    return any(
        (each.expected_s or 0) < before_last_s and (each.until_s or before_last_s) > trips.time_s
        for each in runs
    )
