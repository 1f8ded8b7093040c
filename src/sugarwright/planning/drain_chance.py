"""When what freezes can be drained: who is free then, and what fills it again.

A lit pan keeps one, and so does each trip for sap. A membrane outdoors is drained after its last
run, rinse or wash before the frost, and not while water goes through it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sugarwright.planning.drained import frost_chores
from sugarwright.planning.frosts import (
    LIKELY_ENOUGH,
    THAW_S,
    FrostNight,
    flushed_until,
    what_drains,
)
from sugarwright.planning.scene import Scene
from sugarwright.planning.yard import Flags, Yard
from sugarwright.plant import layout as at
from sugarwright.plant.house import House
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION
from sugarwright.plant.tank_kernel import Floats

FREEZING_S = 3600.0  # a full line or pump is not frozen sooner: common practice, no source
WHAT_FREEZES = ("pump", "line", "membrane")  # of ``what_drains``, where the house has one
FILLS_KG = 4.0  # of sap through a line that was drained: a gallon, judgement, no source
DRAINING_S = 1800.0  # where the house's chores don't say how long it takes: likewise


@dataclass(frozen=True)
class Chance:
    """When to drain.

    Parameters
    ----------
    step : at which to begin
    hindered : "" where that is in time; else one of those that
        :class:`~sugarwright.planning.action.Action` lists as ``ends`` of draining
    free : people who are free then; of "nobody free" who are there at all
    leave : step at which the pan may be left, of "nobody free"; else None
    refill : step at which water gets in again after it and before the frost; None where none does
    running : whether the membrane runs when it is done, and is left out of it
    """

    step: int
    hindered: str
    free: int
    leave: int | None = None
    refill: int | None = None
    running: bool = False


@dataclass(frozen=True)
class Hands:
    """Who is there, step by step, and what ties them.

    Parameters
    ----------
    people : how many are there
    lit : whether the pan keeps one of them
    carrying : how many are on a trip for sap
    """

    people: Floats
    lit: Flags
    carrying: Floats

    @property
    def free(self) -> Floats:
        """How many are there whom neither pan nor trip needs."""
        found: Floats = self.people - self.lit - self.carrying
        return found

    def at(self, step: int) -> int:
        """How many are there in a step; where they leave with it, those who have just left."""
        there = min(step, len(self.people) - 1)
        return int(self.people[there] or self.people[max(0, there - 2)])


def draining_takes(house: House) -> tuple[float, int]:
    """Return how long draining takes, s, and how many people at once, by the house's chores."""
    chores = frost_chores(house)
    if not chores:
        return DRAINING_S, 1
    return sum(each.duration_s for each in chores), max(each.people for each in chores)


def steps_needed(scene: Scene) -> int:
    """Return how many steps draining takes."""
    duration_s, _ = draining_takes(scene.plant.house)
    return max(1, int(np.ceil(duration_s / scene.trace.step_s)))


def stay_end(there: Flags, step: int) -> int:
    """Return the first step from one on at which nobody is there."""
    away = np.flatnonzero(~there[step:])
    return step + int(away[0]) if len(away) else len(there)


def chance_of(scene: Scene, nights: list[FrostNight]) -> Chance:
    """Find when to drain before some nights with one last stay before them, and what fills again.

    Parameters
    ----------
    scene : any day of the plan
    nights : in order of time
    """
    night, hands = nights[0], _hands(scene)
    came = int(np.flatnonzero(hands.people > 0.0)[0])
    rinsed = _rinsed(scene, hands, night.step)
    if came >= night.step:
        chance = _at_once(scene, max(came, rinsed), hands, "after the run" if rinsed > came else "")
    elif night.refilled:
        chance = _at_once(scene, night.step, hands, "rinsed in the frost")
    elif rinsed > night.step - steps_needed(scene):
        chance = _at_once(scene, rinsed, hands, "after the run")
    else:
        chance = _before_the_frost(scene, night.step, hands, rinsed)
    done = (chance.step if chance.leave is None else chance.leave) + steps_needed(scene)
    running = runs_safely(scene, done)
    refill = _filled_again(scene, done, nights[-1].step, running)
    return replace(chance, refill=refill, running=running)


def runs_safely(scene: Scene, step: int) -> bool:
    """Tell whether the membrane runs in a step, and need not be stopped and drained for the frost.

    Indoors, or where its frost cut-out keeps it from freezing.
    """
    membrane = scene.plant.house.membrane
    if membrane is None or (membrane.place == "outdoors" and not membrane.frost_cutout):
        return False
    return bool((scene.trace.column(at.T_MEMBRANE_ON)[step : step + 1] > 0.0).any())


