"""By when a fire of the day is lit, and by when it is let go: by the rules of the simulator."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import begin_stay_s, fire_stay_s, light_stay_s
from sugarwright.plant.plan_clock import DAY_MIN, left_min
from sugarwright.plant.tank_kernel import Floats


def latest_light(scene: Scene, begin: int) -> int | None:
    """Last step of the day at which the simulator would still light the fire."""
    p, calendar = scene.plant.p, scene.drive.calendar
    span = slice(begin, scene.last)
    enough = (_stop_min(scene) - calendar[span, at.MINUTE]) * 60.0 >= p[at.LEAST_BURN_S]
    stays = light_stay_s(calendar[span]) >= p[at.CLEAR_S] + p[at.LEAST_BURN_S]
    fine = np.flatnonzero(enough & stays)
    return begin + int(fine[-1]) if len(fine) else None


def latest_out(scene: Scene, lit: int, *, by_call: bool = False) -> int:
    """Step at which the fire is let go at the latest: by the plan's hours, or to leave in time.

    A fire that the next day's row keeps, or a tank that calls on that day, goes on past midnight.

    Parameters
    ----------
    scene : the day
    lit : step at which it is lit
    by_call : whether a full tank calls for it then, though the forecast does not bring that
    """
    p, calendar = scene.plant.p, scene.drive.calendar
    over = kept_min(scene, lit if by_call else None)[lit:] <= 0.0
    leaving = fire_stay_s(calendar[lit:]) < p[at.CLEAR_S] + p[at.STEP_S]
    due = np.flatnonzero(over | leaving)
    return lit + int(due[0]) if len(due) else scene.drive.steps


def kept_min(scene: Scene, called: int | None = None) -> Floats:
    """For how long the plan yet keeps a fire that burns, at each step of the run, minutes.

    Parameters
    ----------
    scene : the day
    called : step at which a full tank is taken to call for one, beside when the forecast has that
    """
    called_days = _called_days(scene)
    if called is not None:
        day = float(scene.drive.calendar[called, at.DAY])
        called_days[called:] = np.maximum(called_days[called:], day)
    kept: Floats = np.array(
        [
            left_min(scene.rows, scene.plan_day, row, at.FIRE_START, at.FIRE_STOP, called_day)
            for row, called_day in zip(scene.drive.calendar, called_days.tolist(), strict=True)
        ]
    )
    return kept


def own_stay_s(scene: Scene, step: int) -> float:
    """For how long somebody is there by the house's own hours, from a step on, s."""
    return float(begin_stay_s(scene.drive.calendar[step : step + 1])[0])


def _called_days(scene: Scene) -> Floats:
    """Last day on which the feed's tank has called for a fire by each step; -1: none."""
    calendar, last = scene.drive.calendar, len(scene.rows) - 1
    since = calendar[:, at.DAY].astype(np.int64) - scene.plan_day
    call_m3 = scene.rows[np.clip(since, 0, last), at.FIRE_CALL_M3]
    feed = at.T_STOCK_M3 if scene.plant.p[at.HAS_MEMBRANE] > 0.0 else at.T_SAP_M3
    full = (call_m3 > 0.0) & (scene.before(feed) >= call_m3) & (calendar[:, at.PEOPLE] > 0.0)
    called: Floats = np.maximum.accumulate(np.where(full, calendar[:, at.DAY], -1.0))
    return called


def _stop_min(scene: Scene) -> float:
    """Minute after the day's midnight at which its fire is let go; it may be on the next day."""
    start, stop = scene.row[at.FIRE_START], scene.row[at.FIRE_STOP]
    return float(stop if stop >= start else stop + DAY_MIN)
