"""Draining pump, line and a membrane outdoors before a frost: when, by how many, and what hinders.

Somebody must be free for it: a lit pan keeps one. What was drained and is pumped through again
before the frost is full again, and that is told.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.planning.action import Action
from sugarwright.planning.frosts import LIKELY_ENOUGH, THAW_S, FrostNight
from sugarwright.planning.report import Watch
from sugarwright.planning.scene import Scene
from sugarwright.planning.yard import Flags, Yard
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.house import House
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats

FREEZING_S = 3600.0  # a full line or pump is not frozen sooner: common practice, no source
DRAINING_S = 1800.0  # where the house's chores don't say how long it takes: likewise
BEFORE_FROST = "before a frost"  # ``when`` of the chores that are this


@dataclass(frozen=True)
class Chance:
    """When to drain.

    Parameters
    ----------
    step : at which to begin
    hindered : "" where that is in time; "nobody free" (the fire ties whoever is there), "short
        stay" (nobody stays so long), "too few people" (it takes more than are free)
    free : people who are free then; of "nobody free" who are there at all
    refill : step at which a pump runs again after it and before the frost; None where none does
    """

    step: int
    hindered: str
    free: int
    refill: int | None


def draining_takes(house: House) -> tuple[float, int]:
    """Return how long draining takes, s, and how many people at once, by the house's chores."""
    chores = [each for each in house.chores if each.when == BEFORE_FROST]
    if not chores:
        return DRAINING_S, 1
    return sum(each.duration_s for each in chores), max(each.people for each in chores)


def frost(scene: Scene) -> list[Action]:
    """Drain what would freeze, at the last chance before each night that may freeze it."""
    found = []
    for night in scene.frosts:
        chance = _chance(scene, night.step)
        if chance is not None and scene.first <= chance.step < scene.last:
            found.append(_draining(scene, night, chance))
    return found


def frozen_full(plant: Plant, drive: Drive, frosts: tuple[FrostNight, ...]) -> tuple[Watch, ...]:
    """Return the likeliest night that freezes what nobody is there to drain at any time before.

    Parameters
    ----------
    plant, drive : the house, and the weathers or any one of them
    frosts : nights that may freeze what is outside
    """
    there = np.flatnonzero(drive.calendar[:, at.PEOPLE] > 0.0)
    first = int(there[0]) if len(there) else drive.steps
    alone = [each for each in frosts if each.step <= first]
    if not alone:
        return ()
    likeliest = max(alone, key=lambda each: (each.probability, -each.step))
    at_s, early_s = (
        int(drive.begin_s + step * plant.step_s) for step in (likeliest.step, likeliest.early_step)
    )
    return (Watch("frost with nobody there", likeliest.probability, at_s, early_s),)


def _draining(scene: Scene, night: FrostNight, chance: Chance) -> Action:
    duration_s, people = draining_takes(scene.plant.house)
    return Action(
        "drain before the frost",
        scene.time_s(chance.step),
        expected_s=scene.time_s(night.step),
        early_s=scene.time_s(night.early_step),
        probability=night.probability,
        ends=chance.hindered,
        duration_s=duration_s,
        people=people,
        people_free=chance.free,
        pumped_again_s=None if chance.refill is None else scene.time_s(chance.refill),
        caution="frost",
    )