def _hands(scene: Scene) -> Hands:
    lit = scene.trace.column(at.T_HEAT) > SAFE_HEAT_FRACTION
    carrying = np.zeros(len(lit))
    if scene.yard is not None:
        by_hand = scene.plant.points[:, at.BY_HAND] > 0.0
        carrying = np.sum(scene.yard.emptying[0] & by_hand, axis=1, dtype=np.float64)
    return Hands(scene.drive.calendar[:, at.PEOPLE], lit, carrying)


def _flushed(scene: Scene) -> Flags:
    """Whether water goes through a membrane that stands outdoors, at each step's end."""
    trace, outdoors = scene.trace, bool(scene.plant.p[at.MEMBRANE_OUTDOORS] > 0.0)
    return outdoors & ((trace.column(at.T_MEMBRANE_ON) > 0.0) | (trace.column(at.T_CLEANING) > 0.0))


def _rinsed(scene: Scene, hands: Hands, frost_step: int) -> int:
    """Step at which the membrane outdoors is done with before a frost; 0 where it is not used.

    Likewise where nobody is there as it ends: then it must be drained, and left off, before.
    """
    flushed = _flushed(scene)
    used = np.flatnonzero(flushed[: frost_step + 1])
    step = flushed_until(flushed, int(used[-1])) if len(used) else 0
    return step if step < scene.drive.steps and hands.at(step) > 0 else 0


def _at_once(scene: Scene, step: int, hands: Hands, hindered: str) -> Chance:
    """As soon as it can be, if pan and trips let somebody go."""
    _, wanted = draining_takes(scene.plant.house)
    step = _back(hands, step, scene.drive.steps - 1, steps_needed(scene))
    there, lit = hands.at(step), bool(hands.lit[step])
    free = there - lit
    if free > 0:
        return Chance(step, hindered if free >= wanted else "too few people", free)
    return Chance(step, "nobody free", there, leave=_out(hands.lit, step))


def _before_the_frost(scene: Scene, frost_step: int, hands: Hands, rinsed: int) -> Chance:
    """Last step before a frost at which those whom nothing ties have time to drain.

    That is the end of the fire, where it is soon enough; so it is, if late by less than what
    freezes, where what was drained before would be used again, or nobody is free before.
    """
    _, wanted = draining_takes(scene.plant.house)
    needed = steps_needed(scene)
    there = np.flatnonzero(hands.people[:frost_step] > 0.0)
    begin = max(0, int(there[-1]) - int(THAW_S / scene.trace.step_s), rinsed)
    after = _after_the_fire(scene, begin, frost_step, hands)
    then = 0 if after is None else hands.at(after)
    for people_wanted in (wanted, 1):
        hindered = "" if people_wanted == wanted else "too few people"
        last = _last_free(hands.free, begin, frost_step, needed, people_wanted)
        later = after is not None and then >= people_wanted and (last is None or after > last)
        late = "" if after is None else _too_short(scene, after, frost_step, hands)
        again = last is not None and _used_again(scene, last + needed, frost_step)
        if last is not None and (not later or (late and not again)):
            return Chance(last, hindered, int(hands.free[last : last + needed].min()))
        if after is not None and later:
            return Chance(after, hindered or late, then)
    sooner = _in_the_stay_before(scene, begin, frost_step, hands, rinsed)
    return sooner or _too_late(scene, begin, frost_step, hands, rinsed)


def _in_the_stay_before(
    scene: Scene, begin: int, frost_step: int, hands: Hands, rinsed: int
) -> Chance | None:
    """Return the last chance before a stay that leaves none, if what is drained then stays empty.

    Whoever is free in the evening drains then, where the morning after is the fire's.
    """
    needed, (_, wanted) = steps_needed(scene), draining_takes(scene.plant.house)
    for people_wanted in (wanted, 1):
        last = _last_free(hands.free, rinsed, begin, needed, people_wanted)
        if last is not None and not _used_again(scene, last + needed, frost_step):
            hindered = "" if people_wanted == wanted else "too few people"
            return Chance(last, hindered, int(hands.free[last : last + needed].min()))
    return None


def _too_short(scene: Scene, after: int, frost_step: int, hands: Hands) -> str:
    """Name a fire or trip after which there is too little time, by the frost or by who leaves."""
    end = after + steps_needed(scene)
    if end <= frost_step and (hands.people[after:end] > 0.0).all():
        return ""
    if (hands.carrying[max(0, after - 2) : after] > 0.0).any():
        return "after the trip"
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


