"""The steps of the run under the forecast that the numbers of an action are read from."""

from __future__ import annotations

from dataclasses import replace

from sugarwright.planning.action import Action
from sugarwright.planning.explanation import Step
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import PlanReport
from sugarwright.plant import layout as at

_EXPECTED = {"drain before the frost": "frost", "let the fire go": "out"}
"""What an action's ``expected_s`` is, where it is not its beginning."""


def steps_of(planned: Planned, action: Action) -> tuple[Step, ...]:
    """Return how things stand at each instant that an action names, in order.

    Parameters
    ----------
    planned : the plan that it is of
    action : any of its actions
    """
    own_s = None if action.own_hour is None else action.own_hour.time_s
    named = {
        "look": action.time_s,
        _EXPECTED.get(action.kind, "begin"): action.expected_s,
        "first draw": action.first_draw_s,
        "again": action.again_s,
        "end": action.until_s,
        "own hour": own_s,
        "latest": action.latest_s,
        "leave": action.leave_s,
    }
    drive = planned.weathers.forecast
    end_s = drive.begin_s + drive.steps * planned.plant.step_s
    found = [
        step_at(planned, time_s, what)
        for what, time_s in named.items()
        if time_s is not None and time_s <= end_s
    ]
    return tuple(sorted(found, key=lambda step: step.time_s))


def made_by(planned: Planned, report: PlanReport) -> tuple[Step, ...]:
    """Return the steps in which the plan's runs of the membrane begin, and what is made there."""
    found = []
    for action in (action for day in report.days for action in day.actions):
        if action.concentrate_brix is None:
            continue
        begin_s = action.time_s if action.expected_s is None else action.expected_s
        found.append(
            replace(
                step_at(planned, begin_s, "made"),
                flow_m3_s=action.flow_m3_s,
                concentrate_brix=action.concentrate_brix,
                permeate_m3_s=action.permeate_m3_s,
            )
        )
    return tuple(found)


def step_at(planned: Planned, time_s: int, what: str) -> Step:
    """Return the step that begins at an instant, or the one that it falls in.

    Tanks stand as at its beginning, and machines as they run in it.
    """
    drive, rows = planned.weathers.forecast, planned.trace.rows
    k = int((time_s - drive.begin_s) // planned.plant.step_s)
    k = min(max(k, 0), drive.steps - 1)
    now, then = rows[max(0, k - 1)], rows[k]
    return Step(
        time_s=int(time_s),
        what=what,
        sap_m3=float(now[at.T_SAP_M3]),
        sap_brix=float(now[at.T_SAP_BRIX]),
        sap_life_used=float(now[at.T_SAP_LIFE]),
        stock_m3=float(now[at.T_STOCK_M3]),
        stock_brix=float(now[at.T_STOCK_BRIX]),
        stock_life_used=float(now[at.T_STOCK_LIFE]),
        permeate_m3=float(now[at.T_PERMEATE_M3]),
        wood_m3=float(now[at.T_WOOD_M3]),
        reserve_m3=float(now[at.T_RESERVE_M3]),
        pan_brix=float(now[at.T_PAN_BRIX]),
        condition=float(now[at.T_CONDITION]),
        air_c=float(drive.air_c[0, int(drive.calendar[k, at.HOUR])]),
        membrane_on=bool(then[at.T_MEMBRANE_ON] > 0.0),
        fire_on=bool(then[at.T_FIRE_ON] > 0.0),
    )
