"""From a plan's rows to the things to do: clock, gauge, what then happens, and when it ends.

What is expected is read from the trace of the run under the forecast itself; the rules for what
comes too late are those of the simulator.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sugarwright.physics.solution import density_kg_m3
from sugarwright.planning.action import Action, Trigger
from sugarwright.planning.calls import call_m3, called
from sugarwright.planning.chores import spoiled, wash
from sugarwright.planning.draining import frost
from sugarwright.planning.fires import fires_of
from sugarwright.planning.membrane_ends import membrane_ends
from sugarwright.planning.scene import Scene
from sugarwright.planning.trips import trips
from sugarwright.plant import layout as at
from sugarwright.plant.decisions import LEAST_PASSES, least_to_pass_m3, sap_gauge_m3
from sugarwright.plant.tank_kernel import Floats

ON_ARRIVAL = (
    "membrane on", "membrane on again", "again through the membrane", "light the fire",
    "wash the membrane", "gather sap",
)  # fmt: skip
# A fire that burns can't wait; what has turned goes out before anything starts on it.
FIRST = ("let the fire go now", "dump what has spoiled")
MOST_STARTS = 3  # of the membrane in a day that are worth a line


def actions_of(scene: Scene) -> list[Action]:
    """List what the day's row asks for, in order of time."""
    found = trips(scene)  # before what waits for its sap at the same time
    if scene.plant.p[at.HAS_MEMBRANE] > 0.0:
        found += _membrane(scene) if scene.row[at.MEMBRANE_START] >= 0.0 else _at_need(scene)
    found += fires_of(scene)
    if scene.plant.p[at.HAS_MEMBRANE] > 0.0 and scene.row[at.WASH_AT] >= 0.0:
        found.append(wash(scene))
    found += frost(scene)
    found += spoiled(scene)
    found = [replace(each, on_arrival=_is_on_arrival(scene, each)) for each in found]
    return sorted(found, key=lambda each: (each.time_s, each.kind not in FIRST))


def _is_on_arrival(scene: Scene, action: Action) -> bool:
    """Tell whether an action is for whoever comes in then: no clock needs to be watched for it."""
    return action.kind in ON_ARRIVAL and scene.comes_in(action.time_s)


def _at_need(scene: Scene) -> list[Action]:
    """A membrane not planned for the day, but switched on once the sap tank is nearly full."""
    people = np.flatnonzero(scene.drive.calendar[scene.first : scene.last, at.PEOPLE])
    level_m3 = call_m3(scene.row, at.MEMBRANE_CALL_M3, at.MEMBRANE_SAP_M3)
    if level_m3 is None or not len(people):
        return []
    column = at.T_MEMBRANE_ON
    on = scene.called(column, at.MEMBRANE_CALL_M3, scene.last)
    end = None if on is None else scene.first_where(column, on, len(scene.trace.rows), False)
    return [
        Action(
            "membrane at need",
            scene.time_s(scene.first + int(people[0])),
            Trigger("sap", level_m3),
            flow_m3_s=_call_flow_m3_s(scene.row) or float(scene.row[at.MEMBRANE_FLOW_M3_S]),
            expected_s=None if on is None else scene.time_s(on),
            until_s=None if end is None else scene.time_s(end),
            ends="" if end is None else membrane_ends(scene, end),
            caution="membrane",
        )
    ]


