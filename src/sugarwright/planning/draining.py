"""Draining pump, line and a membrane outdoors before a frost: when, by how many, and what hinders.

Somebody must be free for it: a lit pan keeps one. What was drained and is pumped through again
before the frost is full again, and that is told. So is what keeps it from being done in time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sugarwright.planning.action import Action
from sugarwright.planning.drained import frost_chores, has_membrane, without_membrane
from sugarwright.planning.frosts import (
    LIKELY_ENOUGH,
    STILL_DRAINS_S,
    THAW_S,
    FrostNight,
    what_drains,
)
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


@dataclass(frozen=True)
class Chance:
    """When to drain.

    Parameters
    ----------
    step : at which to begin
    hindered : "" where that is in time; "after the fire" (as soon as the pan may be left, with too
        little time then), "dying fire" (likewise, of one that is not stoked any more), "nobody
        free" (the fire ties whoever is there until it is too late), "short stay" (nobody stays so
        long), "too few people" (it takes more than are free)
    free : people who are free then; of "nobody free" who are there at all
    leave : step at which the pan may be left, of "nobody free"; else None
    refill : step at which a pump runs again after it and before the frost; None where none does
    running : whether the membrane runs when it is done, and so can't be drained with the rest
    """

    step: int
    hindered: str
    free: int
    leave: int | None = None
    refill: int | None = None
    running: bool = False


def draining_takes(house: House) -> tuple[float, int]:
    """Return how long draining takes, s, and how many people at once, by the house's chores."""
    chores = frost_chores(house)
    if not chores:
        return DRAINING_S, 1
    return sum(each.duration_s for each in chores), max(each.people for each in chores)


def frost(scene: Scene) -> list[Action]:
    """Drain what would freeze, at the last chance before each night that may freeze it.

    Nights between which nobody is there have one last chance, and so one action.
    """
    found = []
    for nights in _by_stay(scene):
        chance = _chance(scene, nights)
        drains, left = _drained(scene.plant, chance)
        if scene.first <= chance.step < scene.last and drains:
            bare = _draining(scene, nights, chance)
            found.append(replace(bare, drains=drains, membrane_left=left))
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
    alone = [each for each in frosts if each.step <= first and first > 0]
    if not alone:
        return ()
    # One to come can still be drained before; one that has begun is told where there is none.
    likeliest = max(alone, key=lambda each: (each.step > 0, each.probability, -each.step))
    at_s, early_s = (
        int(drive.begin_s + step * plant.step_s) for step in (likeliest.step, likeliest.early_step)
    )
    what = "frost with nobody there" if likeliest.step else "freezes with nobody there"
    return (Watch(what, likeliest.probability, at_s, early_s, drains=what_drains(plant)),)


def _by_stay(scene: Scene) -> list[list[FrostNight]]:
    """The nights before which somebody is there, those with the same last stay together."""
    found: dict[int, list[FrostNight]] = {}
    for night in scene.frosts:
        last = _last_there(scene, night)
        if last is not None:
            found.setdefault(last, []).append(night)
    return list(found.values())


def _last_there(scene: Scene, night: FrostNight) -> int | None:
    """Last step before a frost at which somebody is there, or of a stay that begins soon after."""
    people = scene.drive.calendar[:, at.PEOPLE] > 0.0
    there = np.flatnonzero(people)
    before = there[there < night.step]
    if len(before):
        return int(before[-1])
    soon = night.step + int(STILL_DRAINS_S / scene.trace.step_s)
    return _stay_end(people, int(there[0])) - 1 if len(there) and there[0] <= soon else None


def _stay_end(there: Flags, step: int) -> int:
    """First step from one on at which nobody is there."""
    away = np.flatnonzero(~there[step:])
    return step + int(away[0]) if len(away) else len(there)


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
    end = begin + _steps_needed(scene)
    there = scene.drive.calendar[: max(begin, 1), at.PEOPLE] > 0.0
    gone = _stay_end(scene.drive.calendar[:, at.PEOPLE] > 0.0, begin)
    if gone == begin:  # those who saw the fire out have just left
        gone = int(np.flatnonzero(there)[-1]) + 1
    return float(max(0, end - gone) * scene.trace.step_s)


def _steps_needed(scene: Scene) -> int:
    duration_s, _ = draining_takes(scene.plant.house)
    return max(1, int(np.ceil(duration_s / scene.trace.step_s)))


def _chance(scene: Scene, nights: list[FrostNight]) -> Chance:
    """When to drain before some nights with one last stay before them, and what fills again."""
    first, last = nights[0].step, nights[-1].step
    lit = scene.trace.column(at.T_HEAT) > SAFE_HEAT_FRACTION
    came = int(np.flatnonzero(scene.drive.calendar[:, at.PEOPLE] > 0.0)[0])
    chance = _before_the_frost(scene, first, lit) if came < first else _at_once(scene, came, lit)
    done = (chance.step if chance.leave is None else chance.leave) + _steps_needed(scene)
    running = bool((scene.trace.column(at.T_MEMBRANE_ON)[done : done + 1] > 0.0).any())
    return replace(chance, refill=_pumped_again(scene, done, last, running), running=running)


