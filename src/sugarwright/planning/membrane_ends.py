"""Why a run of the membrane ends, read from the trace: a tank, the clock, frost, or who leaves."""

from __future__ import annotations

import numpy as np

from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.membrane_decisions import attended_s, least_to_pass_m3
from sugarwright.plant.plan_clock import night_flow_m3_s
from sugarwright.plant.tank_kernel import Floats

CERTAIN_M3 = 0.004  # a gallon: a tank "down to" or "full" within that
STRONG_BRIX = 0.2  # stock "strong enough" within that


def membrane_ends(scene: Scene, step: int) -> str:
    """Tell why the membrane no longer runs in a step of a day's trace.

    Parameters
    ----------
    scene : the day
    step : the first in which it stands still

    Returns
    -------
    One of those that :class:`~sugarwright.planning.action.Action` lists as ``ends``.
    """
    p, now = scene.plant.p, scene.trace.rows[step]
    if passes_again(scene, step):
        return _second_pass_ends(scene, step)
    if now[at.T_SAP_M3] <= p[at.LEAST_SAP_M3] + CERTAIN_M3:
        return "sap tank down"
    if now[at.T_STOCK_M3] >= p[at.STOCK_CAPACITY_M3] - CERTAIN_M3:
        return "stock tank full"
    return stopped_by(scene, step) or "sap tank down"


def has_cutout(scene: Scene, ends: str) -> bool:
    """Tell whether the membrane stops itself at an end: it has the cut-out for that tank."""
    membrane = scene.plant.house.membrane
    if membrane is None:
        return False
    cutouts = {
        "sap tank down": membrane.low_flow_cutout,
        "stock tank full": membrane.full_tank_cutout,
    }
    return cutouts.get(ends, False)


def passes_again(scene: Scene, step: int) -> bool:
    """Tell whether the stock tank was passing through the membrane as a step began."""
    return bool(scene.before(at.T_MEMBRANE_ON)[step] > 1.5)


def _second_pass_ends(scene: Scene, step: int) -> str:
    now = scene.trace.rows[step]
    if now[at.T_STOCK_BRIX] >= scene.row_at(step)[at.PASS_AGAIN_BRIX] - STRONG_BRIX:
        return "stock passed again"
    if now[at.T_STOCK_M3] <= least_to_pass_m3(scene.plant.p) + CERTAIN_M3:
        return "stock tank low"
    return stopped_by(scene, step) or "stock passed again"


def stopped_by(scene: Scene, step: int) -> str:
    """Tell who or what stops it while both tanks would let it run; empty where nothing does.

    A sap tank that is down refills within the step, and then nothing here has stopped it.
    """
    p, row, calendar = scene.plant.p, scene.row_at(step), scene.drive.calendar[step]
    minute = calendar[at.MINUTE]
    if 0.0 <= row[at.WASH_AT] <= minute and is_washed(scene, step):
        return "time"
    if p[at.MEMBRANE_OUTDOORS] > 0.0 and _air_c(scene, calendar) < 0.0:
        return "frost"
    if calendar[at.MEMBRANE_OK_S] <= attended_s(p):
        return "out of order"
    if _may_run_alone(scene, step):
        return ""
    if calendar[at.STAY_S] <= attended_s(p):
        return "people leave"
    if minute >= row[at.MEMBRANE_STOP]:
        return "circuit" if p[at.NOT_WITH_FIRE] > 0.0 else "hour"
    return ""


def _may_run_alone(scene: Scene, step: int) -> bool:
    """Tell whether a run may go on with nobody there: the plan has a setting, the house its leave.

    So does one that runs alone as a plan is made: nobody is there to end it. No cut-out ends a
    second pass, so that one never goes on.
    """
    if scene.plant.p[at.UNATTENDED] <= 0.0 or passes_again(scene, step):
        return False
    calendar = scene.drive.calendar[step]
    is_left_on = scene.before(at.T_MEMBRANE_ON)[step] > 0.0 and calendar[at.PEOPLE] <= 0.0
    return bool(is_left_on or night_flow_m3_s(scene.rows, scene.plan_day, calendar) > 0.0)


def is_washed(scene: Scene, step: int) -> bool:
    """Tell a wash that begins in a step from a rinse: it takes longer."""
    p, cleaning = scene.plant.p, scene.trace.column(at.T_CLEANING)[step:] > 0.0
    over = np.flatnonzero(~cleaning)
    steps = int(over[0]) if len(over) else len(cleaning)
    between_s = 0.5 * (p[at.RINSE_S] + p[at.WASH_DURATION_S])
    return bool(steps > 0 and (steps + 1) * p[at.STEP_S] > between_s)


def _air_c(scene: Scene, calendar: Floats) -> float:
    return float(scene.drive.air_c[0, int(calendar[at.HOUR])])