def _chance(scene: Scene, frost_step: int) -> Chance | None:
    """Last step before a frost at which those whom a lit pan does not need have time to drain.

    Where a pump runs again after it, or nobody is free before, it is the step at which the pan may
    be left, if that is soon enough. None where nobody is there at all before the frost.
    """
    duration_s, wanted = draining_takes(scene.plant.house)
    needed = max(1, int(np.ceil(duration_s / scene.trace.step_s)))
    lit = scene.trace.column(at.T_HEAT) > SAFE_HEAT_FRACTION
    people = scene.drive.calendar[:, at.PEOPLE]
    there = np.flatnonzero(people[:frost_step] > 0.0)
    if not len(there):
        return None
    begin = max(0, int(there[-1]) - int(THAW_S / scene.trace.step_s))
    free = people - lit
    after = _after_the_fire(scene, begin, frost_step, lit)
    hands = free[after] if after is not None else 0.0
    for people_wanted in (wanted, 1):
        hindered = "" if people_wanted == wanted else "too few people"
        last = _last_free(free, begin, frost_step, needed, people_wanted)
        refill = None if last is None else _pumped_again(scene, last + needed, frost_step)
        if last is not None and (refill is None or after is None or hands < people_wanted):
            count = int(free[last : last + needed].min())
            return Chance(last, hindered, count, refill)
        if after is not None and hands >= people_wanted:
            return Chance(after, hindered, int(hands), None)
    return _too_late(scene, begin, frost_step, lit, int(there[-1]))


def _last_free(
    free: Floats,
    begin: int,
    frost_step: int,
    needed: int,
    wanted: int,
) -> int | None:
    """Last step from which so many are free for so long before a frost."""
    for step in range(frost_step - needed, begin - 1, -1):
        if (free[step : step + needed] >= wanted).all():
            return step
    return None


def _after_the_fire(scene: Scene, begin: int, frost_step: int, lit: Flags) -> int | None:
    """Step at which the pan may be left; None without a fire, too late, or nobody there then."""
    after = _cold(begin, frost_step, lit)
    people = scene.drive.calendar[:, at.PEOPLE]
    if after is None or after >= len(people) or people[after] <= 0.0:
        return None
    return after if after <= frost_step + int(FREEZING_S / scene.trace.step_s) else None


def _cold(begin: int, frost_step: int, lit: Flags) -> int | None:
    """First step after the last fire before a frost, one to be sure; None without a fire."""
    burning = np.flatnonzero(lit[begin:frost_step])
    if not len(burning):
        return None
    last = begin + int(burning[-1])
    cold = np.flatnonzero(~lit[last:])
    return last + (int(cold[0]) if len(cold) else 0) + 1


def _too_late(scene: Scene, begin: int, frost_step: int, lit: Flags, last_there: int) -> Chance:
    """What is left where nobody has the time before a frost, and why that is so."""
    after = _cold(begin, frost_step, lit)
    people = scene.drive.calendar[:, at.PEOPLE]
    if after is not None:
        return Chance(after, "nobody free", int(people[last_there]), None)
    away = np.flatnonzero(people[:last_there] <= 0.0)
    came = int(away[-1]) + 1 if len(away) else 0
    refill = _pumped_again(scene, last_there + 1, frost_step)
    return Chance(came, "short stay", int(people[came]), refill)


def _pumped_again(scene: Scene, begin: int, frost_step: int) -> int | None:
    """First step from one on, before a frost, in which water gets in again; None without one.

    By the forecast; where that brings none, the median of the weathers, if it is likely enough.
    """
    if scene.yard is None or scene.checked_yard is None:
        return None
    span = slice(begin, frost_step)
    runs = _pumping(scene, scene.yard)[0, span]
    if scene.plant.p[at.MEMBRANE_OUTDOORS] > 0.0:
        runs = runs | (scene.trace.column(at.T_MEMBRANE_ON)[span] > 0.0)
    if runs.any():
        return begin + int(np.argmax(runs))
    others = _pumping(scene, scene.checked_yard)[:, span]
    some = others.any(axis=1)
    if others.shape[1] == 0 or some.mean() < LIKELY_ENOUGH:
        return None
    return begin + int(np.median(np.argmax(others[some], axis=1)))


def _pumping(scene: Scene, yard: Yard) -> Flags:
    """Whether a pump sends sap in, (weathers, steps)."""
    points = scene.plant.points
    pumped = (points[:, at.OWN_TANK] > 0.0) & (points[:, at.BY_HAND] <= 0.0)
    runs: Flags = np.any(yard.emptying & pumped, axis=2)
    return runs
