"""A membrane that runs and is to stop, or has stopped: its rinse, and the permeate for it."""

from __future__ import annotations

from dataclasses import replace
from typing import TypedDict

import numpy as np

from sugarwright.planning.action import Action
from sugarwright.planning.dying import STAY
from sugarwright.planning.membrane_ends import has_cutout, is_washed, membrane_ends
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import PlanReport
from sugarwright.planning.scene import Scene
from sugarwright.planning.stops import next_times
from sugarwright.plant import layout as at


class Rinse(TypedDict):
    """The permeate of a rinse, by the names of an action: what it takes, and has if too little."""

    rinse_m3: float | None
    rinse_has_m3: float | None


def rinse_of(scene: Scene, end: int | None) -> Rinse:
    """Return what the rinse takes that follows a run's end, and has where that is too little.

    Parameters
    ----------
    scene : the day
    end : first step in which the membrane stands still; None where that is not known

    Returns
    -------
    Nothing where nobody is there who could rinse.
    """
    takes_m3 = float(scene.plant.p[at.RINSE_M3])
    if end is None:
        return {"rinse_m3": takes_m3, "rinse_has_m3": None}
    if scene.drive.calendar[end, at.PEOPLE] == 0.0:
        return {"rinse_m3": None, "rinse_has_m3": None}
    before_m3 = float(scene.before(at.T_PERMEATE_M3)[end])
    now_m3 = float(scene.trace.rows[end, at.T_PERMEATE_M3])
    has_m3 = max(before_m3, now_m3) - float(scene.plant.p[at.PERMEATE_DEAD_M3])
    # A tank that is read to be just enough and does go down was enough.
    lacks = has_m3 < takes_m3 and now_m3 >= before_m3
    return {"rinse_m3": takes_m3, "rinse_has_m3": max(0.0, has_m3) if lacks else None}


def left_running(scene: Scene) -> list[Action]:
    """Stop the membrane that ran as the plan began, where no start of the plan goes on from it."""
    if not scene.membrane_before:
        return []
    end = scene.first_where(at.T_MEMBRANE_ON, 0, len(scene.trace.rows), False)
    if end is None or not scene.first <= end < scene.last or _is_told(scene, end):
        return []
    if scene.drive.calendar[end, at.PEOPLE] == 0.0:
        return _rinse_on_return(scene, end)
    ends = membrane_ends(scene, end)
    if end == 0 and ends not in ("time", "frost", "out of order", "circuit", "people leave"):
        ends = "not planned"
    return [
        Action(
            "stop the membrane",
            scene.time_s(end),
            ends=ends,
            stops_itself=has_cutout(scene, ends),
            reserve_m3=float(scene.plant.p[at.LEAST_SAP_M3]) if ends == "sap tank down" else None,
            runs_at_m3_s=None if end == 0 else left_at_m3_s(scene),
            **rinse_of(scene, end),
            caution="membrane",
        )
    ]


def with_rinse(planned: Planned, report: PlanReport, stopped_s: float) -> PlanReport:
    """Return a plan that first rinses a membrane of which the log knows a stop and no rinse.

    What the twin takes for granted of that rinse, it has taken from the permeate tank already.

    Parameters
    ----------
    planned, report : of one plan, which begins with the membrane standing
    stopped_s : UTC s at which it stopped
    """
    drive, p = planned.weathers.forecast, planned.plant.p
    there = np.flatnonzero(drive.calendar[:, at.PEOPLE] > 0.0)
    if not len(there) or planned.state[at.MEMBRANE_ON] > 0.0:
        return report
    step = int(there[0])
    time_s = max(report.begin_s, int(drive.begin_s + step * planned.plant.step_s))
    day = next((d for d, each in enumerate(report.days) if time_s < each.end_s), None)
    if day is None or (planned.trace.column(at.T_MEMBRANE_ON)[: step + 1] > 0.0).any():
        return report  # its next run carries off what a rinse would
    action = Action(
        "rinse the membrane",
        time_s,
        on_arrival=time_s > report.begin_s,
        stopped_s=int(stopped_s),
        rinse_m3=float(p[at.RINSE_M3]),
        caution="membrane",
    )
    days = list(report.days)
    actions = days[day].actions
    before = [each for each in actions if each.time_s < time_s or each.kind == STAY]
    after = [each for each in actions if each not in before]
    days[day] = replace(days[day], actions=(*before, action, *after))
    return replace(report, days=tuple(days), next_s=next_times(days, report.begin_s))


def _rinse_on_return(scene: Scene, end: int) -> list[Action]:
    """Rinse what stopped with nobody there, once somebody is back and where it stays off."""
    p, calendar = scene.plant.p, scene.drive.calendar[end : scene.last]
    there = calendar[:, at.STAY_S] >= p[at.RINSE_S] + p[at.STOP_HANDS_S]
    back = np.flatnonzero((calendar[:, at.PEOPLE] > 0.0) & there)
    if not len(back):
        return []
    step = end + int(back[0])
    runs = scene.first_where(at.T_MEMBRANE_ON, end, step + 1) is not None
    if runs or is_washed(scene, step):
        return []
    return [
        Action(
            "rinse the membrane",
            scene.time_s(step),
            stopped_s=scene.time_s(end),
            **rinse_of(scene, step),
            caution="membrane",
        )
    ]


def _is_told(scene: Scene, end: int) -> bool:
    """Tell whether a start of the plan takes over, before its end, what ran as the plan began."""
    calendar = scene.drive.calendar[:end]
    for day, row in enumerate(scene.rows):
        begun = (calendar[:, at.DAY] == scene.plan_day + day) & (calendar[:, at.PEOPLE] > 0.0)
        if (
            row[at.MEMBRANE_START] >= 0.0
            and (begun & (calendar[:, at.MINUTE] >= row[at.MEMBRANE_START])).any()
        ):
            return True
    return False


def left_at_m3_s(scene: Scene) -> float:
    """Setting at which it runs on: that of a full tank's call, else that of the night."""
    row = scene.row
    full = scene.before(at.T_SAP_M3)[0] >= row[at.MEMBRANE_CALL_M3] > 0.0
    called_m3_s = float(row[at.CALL_FLOW_M3_S]) or float(row[at.MEMBRANE_FLOW_M3_S])
    return called_m3_s if full else float(row[at.NIGHT_FLOW_M3_S])