def _after_the_fire(scene: Scene, begin: int, frost_step: int, hands: Hands) -> int | None:
    """Step at which the pan may be left and nobody is needed for sap; None without one in time."""
    after, latest = _cold(begin, frost_step, hands.lit), frost_step + _freezing_steps(scene)
    if after is None or after >= scene.drive.steps or after > latest:
        return None
    return _back(hands, after, min(latest, scene.drive.steps - 1), steps_needed(scene))


def _back(hands: Hands, step: int, latest: int, needed: int) -> int:
    """First step from one on at which trips for sap don't tie everybody; that one without any."""
    tied = (hands.carrying > 0.0) & (hands.carrying >= hands.people)
    for each in range(step, latest + 1):
        if not tied[each : each + needed].any():
            return each
    return step


def _freezing_steps(scene: Scene) -> int:
    return int(FREEZING_S / scene.trace.step_s)


def _cold(begin: int, frost_step: int, lit: Flags) -> int | None:
    """First step after the last fire before a frost, one to be sure; None without a fire."""
    burning = np.flatnonzero(lit[begin:frost_step])
    return _out(lit, begin + int(burning[-1])) if len(burning) else None


def _out(lit: Flags, step: int) -> int:
    """Step at which a pan that is lit in one may be left, one to be sure."""
    cold = np.flatnonzero(~lit[step:])
    return step + (int(cold[0]) if len(cold) else 0) + 1


def _too_late(scene: Scene, begin: int, frost_step: int, hands: Hands, rinsed: int) -> Chance:
    """What is left where nobody has the time before a frost, and why that is so."""
    after = _cold(begin, frost_step, hands.lit)
    people, days = hands.people, scene.drive.calendar[:, at.DAY]
    last_there = int(np.flatnonzero(people[:frost_step] > 0.0)[-1])
    if after is not None:
        # what can only be done tomorrow is still told tonight, when the frost comes; of a membrane
        # outdoors as it is done with, for whoever can be called
        same_day = after < len(days) and days[after] == days[frost_step]
        step = rinsed if 0 < rinsed == begin else after if same_day else frost_step
        return Chance(step, "nobody free", int(people[last_there]), leave=after)
    if 0 < rinsed == begin:  # people leave as the membrane is done with
        return _at_once(scene, rinsed, hands, "after the run")
    away = np.flatnonzero(people[:last_there] <= 0.0)
    came, needed = int(away[-1]) + 1 if len(away) else 0, steps_needed(scene)
    if (
        stay_end(people > 0.0, came) - came >= needed
        and (hands.carrying[came:frost_step] > 0).any()
    ):
        over = _back(hands, came, scene.drive.steps - 1, needed)
        return Chance(over, "after the trip", hands.at(over))
    return Chance(came, "short stay", int(people[came]))


def _used_again(scene: Scene, begin: int, frost_step: int) -> bool:
    """Tell whether what was drained is used again, from a step on and before a frost.

    What a house names by its own chores alone may be anything that sap goes through.
    """
    if _filled_again(scene, begin, frost_step) is not None:
        return True
    if not set(what_drains(scene.plant)).isdisjoint(WHAT_FREEZES):
        return False
    span = slice(begin, frost_step)
    used = (scene.trace.column(column)[span] > 0.0 for column in (at.T_MEMBRANE_ON, at.T_CLEANING))
    carrying = _hands(scene).carrying[span] > 0.0
    return bool(carrying.any() or any(each.any() for each in used) or _sap_runs(scene, span))


def _sap_runs(scene: Scene, span: slice) -> bool:
    """Tell whether sap still comes down lines without a tank of their own, by the forecast."""
    drive, straight = scene.drive, scene.plant.points[:, at.OWN_TANK] <= 0.0
    hours = drive.calendar[span, at.HOUR].astype(np.int64)
    kg = drive.sap_kg_s[0, hours][:, straight].sum() * scene.trace.step_s
    return bool(kg > FILLS_KG)


def _filled_again(scene: Scene, begin: int, frost_step: int, running: bool = False) -> int | None:
    """First step from one on, before a frost, in which water gets in again; None without one.

    A membrane that runs on is not drained. By the forecast; where that brings none, the median of
    the weathers, if it is likely enough.
    """
    if scene.yard is None or scene.checked_yard is None:
        return None
    span = slice(begin, frost_step)
    runs = _pumping(scene, scene.yard)[0, span]
    if not running:
        runs = runs | _flushed(scene)[span]
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
