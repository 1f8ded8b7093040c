"""From a plan's rows to the things to do: clock, gauge, what then happens, and when it ends.

What is expected is read from the trace of the run under the forecast itself; the rules for what
comes too late are those of the simulator.
"""

from __future__ import annotations

from dataclasses import replace

from sugarwright.planning.action import Action
from sugarwright.planning.chores import spoiled, wash
from sugarwright.planning.draining import frost
from sugarwright.planning.dying import STAY
from sugarwright.planning.fire_chances import is_likely
from sugarwright.planning.fires import fires_of
from sugarwright.planning.membrane_hands import rinsed_first
from sugarwright.planning.membrane_rinse import left_running
from sugarwright.planning.membrane_runs import membrane_at_need, membrane_runs
from sugarwright.planning.scene import Scene
from sugarwright.planning.trip_hands import with_hands
from sugarwright.planning.trips import trips
from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats

ON_ARRIVAL = (
    "membrane on", "membrane on again", "again through the membrane", "light the fire",
    "wash the membrane", "rinse the membrane", "gather sap",
)  # fmt: skip
FIRST = (
    STAY, "let the fire go now", "stop the membrane", "rinse the membrane", "dump what has spoiled",
)  # fmt: skip
"""A fire that burns can't wait; what is to stop stops, and what has turned goes out, before
anything starts on it."""


def actions_of(scene: Scene, light_ups: Floats | None = None) -> list[Action]:
    """List what the day's row asks for, in order of time.

    Parameters
    ----------
    scene : the day
    light_ups : fires lit on that day, in each weather that the plan is checked in; None where that
        is not known
    """
    found = frost(scene)  # before what else is due at the same time: a lit pan ties its maker
    found += trips(scene)  # before what waits for its sap at the same time
    if scene.plant.p[at.HAS_MEMBRANE] > 0.0:
        planned = scene.row[at.MEMBRANE_START] >= 0.0
        found += membrane_runs(scene) if planned else membrane_at_need(scene)
        found += left_running(scene)
    found += fires_of(scene, is_likely=light_ups is not None and is_likely(light_ups))
    if scene.plant.p[at.HAS_MEMBRANE] > 0.0 and scene.row[at.WASH_AT] >= 0.0:
        found.append(wash(scene))
    found += spoiled(scene)
    found = with_hands(scene, rinsed_first(found))
    found = [replace(each, on_arrival=_is_on_arrival(scene, each)) for each in found]
    return sorted(found, key=_place)


def _place(action: Action) -> tuple[int | bool, ...]:
    """Where an action stands: by its hour; first, there, a fire that somebody must stay for.

    What waits for something that is not over by then comes after it.
    """
    kinds = (action.kind != kind for kind in FIRST)
    held_up = any(w.until_s is None or w.until_s > action.time_s for w in action.waits)
    return action.time_s, held_up, action.else_stay_s is None, *kinds


def _is_on_arrival(scene: Scene, action: Action) -> bool:
    """Tell whether an action is for whoever comes in then: no clock needs to be watched for it."""
    return action.kind in ON_ARRIVAL and scene.comes_in(action.time_s)
