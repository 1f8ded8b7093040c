"""A wash that is due as a plan begins, and cannot be done: there is too little permeate for it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sugarwright.planning.beginning import WashDue
from sugarwright.planning.planned import Planned
from sugarwright.planning.report import Day
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import volume_m3


def wash_due(planned: Planned, days: Sequence[Day]) -> WashDue | None:
    """Tell of a wash that is due by the house's own interval and lacks its permeate.

    Parameters
    ----------
    planned : the plan, and what it was found from
    days : of its report

    Returns
    -------
    WashDue; None where none is due, or there is permeate for it, or the first day washes.
    """
    p, x = planned.plant.p, planned.state
    if p[at.HAS_MEMBRANE] <= 0.0 or x[at.RUN_SINCE_WASH_S] < p[at.WASH_EVERY_S]:
        return None
    has_m3 = max(0.0, float(volume_m3(p, x, at.PERMEATE) - p[at.PERMEATE_DEAD_M3]))
    washes = [
        (d, each.expected_s)
        for d, day in enumerate(days)
        for each in day.actions
        if each.kind == "wash the membrane" and each.expected_s is not None
    ]
    if has_m3 >= p[at.WASH_M3] or (washes and washes[0][0] == 0):
        return None
    return WashDue(
        run_s=float(x[at.RUN_SINCE_WASH_S]),
        takes_m3=float(p[at.WASH_M3]),
        has_m3=has_m3,
        possible_s=_possible_s(planned),
        planned_s=washes[0][1] if washes else None,
    )


def _possible_s(planned: Planned) -> int | None:
    """First hour, by the forecast, with permeate for a wash and somebody there for long enough."""
    p, drive, trace = planned.plant.p, planned.weathers.forecast, planned.trace
    calendar = drive.calendar[1:]  # a step's trace is what the next step finds
    held_m3 = trace.column(at.T_PERMEATE_M3)[: len(calendar)]
    stay_s = np.minimum(calendar[:, at.STAY_S], calendar[:, at.MEMBRANE_OK_S])
    there = (calendar[:, at.PEOPLE] > 0.0) & (stay_s >= p[at.WASH_DURATION_S])
    found = np.flatnonzero(there & (held_m3 - p[at.PERMEATE_DEAD_M3] >= p[at.WASH_M3]))
    if not len(found):
        return None
    return int(drive.begin_s + (int(found[0]) + 1) * planned.plant.step_s)
