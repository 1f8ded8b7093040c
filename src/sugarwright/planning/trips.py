"""Sap fetched in trips: when, how much in how many loads, and what calls for it.

From the plan's minute on the simulator sends whoever is there and not at a lit pan, as soon as a
gathering tank holds enough to set out for and the sap tank has room for it. What that comes to is
read off a run, and told as the work that it is.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.logbook.catalogue import GATHERING
from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.scene import Scene
from sugarwright.planning.yard import Yard, start_m3
from sugarwright.plant import layout as at
from sugarwright.plant.hands import room_to_set_out_m3
from sugarwright.plant.house_gathering import Trips

NEXT_LOAD_S = 3600.0  # trips that follow the last one within this are told in one line
NO_LOAD = 0.1  # of one: so little is not set out for again
MOST_ROUNDS = 3  # of trips to a point in a day that are worth a line
WORTH_TELLING = 0.25  # of the weathers in which an unexpected trip comes up: judgement, no source


def trips(scene: Scene) -> list[Action]:
    """List the day's trips to each gathering point, those in a row as one; or those at need."""
    found = list[Action]()
    for point, gathering in enumerate(scene.plant.house.gathering):
        if scene.yard is None or gathering.tank is None or gathering.trips is None:
            continue
        if scene.plant.points[point, at.BY_HAND] > 0.0:
            rounds = _rounds(scene, scene.yard, point)
            told = [_gather(scene, scene.yard, point, *each) for each in rounds]
            found += told or _at_need(scene, point)
    return found


def _rounds(scene: Scene, yard: Yard, point: int) -> list[tuple[int, int]]:
    """Spans of steps of trips in a row; the last of too many takes in the rest of the day."""
    going = yard.emptying[0, scene.first : scene.last, point]
    apart = NEXT_LOAD_S / scene.trace.step_s
    spans = list[tuple[int, int]]()
    for step in (np.flatnonzero(going) + scene.first).tolist():
        if spans and (step - spans[-1][1] <= apart or len(spans) == MOST_ROUNDS):
            spans[-1] = spans[-1][0], step + 1
        else:
            spans.append((step, step + 1))
    return spans


def _gather(scene: Scene, yard: Yard, point: int, begin: int, end: int) -> Action:
    """One line for the trips between two steps."""
    moved_m3 = float(yard.moved_m3(0, point)[begin:end].sum())
    bare = _of_point(scene, "gather sap", begin, point)
    return replace(
        bare,
        expected_s=scene.time_s(begin),
        until_s=scene.time_s(end),
        loads=max(1, int(np.ceil(moved_m3 / (bare.load_m3 or moved_m3) - NO_LOAD))),
        gathered_m3=moved_m3,
        room_at_m3=_waits_for_room_m3(scene, yard, point, begin),
    )


def _waits_for_room_m3(scene: Scene, yard: Yard, point: int, begin: int) -> float | None:
    """Level of the sap tank that trips wait for, m³; None where all else was not there before."""
    p, before, worth_m3 = scene.plant.p, begin - 1, start_m3(scene.plant, point)
    room_at_m3 = float(p[at.SAP_CAPACITY_M3]) - room_to_set_out_m3(p, worth_m3)
    waits = (
        before >= 0
        and scene.drive.calendar[before, at.PEOPLE] > 0.0
        and yard.held_m3[0, before, point] >= worth_m3
        and scene.before(at.T_SAP_M3)[before] > room_at_m3
    )
    return room_at_m3 if waits else None


def _at_need(scene: Scene, point: int) -> list[Action]:
    """What the forecast does not bring, but other weathers do while somebody is there."""
    people = np.flatnonzero(scene.drive.calendar[scene.first : scene.last, at.PEOPLE])
    if scene.checked_yard is None or not len(people):
        return []
    going = scene.checked_yard.emptying[:, scene.first : scene.last, point].any(axis=1)
    share = float(going.mean())
    if share < WORTH_TELLING:
        return []
    begin = scene.first + int(people[0])
    return [replace(_of_point(scene, "gather at need", begin, point), probability=share)]


def _of_point(scene: Scene, kind: str, begin: int, point: int) -> Action:
    """An action at a gathering point: what calls for it, and what a load is."""
    gathering = scene.plant.house.gathering[point]
    described = gathering.trips or Trips()
    return Action(
        kind,
        scene.time_s(begin),
        Trigger(GATHERING + gathering.name, start_m3(scene.plant, point)),
        point=gathering.name,
        load_m3=described.load_m3,
        duration_s=described.duration_s,
    )
