"""What may still be done otherwise at a moment of a plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.planning import choices as of
from sugarwright.planning.planned import Planned, without
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats

KINDS = {
    at.MEMBRANE_START: "membrane on",
    at.WASH_AT: "wash the membrane",
    at.FIRE_START: "light the fire",
    at.GATHER_START: "gather sap",
}
FLOW_STEPS = (-2, -1, 1, 2)


@dataclass(frozen=True)
class Instead:
    """A plan that differs from the one planned from a moment on.

    Parameters
    ----------
    instead, kind, action_s, flow_m3_s : as :class:`~sugarwright.planning.report.Change` has them
    plan : (days, ``PLAN_WIDTH``)
    """

    instead: str
    kind: str
    plan: Floats
    action_s: int | None = None
    flow_m3_s: float | None = None


def instead_of(planned: Planned, day: int, step: int) -> list[Instead]:
    """List what can be done otherwise from a step of a day on, the day after included.

    Parameters
    ----------
    planned : the plan
    day : on which the step is
    step : at which somebody is there
    """
    minute = float(planned.weathers.forecast.calendar[step, at.MINUTE])
    found = _left_out(planned, day, minute)
    found += _lit(planned, day, minute)
    if planned.menu.membrane and planned.plan[day, at.MEMBRANE_START] >= 0.0:
        found += _set(planned, day)
        found += _nights(planned, day)
    elif planned.menu.membrane:
        found += _on(planned, day, minute)
    return found


def _left_out(planned: Planned, day: int, minute: float) -> list[Instead]:
    """Leave out what is still to come, of today's and tomorrow's starts."""
    found = []
    for place in planned.starts():
        to_come = place[0] == day and planned.plan[place] >= minute
        if to_come or place[0] == day + 1:
            action_s = _time_s(planned, place[0], float(planned.plan[place]))
            plan = without(planned.plan, place)
            found.append(Instead("leave out", KINDS[place[1]], plan, action_s))
    return found


def _lit(planned: Planned, day: int, minute: float) -> list[Instead]:
    """Light a fire now on a day without one."""
    if planned.plan[day, at.FIRE_START] >= 0.0 or minute not in planned.menu.lights[day]:
        return []
    plan = planned.plan.copy()
    plan[day, at.FIRE_START], plan[day, at.FIRE_STOP] = minute, of.END_OF_DAY
    plan[day, at.FIRE_STOCK_M3] = planned.menu.stock_gauges_m3[0]
    return [Instead("light", "light the fire", plan, _time_s(planned, day, minute))]


def _on(planned: Planned, day: int, minute: float) -> list[Instead]:
    """Start the membrane now on a day without it."""
    if minute not in planned.menu.starts[day]:
        return []
    plan, flow_m3_s = planned.plan.copy(), float(planned.habit[day, at.MEMBRANE_FLOW_M3_S])
    plan[day, at.MEMBRANE_START], plan[day, at.MEMBRANE_STOP] = minute, of.END_OF_DAY
    plan[day, at.MEMBRANE_SAP_M3] = planned.menu.sap_gauges_m3[0]
    plan[day, at.MEMBRANE_FLOW_M3_S] = flow_m3_s
    time_s = _time_s(planned, day, minute)
    return [Instead("start", "membrane on", plan, time_s, flow_m3_s)]


def _set(planned: Planned, day: int) -> list[Instead]:
    """Set the membrane to a neighbouring flow, by night too where it runs then."""
    flows, found = planned.menu.flows_m3_s, []
    now = int(np.argmin(np.abs(flows - planned.plan[day, at.MEMBRANE_FLOW_M3_S])))
    for k in (now + by for by in FLOW_STEPS):
        if 0 <= k < len(flows):
            plan, flow_m3_s = planned.plan.copy(), float(flows[k])
            plan[day, at.MEMBRANE_FLOW_M3_S] = flow_m3_s
            if plan[day, at.NIGHT_FLOW_M3_S] > 0.0:
                plan[day, at.NIGHT_FLOW_M3_S] = flow_m3_s
            found.append(Instead("set", "membrane on", plan, None, flow_m3_s))
    return found


def _nights(planned: Planned, day: int) -> list[Instead]:
    """Let the membrane run on overnight, or don't, where the house allows it."""
    nights = planned.menu.nights_m3_s
    if len(nights) < 2:
        return []
    plan = planned.plan.copy()
    if plan[day, at.NIGHT_FLOW_M3_S] > 0.0:
        plan[day, at.NIGHT_FLOW_M3_S] = 0.0
        return [Instead("not overnight", "membrane on", plan)]
    flow_m3_s = float(plan[day, at.MEMBRANE_FLOW_M3_S])
    plan[day, at.NIGHT_FLOW_M3_S] = flow_m3_s
    return [Instead("set and run the night", "membrane on", plan, None, flow_m3_s)]


def _time_s(planned: Planned, day: int, minute: float) -> int:
    drive, cuts = planned.weathers.forecast, planned.checked.cuts
    minutes = drive.calendar[cuts[day] : cuts[day + 1], at.MINUTE]
    step = cuts[day] + int(np.argmax(minutes >= minute))
    return int(drive.begin_s + step * planned.plant.step_s)
