"""What may run dry under a plan: the hot pan, its feed too soon, permeate for rinse and wash.

The trace does not know what waits for a rinse or a wash, so the runs are made once more, half an
hour at a time, and looked at in between.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.planning.course import stand_at
from sugarwright.planning.report import Watch
from sugarwright.planning.watches import watch_of
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.calendar import Flags
from sugarwright.plant.simulate import Drive, Trace
from sugarwright.plant.tank_kernel import Floats, mixed_m3

EVERY_MIN = 30.0
EARLY_S = 3600.0  # before the fire's planned end: a fire that goes out sooner than that is news
REAL_RISK = 0.2  # of the weathers: rarer, a feed that ends early is not worth a word (judgement)
NEAR_RESERVE = 2.0  # times it: what the membrane adds until the next look (judgement)


@dataclass(frozen=True)
class Looks:
    """A plan's runs as somebody sees them who looks every half hour.

    Parameters
    ----------
    plant, drive : the house, and the weathers
    plan : (days, ``PLAN_WIDTH``)
    steps : at which is looked, (looks,)
    states : (weathers, looks, state)
    short_s : time for which the hot pan has been without feed by then, (weathers, looks)
    """

    plant: Plant
    drive: Drive
    plan: Floats
    steps: np.ndarray[tuple[int], np.dtype[np.int64]]
    states: Floats
    short_s: Floats

    def held_m3(self, tank: int) -> Floats:
        """What a tank holds, (weathers, looks)."""
        water, sugar = self.states[..., tank + at.WATER], self.states[..., tank + at.SUGAR]
        return mixed_m3(self.plant.p, water, sugar)

    def permeate_m3(self) -> Floats:
        """Permeate that can be used, (weathers, looks)."""
        held: Floats = self.held_m3(at.PERMEATE) - self.plant.p[at.PERMEATE_DEAD_M3]
        return held

    def calendar(self) -> Floats:
        """Rows of the calendar that begin at each look."""
        found: Floats = self.drive.calendar[np.minimum(self.steps, self.drive.steps - 1)]
        return found

    def rows(self) -> Floats:
        """The plan's rows of the days of each look, (looks, ``PLAN_WIDTH``)."""
        day = self.calendar()[:, at.DAY] - self.drive.calendar[0, at.DAY]
        found: Floats = self.plan[np.clip(day.astype(np.int64), 0, len(self.plan) - 1)]
        return found

    def first_s(self, happens: Flags) -> Floats:
        """When something first happens in each weather, s after the beginning; -1: never."""
        steps = self.steps[np.argmax(happens, axis=1)]
        times: Floats = np.where(happens.any(axis=1), steps * self.plant.step_s, -1.0)
        return times


def looks_of(plant: Plant, drive: Drive, plan: Floats, state: Floats) -> Looks:
    """Run a plan in every weather, half an hour at a time."""
    on_the_clock = np.flatnonzero(drive.calendar[1:, at.MINUTE] % EVERY_MIN == 0.0) + 1
    steps = np.append(on_the_clock, drive.steps)  # a wash is due, and people leave, by the clock
    ends = stand_at(plant, drive, plan, state, steps.tolist())
    states = np.stack([each.states[0] for each in ends], axis=1)
    short_s = np.stack([each.totals[0, :, at.SHORT_S] for each in ends], axis=1)
    return Looks(plant, drive, plan, steps, states, short_s)


def runs_dry(looks: Looks, lit_s: float | None, out_s: float | None) -> tuple[Watch, ...]:
    """List what may run dry, how likely, and when.

    Parameters
    ----------
    looks : the plan in the weathers that it is reported in
    lit_s, out_s : when the plan's next fire is lit and goes out by the forecast, s after the
        beginning; None without one
    """
    drive, short_s = looks.drive, looks.first_s(looks.short_s > 0.0)
    found = [watch_of(drive, "pan short of feed", short_s, 0.0)]
    if lit_s is not None and out_s is not None:
        times = _down_early(looks, lit_s, out_s)
        found.append(watch_of(drive, "feed down early", times, REAL_RISK))
    if looks.plant.p[at.HAS_MEMBRANE] > 0.0:
        for what, lacks in (("rinse", _lacks_rinse(looks)), ("wash", _lacks_wash(looks))):
            found.append(watch_of(drive, f"permeate short for {what}", looks.first_s(lacks)))
    return tuple(each for each in found if each is not None)


def next_fire_s(trace: Trace) -> tuple[float | None, float | None]:
    """When the next fire of a run is lit and goes out, s after its beginning; None without one."""
    burns = trace.column(at.T_FIRE_ON) > 0.0
    if not burns.any():
        return None, None
    lit = int(np.argmax(burns))
    out = np.flatnonzero(~burns[lit:])
    until = None if not len(out) else (lit + int(out[0])) * trace.step_s
    return lit * trace.step_s, until


def _down_early(looks: Looks, lit_s: float, out_s: float) -> Floats:
    """When a fire lit as planned is out for want of feed an hour or more before its planned end."""
    time_s = looks.steps * looks.plant.step_s
    burns = looks.states[..., at.FIRE_ON] > 0.0
    begins = (time_s >= lit_s) & (time_s <= lit_s + EARLY_S) & (time_s < out_s)
    p = looks.plant.p
    feed = at.STOCK if p[at.HAS_MEMBRANE] > 0.0 else at.SAP
    down = looks.held_m3(feed) <= NEAR_RESERVE * p[at.RESERVE_M3]
    early = (time_s > lit_s) & (time_s <= out_s - EARLY_S)
    after = np.cumsum(burns & begins, axis=1) > 0
    return looks.first_s(early & after & ~burns & down)


def _lacks_rinse(looks: Looks) -> Flags:
    """Where the membrane stands and waits for its rinse, and permeate is short for it."""
    p, x = looks.plant.p, looks.states
    waits = (x[..., at.NEEDS_RINSE] > 0.0) & (x[..., at.MEMBRANE_ON] <= 0.0)
    lacks: Flags = waits & (looks.permeate_m3() < p[at.RINSE_M3])
    return lacks


def _lacks_wash(looks: Looks) -> Flags:
    """Where a planned wash is due, somebody is there for it, and permeate is short."""
    p, x, row, plan = looks.plant.p, looks.states, looks.calendar(), looks.rows()
    hour = (plan[:, at.WASH_AT] >= 0.0) & (row[:, at.MINUTE] >= plan[:, at.WASH_AT])
    stay_s = np.minimum(row[:, at.STAY_S], row[:, at.MEMBRANE_OK_S])
    there = (row[:, at.PEOPLE] > 0.0) & (stay_s >= p[at.WASH_DURATION_S])
    has_run = x[..., at.RUN_SINCE_WASH_S] >= plan[:, at.WASH_AFTER_S]
    open_yet = (x[..., at.WASHED_DAY] != row[:, at.DAY]) & (x[..., at.CLEANING_LEFT_S] <= 0.0)
    lacks: Flags = hour & there & has_run & open_yet & (looks.permeate_m3() < p[at.WASH_M3])
    return lacks