def _membrane(scene: Scene) -> list[Action]:
    """Switch the membrane on, and on again when somebody is back or the tank has refilled."""
    p, row, trace = scene.plant.p, scene.row, scene.trace
    begin = scene.at_hand(row[at.MEMBRANE_START])
    gauge = Trigger("sap", float(sap_gauge_m3(p, float(row[at.MEMBRANE_SAP_M3]))))
    passing = Trigger("stock", float(LEAST_PASSES * least_to_pass_m3(p)))
    night = float(row[at.NIGHT_FLOW_M3_S])
    found: list[Action] = []
    on = scene.called(at.T_MEMBRANE_ON, at.MEMBRANE_CALL_M3, begin)
    on = scene.first_where(at.T_MEMBRANE_ON, begin, scene.last) if on is None else on
    while on is not None or not found:
        at_step = begin if on is None else on
        end = (
            None if on is None else scene.first_where(at.T_MEMBRANE_ON, on, len(trace.rows), False)
        )
        called_m3_s = _call_flow_m3_s(row) if at_step < begin and not found else None
        flow_m3_s = float(row[at.MEMBRANE_FLOW_M3_S])
        brix, permeate_m3_s = _made(scene, at_step, called_m3_s or flow_m3_s)
        again = _passes_again(scene, on, end)
        ends = "" if end is None else membrane_ends(scene, end)
        if again is not None and again >= scene.last:  # the next day's row asks for that
            again, end, ends = None, again, "sap tank down"
        if again is not None and again == on:  # the map knows sap, and stock gets ever stronger
            brix, permeate_m3_s = None, None
        found.append(
            Action(
                _membrane_kind(scene, on, again, later=bool(found)),
                scene.time_s(at_step if found else min(begin, at_step)),
                passing if again is not None and again == on else gauge,
                call_m3=None if found else call_m3(row, at.MEMBRANE_CALL_M3, at.MEMBRANE_SAP_M3),
                call_flow_m3_s=None if found else _call_flow_m3_s(row),
                flow_m3_s=flow_m3_s,
                night_flow_m3_s=night if _runs_alone(scene, on, end) else None,
                expected_s=None if on is None else scene.time_s(on),
                until_s=None if end is None else scene.time_s(end),
                ends=ends,
                concentrate_brix=brix,
                permeate_m3_s=permeate_m3_s,
                again_brix=None if again is None else float(row[at.PASS_AGAIN_BRIX]),
                again_s=None if again is None else scene.time_s(again),
                rinse_m3=None if _ends_alone(scene, end) else float(p[at.RINSE_M3]),
                caution="membrane",
            )
        )
        if end is None or len(found) == MOST_STARTS:
            break
        gone = np.flatnonzero(scene.drive.calendar[end : scene.last, at.PEOPLE] == 0.0)
        # What starts again while people are there needs no line of its own: the gauge says it.
        back = scene.last if not len(gone) else end + int(gone[0])
        on = scene.next_start(at.T_MEMBRANE_ON, back, scene.last)
    return [called(found[0], scene.time_s(begin)), *found[1:]]


def _call_flow_m3_s(row: Floats) -> float | None:
    """Setting of the membrane once the sap tank has called, where that is another."""
    flow_m3_s = float(row[at.CALL_FLOW_M3_S])
    other = row[at.MEMBRANE_CALL_M3] > 0.0 and flow_m3_s != row[at.MEMBRANE_FLOW_M3_S]
    return flow_m3_s if flow_m3_s > 0.0 and other else None


def _membrane_kind(scene: Scene, on: int | None, again: int | None, *, later: bool) -> str:
    if on is not None and again == on:
        return "again through the membrane"
    if later:
        return "membrane on again"
    goes_on = on is not None and scene.goes_on(at.T_MEMBRANE_ON, on)
    return "membrane runs on" if goes_on else "membrane on"


def _passes_again(scene: Scene, on: int | None, end: int | None) -> int | None:
    """First step of a run in which the stock tank passes through the membrane again."""
    if on is None:
        return None
    last = scene.drive.steps if end is None else end
    found = np.flatnonzero(scene.trace.column(at.T_MEMBRANE_ON)[on:last] > 1.5)
    return on + int(found[0]) if len(found) else None


def _ends_alone(scene: Scene, end: int | None) -> bool:
    """Tell whether a run stops with nobody there, who could rinse."""
    return end is not None and bool(scene.drive.calendar[end, at.PEOPLE] == 0.0)


def _runs_alone(scene: Scene, on: int | None, end: int | None) -> bool:
    """Tell whether a run goes on while nobody is there."""
    if on is None:
        return False
    return bool(
        (
            scene.drive.calendar[on : scene.drive.steps if end is None else end, at.PEOPLE] == 0.0
        ).any()
    )


def _made(scene: Scene, step: int, flow_m3_s: float) -> tuple[float | None, float | None]:
    """Strength of the concentrate and permeate flow at a setting, with the sap of a step."""
    plant, rows = scene.plant, scene.trace.rows
    if plant.membrane_map is None:
        return None, None
    now = rows[min(step, len(rows) - 1)]
    brix = float(now[at.T_SAP_BRIX])
    if brix <= 0.0:
        return None, None
    condition = max(0.05, float(now[at.T_CONDITION]))
    permeate_kg_s, passed_kg_s = plant.membrane_map.point(flow_m3_s, brix, 3.0, condition)
    sugar_kg_s = passed_kg_s
    concentrate_brix = brix
    for _ in range(20):  # the strength fixes the mass in the valve's volume, and that the strength
        concentrate_kg_s = flow_m3_s * density_kg_m3(min(concentrate_brix, 60.0), 3.0)
        kept = brix / 100.0 * (concentrate_kg_s + permeate_kg_s) - sugar_kg_s
        concentrate_brix = 100.0 * kept / concentrate_kg_s
    return concentrate_brix, permeate_kg_s * plant.p[at.WATER_M3_KG]
