"""Why a run of the membrane ends, read from the trace: a tank, the clock, frost, or who leaves."""

from __future__ import annotations

from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.decisions import least_to_pass_m3
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
    if _passed_again(scene, step):
        return "stock passed again"
    if now[at.T_SAP_M3] <= p[at.LEAST_SAP_M3] + CERTAIN_M3:
        return "sap tank down"
    if now[at.T_STOCK_M3] >= p[at.STOCK_CAPACITY_M3] - CERTAIN_M3:
        return "stock tank full"
    return _stopped_by(scene, step, scene.drive.calendar[step]) or "sap tank down"


def _passed_again(scene: Scene, step: int) -> bool:
    now = scene.trace.rows[step]
    if step == 0 or scene.trace.rows[step - 1, at.T_MEMBRANE_ON] <= 1.5:
        return False
    strong = now[at.T_STOCK_BRIX] >= scene.row[at.PASS_AGAIN_BRIX] - STRONG_BRIX
    low_m3 = least_to_pass_m3(scene.plant.p) + CERTAIN_M3
    return bool(strong or now[at.T_STOCK_M3] <= low_m3)


def _stopped_by(scene: Scene, step: int, calendar: Floats) -> str:
    """Who or what stops it while both tanks would let it run; empty where nothing does.

    A sap tank that is down refills within the step, and then nothing here has stopped it.
    """
    p, row = scene.plant.p, scene.row
    minute, rinsing_s = calendar[at.MINUTE], p[at.RINSE_S] + p[at.STOP_HANDS_S]
    if scene.trace.rows[step, at.T_CLEANING] > 0.0 and 0.0 <= row[at.WASH_AT] <= minute:
        return "time"
    if p[at.MEMBRANE_OUTDOORS] > 0.0 and _air_c(scene, calendar) < 0.0:
        return "frost"
    if calendar[at.MEMBRANE_OK_S] <= max(p[at.STEP_S], rinsing_s):
        return "out of order"
    if p[at.UNATTENDED] > 0.0 and row[at.NIGHT_FLOW_M3_S] > 0.0:
        return ""
    if calendar[at.STAY_S] <= max(p[at.STEP_S], rinsing_s):
        return "people leave"
    if minute >= row[at.MEMBRANE_STOP]:
        return "circuit" if p[at.NOT_WITH_FIRE] > 0.0 else "hour"
    return ""


def _air_c(scene: Scene, calendar: Floats) -> float:
    return float(scene.drive.air_c[0, int(calendar[at.HOUR])])