def _at_once(scene: Scene, came: int, lit: Flags) -> Chance:
    """It freezes when somebody is there first: at once, if the pan may be left."""
    people, (_, wanted) = scene.drive.calendar[:, at.PEOPLE], draining_takes(scene.plant.house)
    free = int(people[came] - lit[came])
    if free > 0:
        return Chance(came, "" if free >= wanted else "too few people", free)
    return Chance(came, "nobody free", int(people[came]), leave=_out(lit, came))


def _before_the_frost(scene: Scene, frost_step: int, lit: Flags) -> Chance:
    """Last step before a frost at which those whom a lit pan does not need have time to drain.

    Where a pump runs again after it, or nobody is free before, it is the step at which the pan may
    be left, if that is soon enough.
    """
    _, wanted = draining_takes(scene.plant.house)
    needed = _steps_needed(scene)
    people = scene.drive.calendar[:, at.PEOPLE]
    there = np.flatnonzero(people[:frost_step] > 0.0)
    begin = max(0, int(there[-1]) - int(THAW_S / scene.trace.step_s))
    free = people - lit
    after = _after_the_fire(scene, begin, frost_step, lit)
    hands = 0 if after is None else _hands(people, after)
    for people_wanted in (wanted, 1):
        hindered = "" if people_wanted == wanted else "too few people"
        last = _last_free(free, begin, frost_step, needed, people_wanted)
        later = after is not None and hands >= people_wanted and (last is None or after > last)
        refill = None if last is None else _pumped_again(scene, last + needed, frost_step)
        if last is not None and (refill is None or not later):
            return Chance(last, hindered, int(free[last : last + needed].min()))
        if after is not None and later:
            return Chance(after, hindered or _too_short(scene, after, frost_step), hands)
    return _too_late(scene, begin, frost_step, lit, int(there[-1]))


def _hands(people: Floats, after: int) -> int:
    """People at a step at which the pan may be left; if they leave then, those who saw it out."""
    return int(people[after] or people[max(0, after - 2)])


def _too_short(scene: Scene, after: int, frost_step: int) -> str:
    """Name a fire after which there is too little time, by the frost or by who leaves."""
    end = after + _steps_needed(scene)
    there = scene.drive.calendar[:, at.PEOPLE] > 0.0
    if end <= frost_step and there[after:end].all():
        return ""
    stoked = scene.trace.column(at.T_FIRE_ON)[:after] > 0.0
    return "after the fire" if stoked.any() else "dying fire"


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
    """Step at which the pan may be left; None without a fire, or too late."""
    after = _cold(begin, frost_step, lit)
    if after is None or after >= scene.drive.steps:
        return None
    return after if after <= frost_step + int(FREEZING_S / scene.trace.step_s) else None


def _cold(begin: int, frost_step: int, lit: Flags) -> int | None:
    """First step after the last fire before a frost, one to be sure; None without a fire."""
    burning = np.flatnonzero(lit[begin:frost_step])
    return _out(lit, begin + int(burning[-1])) if len(burning) else None


def _out(lit: Flags, step: int) -> int:
    """Step at which a pan that is lit in one may be left, one to be sure."""
    cold = np.flatnonzero(~lit[step:])
    return step + (int(cold[0]) if len(cold) else 0) + 1


def _too_late(scene: Scene, begin: int, frost_step: int, lit: Flags, last_there: int) -> Chance:
    """What is left where nobody has the time before a frost, and why that is so."""
    after = _cold(begin, frost_step, lit)
    people, days = scene.drive.calendar[:, at.PEOPLE], scene.drive.calendar[:, at.DAY]
    if after is not None:
        # what can only be done tomorrow is still told tonight, when the frost comes
        same_day = after < len(days) and days[after] == days[frost_step]
        step = after if same_day else frost_step
        return Chance(step, "nobody free", int(people[last_there]), leave=after)
    away = np.flatnonzero(people[:last_there] <= 0.0)
    came = int(away[-1]) + 1 if len(away) else 0
    return Chance(came, "short stay", int(people[came]))


def _pumped_again(scene: Scene, begin: int, frost_step: int, running: bool = False) -> int | None:
    """First step from one on, before a frost, in which water gets in again; None without one.

    A membrane that runs on is not drained. By the forecast; where that brings none, the median of
    the weathers, if it is likely enough.
    """
    if scene.yard is None or scene.checked_yard is None:
        return None
    span = slice(begin, frost_step)
    runs = _pumping(scene, scene.yard)[0, span]
    if scene.plant.p[at.MEMBRANE_OUTDOORS] > 0.0 and not running:
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
