"""A fire that one person alone lights once the last load of sap is in, held in the plan until then.

The simulator lets whoever fetches sap start the membrane in one, and is done sooner than a person
(``trip_hands``). So the hour at which the fire is asked for moves to the end of the trips as they
are told, and all that is told of it, its draws and their hours, is of a fire lit then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sugarwright.planning.action import Action
from sugarwright.planning.actions import actions_of
from sugarwright.planning.choices import END_OF_DAY, burn_min, has_trips
from sugarwright.planning.planned import Place, Planned
from sugarwright.planning.trip_hands import GATHER, busy_until_s
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats

MOST_TIMES = 3  # a fire lit later may leave time for one more load; so often it is moved again


def lit_after_trips(planned: Planned, staying: frozenset[Place] = frozenset()) -> Planned:
    """Move the fires of a plan that fall into trips of one person alone to the end of those.

    A fire that a full tank calls for meanwhile is not moved by its hour, and stays as it is.

    Parameters
    ----------
    planned : the plan as chosen
    staying : starts that stay, whatever falls into them

    Returns
    -------
    The same object where no fire is moved.
    """
    for day in range(len(planned.plan)):
        if (day, at.FIRE_START) not in staying:
            planned = _with_fire_moved(planned, day)
    return planned


def _with_fire_moved(planned: Planned, day: int) -> Planned:
    """Move a day's fire until nothing is fetched as it is lit; not at all where that can't be."""
    moved = planned
    for _ in range(MOST_TIMES):
        plan = _asked_later(moved, day)
        if plan is None:
            return moved
        moved = replace(moved, plan=plan)
    return planned


def _asked_later(planned: Planned, day: int) -> Floats | None:
    """Return the plan with a day's fire asked for once its trips are over, and kept as long.

    None where no trip of one person alone goes on as it is lit, or its end is no hour of that day.
    """
    asked_min = float(planned.plan[day, at.FIRE_START])
    if asked_min < 0.0 or not has_trips(planned.plant.house):
        return None
    scene = planned.scene(day)
    found = _lit_in_trips(actions_of(scene))
    if found is None:
        return None
    lit_s, over_s = found
    over = -(-(over_s - scene.time_s(0)) // int(scene.trace.step_s))
    if over >= scene.last:
        return None
    light_min = float(scene.drive.calendar[over, at.MINUTE])
    later_min = max(0, over_s - lit_s) / 60.0
    plan = planned.plan.copy()
    plan[day, at.FIRE_START] = light_min
    ends_min = asked_min + burn_min(planned.plan[day]) + later_min
    plan[day, at.FIRE_STOP] = min(END_OF_DAY, max(ends_min, light_min))
    return plan


def _lit_in_trips(actions: Sequence[Action]) -> tuple[int, int] | None:
    """Return when the day's planned fire is lit, and until when trips of one alone go on then.

    Or as it is asked for: whoever reads that hour would light it, with loads still to fetch. UTC s;
    None where none do. Draining that waits for the last load belongs to them.
    """
    lit = (e for e in actions if e.kind == "light the fire" and e.expected_s and not e.by_call)
    for fire in lit:
        for trips in actions:
            if trips.kind == GATHER and trips.alone is not None and trips.alone.light_after:
                lit_s, over_s = fire.expected_s or 0, busy_until_s(trips, actions)
                if any(trips.time_s <= each < over_s for each in (lit_s, fire.time_s)):
                    return lit_s, over_s
    return None
