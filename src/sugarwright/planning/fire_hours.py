"""By when a fire of the day is lit, and by when it is let go: by the rules of the simulator."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import Flags, begin_stay_s, fire_stay_s, light_stay_s
from sugarwright.plant.tank_kernel import Floats

DAY_MIN = 1440.0


def latest_light(scene: Scene, begin: int) -> int | None:
    """Last step of the day at which the simulator would still light the fire."""
    p, calendar = scene.plant.p, scene.drive.calendar
    span = slice(begin, scene.last)
    enough = (_stop_min(scene) - calendar[span, at.MINUTE]) * 60.0 >= p[at.LEAST_BURN_S]
    stays = light_stay_s(calendar[span]) >= p[at.CLEAR_S] + p[at.LEAST_BURN_S]
    fine = np.flatnonzero(enough & stays)
    return begin + int(fine[-1]) if len(fine) else None


def latest_out(scene: Scene, lit: int) -> int:
    """Step at which the fire is let go at the latest: by the plan's hours, or to leave in time.

    A fire that the next day's row keeps, or a tank that calls on that day, goes on past midnight.
    """
    p, calendar = scene.plant.p, scene.drive.calendar
    over = kept_min(scene)[lit:] <= 0.0
    leaving = fire_stay_s(calendar[lit:]) < p[at.CLEAR_S] + p[at.STEP_S]
    due = np.flatnonzero(over | leaving)
    return lit + int(due[0]) if len(due) else scene.drive.steps


def kept_min(scene: Scene) -> Floats:
    """For how long the plan yet keeps a fire that burns, at each step of the run, minutes."""
    day, minute = (scene.drive.calendar[:, each] for each in (at.DAY, at.MINUTE))
    since = day.astype(np.int64) - scene.plan_day
    last = len(scene.rows) - 1
    today = scene.rows[np.clip(since, 0, last)]
    before = scene.rows[np.clip(since - 1, 0, last)]
    begins = np.where(_is_called(scene, today), 0.0, today[:, at.FIRE_START])
    left = _until_stop(begins, today[:, at.FIRE_STOP], minute)
    gone_on = _until_stop(before[:, at.FIRE_START], before[:, at.FIRE_STOP], minute + DAY_MIN)
    kept: Floats = np.maximum(left, np.where(since > 0, gone_on, 0.0))
    return kept


def own_stay_s(scene: Scene, step: int) -> float:
    """For how long somebody is there by the house's own hours, from a step on, s."""
    return float(begin_stay_s(scene.drive.calendar[step : step + 1])[0])


def _is_called(scene: Scene, today: Floats) -> Flags:
    """Whether the feed's tank has called for a fire on a step's day, by that step."""
    calendar, call_m3 = scene.drive.calendar, today[:, at.FIRE_CALL_M3]
    feed = at.T_STOCK_M3 if scene.plant.p[at.HAS_MEMBRANE] > 0.0 else at.T_SAP_M3
    full = (call_m3 > 0.0) & (scene.before(feed) >= call_m3) & (calendar[:, at.PEOPLE] > 0.0)
    called_day = np.maximum.accumulate(np.where(full, calendar[:, at.DAY], -1.0))
    called: Flags = called_day == calendar[:, at.DAY]
    return called


def _until_stop(begins: Floats, ends: Floats, minute: Floats) -> Floats:
    """Minutes left of a day's span; 0 outside. One that stops before it starts passes midnight."""
    ends = np.where(ends >= begins, ends, ends + DAY_MIN)
    outside = (begins < 0.0) | (minute < begins)
    left: Floats = np.where(outside, 0.0, np.maximum(0.0, ends - minute))
    return left


def _stop_min(scene: Scene) -> float:
    """Minute after the day's midnight at which its fire is let go; it may be on the next day."""
    start, stop = scene.row[at.FIRE_START], scene.row[at.FIRE_STOP]
    return float(stop if stop >= start else stop + DAY_MIN)
