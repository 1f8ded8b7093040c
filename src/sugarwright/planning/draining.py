"""Draining pump, line and a membrane outdoors before a frost: when, by how many, and what hinders.

What was drained and is pumped through again before the frost is full again, and that is told. So
is what keeps it from being done in time.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.planning.action import Action
from sugarwright.planning.drain_chance import (
    Chance,
    chance_of,
    draining_takes,
    runs_safely,
    stay_end,
    steps_needed,
)
from sugarwright.planning.drained import has_membrane, without_membrane
from sugarwright.planning.frosts import STILL_DRAINS_S, FrostNight, what_drains
from sugarwright.planning.report import Watch
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive


def frost(scene: Scene) -> list[Action]:
    """Drain what would freeze, at the last chance before each night that may freeze it.

    Nights between which nobody is there have one last chance, and so one action.
    """
    found = []
    for nights in _by_stay(scene):
        chance = chance_of(scene, nights)
        drains, left = _drained(scene.plant, chance)
        if scene.first <= chance.step < scene.last and drains:
            bare = _draining(scene, nights, chance)
            found.append(replace(bare, drains=drains, membrane_left=left))
    return found


def frozen_full(scene: Scene, drive: Drive) -> tuple[Watch, ...]:
    """Return the likeliest night that freezes what nobody is there to drain at any time before.

    A membrane that by the forecast runs on then, and does not freeze, is no part of it.

    Parameters
    ----------
    scene : any day of the plan
    drive : the weathers, or any one of them
    """
    there = np.flatnonzero(drive.calendar[:, at.PEOPLE] > 0.0)
    first = int(there[0]) if len(there) else drive.steps
    alone = [each for each in scene.frosts if each.step <= first and first > 0]
    if not alone:
        return ()
    # One to come can still be drained before; one that has begun is told where there is none.
    likeliest = max(alone, key=lambda each: (each.step > 0, each.probability, -each.step))
    at_s, early_s = (
        int(drive.begin_s + step * scene.plant.step_s)
        for step in (likeliest.step, likeliest.early_step)
    )
    drains = what_drains(scene.plant)
    if runs_safely(scene, likeliest.step) and has_membrane(drains):
        drains = without_membrane(drains)
        if not drains:
            return ()
    what = "frost with nobody there" if likeliest.step else "freezes with nobody there"
    return (Watch(what, likeliest.probability, at_s, early_s, drains=drains),)


def _by_stay(scene: Scene) -> list[list[FrostNight]]:
    """The nights before which somebody is there, those with the same last stay together."""
    found: dict[tuple[int, bool], list[FrostNight]] = {}
    for night in scene.frosts:
        last = _last_there(scene, night)
        if last is not None:  # a frost that has begun is drained for as that stay begins
            found.setdefault((last, last < night.step), []).append(night)
    return list(found.values())


def _last_there(scene: Scene, night: FrostNight) -> int | None:
    """Last step before a frost at which somebody is there, or of a stay that begins soon after."""
    people = scene.drive.calendar[:, at.PEOPLE] > 0.0
    there = np.flatnonzero(people)
    before = there[there < night.step]
    if len(before):
        return int(before[-1])
    soon = night.step + int(STILL_DRAINS_S / scene.trace.step_s)
    return stay_end(people, int(there[0])) - 1 if len(there) and there[0] <= soon else None


def _draining(scene: Scene, nights: list[FrostNight], chance: Chance) -> Action:
    duration_s, people = draining_takes(scene.plant.house)
    night = nights[0]
    return Action(
        "drain before the frost",
        scene.time_s(chance.step),
        expected_s=scene.time_s(night.step),
        early_s=scene.time_s(night.early_step),
        probability=night.probability,
        ends=chance.hindered,
        leave_s=None if chance.leave is None else scene.time_s(chance.leave),
        duration_s=duration_s,
        overtime_s=_overtime_s(scene, chance) or None,
        people=people,
        people_free=chance.free,
        frosts=len(nights),
        pumped_again_s=None if chance.refill is None else scene.time_s(chance.refill),
        caution="frost",
    )


def _drained(plant: Plant, chance: Chance) -> tuple[tuple[str, ...], str]:
    """What is drained, and why a membrane among it is not: it runs on."""
    drains = what_drains(plant)
    if not chance.running or plant.house.membrane is None or not has_membrane(drains):
        return drains, ""
    left = "kept" if plant.house.membrane.frost_cutout else "runs on"
    return without_membrane(drains), left


def _overtime_s(scene: Scene, chance: Chance) -> float:
    """How much longer than people are there somebody stays for it, s."""
    begin = chance.step if chance.leave is None else chance.leave
    end = begin + steps_needed(scene)
    there = scene.drive.calendar[: max(begin, 1), at.PEOPLE] > 0.0
    gone = stay_end(scene.drive.calendar[:, at.PEOPLE] > 0.0, begin)
    if gone == begin:  # those who saw the fire out have just left
        gone = int(np.flatnonzero(there)[-1]) + 1
    return float(max(0, end - gone) * scene.trace.step_s)
