"""What those who fetch sap do at membrane and pan between loads, and when the last is in.

The simulator lets a person fetch sap and tend the membrane in one; whoever is alone does one after
the other, whole loads at a time. What that means for the hours told is reckoned here; the plan
itself stays as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sugarwright.planning.action import Action, Alone
from sugarwright.planning.choices import WHENEVER
from sugarwright.planning.membrane_hands import RUNS, hands_of
from sugarwright.planning.scene import Scene
from sugarwright.planning.stops import WASH
from sugarwright.planning.yard import start_m3
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import Flags
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION

GATHER = "gather sap"
DRAIN = "drain before the frost"
STARTS = ("membrane on", "membrane on again", "again through the membrane")
FIRES = ("light the fire", "light the fire again")


def with_hands(scene: Scene, actions: Sequence[Action]) -> list[Action]:
    """Return a day's actions, its trips with what they leave one person to do, and in which order.

    Parameters
    ----------
    scene : the day
    actions : of that day
    """
    laid_out = _laid_out(scene, actions)
    all_told = [laid_out.get(n, each) for n, each in enumerate(actions)]
    told = [each for each in all_told if not _is_for_nobody(scene, each)]
    fetched = [each for each in told if each.kind == GATHER and each.expected_s is not None]
    told = [_drained_after(scene, each, fetched) for each in told]
    return [_with_sap_waiting(scene, _with_fire(scene, each, told)) for each in told]


def _laid_out(scene: Scene, actions: Sequence[Action]) -> dict[int, Action]:
    """The trips of a day by their place in it: one after the other where hands are too few."""
    found: dict[int, Action] = {}
    places = (n for n, each in enumerate(actions) if each.kind == GATHER)
    for n in sorted(places, key=lambda n: actions[n].time_s):
        found[n] = _trips(scene, actions[n], actions, tuple(found.values()))
    return found


def _is_for_nobody(scene: Scene, action: Action) -> bool:
    """Tell whether trips would begin, after others, once whoever could fetch has left."""
    late = action.kind == GATHER and action.time_s > (action.expected_s or action.time_s)
    return late and _leave_s(scene, action.time_s) <= action.time_s


def _gone(others: Sequence[Action], time_s: int) -> list[Action]:
    """Those of some trips that are under way at a time."""
    return [each for each in others if each.time_s <= time_s < (each.until_s or 0)]


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


def _with_sap_waiting(scene: Scene, action: Action) -> Action:
    """Return a fire with where sap waits for its end: the plan has the only one there light it."""
    lit_s, begins_min = action.expected_s, scene.row[at.GATHER_START]
    if action.kind not in FIRES or lit_s is None or scene.yard is None or begins_min <= WHENEVER:
        return action
    step = _step(scene, lit_s)
    calendar = scene.drive.calendar[step]
    if calendar[at.PEOPLE] > 1.0 or calendar[at.MINUTE] >= begins_min:
        return action
    waits = (
        gathering.name
        for point, gathering in enumerate(scene.plant.house.gathering)
        if scene.plant.points[point, at.BY_HAND] > 0.0
        and scene.yard.held_m3[0, step, point] >= start_m3(scene.plant, point)
    )
    return replace(action, sap_waits=tuple(waits))


def _drained_after(scene: Scene, action: Action, fetched: Sequence[Action]) -> Action:
    """Return draining that falls into the loads of one person alone as it is done after them.

    The run empties a tank at once, as the trip begins; whoever carries it is gone for longer.
    """
    if action.kind != DRAIN:
        return action
    wanted, first_s = action.people or 1, action.time_s
    while True:
        gone = _gone(fetched, action.time_s)
        if not gone or _hands(scene, action.time_s) - len(gone) >= wanted:
            return action
        end_s = min(each.until_s or 0 for each in gone)
        over_s = end_s + (action.duration_s or 0.0) - _leave_s(scene, first_s)
        action = replace(
            action,
            time_s=end_s,
            ends=action.ends or "after the trip",
            overtime_s=max(over_s, 0.0) or None,
        )


def _trips(
    scene: Scene, trips: Action, actions: Sequence[Action], others: Sequence[Action]
) -> Action:
    """Return trips that end no sooner than their loads take, and begin once somebody is free."""
    run_s = (trips.until_s or 0) - trips.time_s
    for_room = run_s > _loads_s(trips) + (trips.duration_s or 0.0)
    trips = replace(trips, time_s=_begin_s(scene, trips, others), for_room=for_room)
    end_s = max(trips.until_s or 0, trips.time_s + int(_loads_s(trips)))
    alone = None
    if _hands(scene, trips.time_s) - len(_gone(others, trips.time_s)) <= 1:
        alone = _alone(scene, trips, end_s, actions)
    if alone is not None:
        stop_s = 0.0 if alone.stop_s is None else scene.plant.p[at.STOP_HANDS_S]
        first_s = _first_s(scene, alone)
        end_s = max(end_s, trips.time_s + int(_loads_s(trips) + first_s + stop_s))
    free_s = _leave_s(scene, trips.time_s, at_pan=True)
    if (trips.until_s or 0) <= free_s < end_s:
        over_s, whole_m3 = float(end_s - free_s), _whole_m3(scene, trips)
        trips = replace(trips, overtime_s=over_s, whole_m3=whole_m3)
    return replace(trips, until_s=end_s, alone=alone)


def _whole_m3(scene: Scene, trips: Action) -> float | None:
    """What trips bring with the last load too, of which the run has the part that there is time."""
    names = [each.name for each in scene.plant.house.gathering]
    if scene.yard is None or trips.point not in names or trips.load_m3 is None:
        return trips.gathered_m3
    begin, end, point = _step(scene, trips.time_s), trips.until_s or 0, names.index(trips.point)
    come_m3 = scene.yard.come_m3[0, begin : _step(scene, end), point].sum()
    stood_m3 = float(scene.yard.held_m3[0, begin, point] + come_m3)
    return min((trips.loads or 1) * trips.load_m3, stood_m3)


def _begin_s(scene: Scene, trips: Action, others: Sequence[Action]) -> int:
    """UTC s at which somebody can set out, once those on other trips are back."""
    gone, hands = _gone(others, trips.time_s), max(1, _hands(scene, trips.time_s))
    if len(gone) < hands:
        return trips.time_s
    return sorted(each.until_s or 0 for each in gone)[len(gone) - hands]


def _hands(scene: Scene, time_s: int) -> int:
    """How many are there whom no lit pan keeps."""
    step = min(_step(scene, time_s), scene.drive.steps - 1)
    return int(scene.drive.calendar[step, at.PEOPLE]) - int(_lit(scene)[step])


def _lit(scene: Scene) -> Flags:
    """Whether a pan is lit as each step begins."""
    lit: Flags = scene.before(at.T_HEAT) > SAFE_HEAT_FRACTION
    return lit


def _first_s(scene: Scene, alone: Alone) -> float:
    """What somebody alone does before setting out, s."""
    p = scene.plant.p
    return float(p[at.WASH_HANDS_S] * alone.wash_first + p[at.START_HANDS_S] * alone.start_first)


def _loads_s(trips: Action) -> float:
    return (trips.loads or 1) * (trips.duration_s or 0.0)


def _step(scene: Scene, time_s: int) -> int:
    return int((time_s - scene.trace.begin_s) // scene.trace.step_s)


def _leave_s(scene: Scene, time_s: int, *, at_pan: bool = False) -> int:
    """UTC s at which nobody is there any more, from a time on; or but who stays at a lit pan."""
    step, people = _step(scene, time_s), scene.drive.calendar[:, at.PEOPLE]
    away = np.flatnonzero((people - _lit(scene) if at_pan else people)[step:] <= 0.0)
    return scene.time_s(step + int(away[0]) if len(away) else scene.drive.steps)


def _alone(scene: Scene, trips: Action, end_s: int, actions: Sequence[Action]) -> Alone:
    """What one who fetches, and whom nobody is free to help, has to do besides, but the fire."""
    begin_s, each_s = trips.time_s, max(60.0, trips.duration_s or 0.0)
    begun = [each.kind for each in actions if each.expected_s == begin_s]
    first = Alone(WASH in begun, not set(STARTS).isdisjoint(begun))
    out_s = begin_s + _first_s(scene, first)
    stops_s = [each for each in _stops_s(actions) if begin_s <= each < end_s]
    load = int(max(0.0, stops_s[0] - out_s) // each_s) if stops_s else None
    looks = _looks(scene, trips, actions, load)
    if load is None:
        return replace(first, looks=looks)
    if load >= (trips.loads or 1):  # they wait for room, and it stops meanwhile
        return replace(first, stop_s=stops_s[0], looks=looks)
    stop_s = int(out_s + load * each_s)
    return replace(first, stop_load=load + 1, stop_s=stop_s, looks=looks)


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
