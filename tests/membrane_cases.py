"""Days of steady air and sap in the demo's invented house, as made-up rows make them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from planning_cases import demo_house, gallons
from sugarwright.planning.action import Action
from sugarwright.planning.actions import actions_of
from sugarwright.planning.scene import Scene
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.simulate import Drive, simulate
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats

MIDNIGHT_S = int(datetime(2015, 3, 16, 4, tzinfo=UTC).timestamp())  # a Monday in New York
LEVELS = Levels(gallons(300, 2.0), gallons(20, 6.0), gallons(150, 0.0))


def membrane_plant(**changes: object) -> Plant:
    """The demo's house, its membrane changed; people 05:30 to 07:30 and 17:00 to 22:00."""
    house = demo_house()
    assert house.membrane is not None
    told = {"unattended": False, **changes}
    return assemble(replace(house, membrane=replace(house.membrane, **told)))  # type: ignore[arg-type]


def rows_of(days: int = 2, **changes: float) -> Floats:
    """Rows of days on which nothing is planned but what is named."""
    row = np.zeros(at.PLAN_WIDTH)
    row[[at.MEMBRANE_START, at.WASH_AT, at.FIRE_START]] = -1.0
    row[[at.MEMBRANE_FLOW_M3_S, at.MEMBRANE_STOP]] = 2e-5, 1440.0
    for name, value in changes.items():
        row[getattr(at, name)] = value
    return np.tile(row, (days, 1))


def _drive(plant: Plant, change: Callable[[Drive], None], begin_min: int) -> Drive:
    begin_s = MIDNIGHT_S + begin_min * 60
    steps = (2880 - begin_min) * 60 // int(plant.step_s)
    hours = -(-steps * int(plant.step_s) // 3600)
    calendar = make_calendar(plant.house, begin_s, steps, plant.step_s)
    drive = Drive(
        begin_s, calendar, np.full((1, hours), 3.0), np.zeros((1, hours, len(plant.points), 2))
    )
    change(drive)
    return drive


def nothing(drive: Drive) -> None:
    """Change nothing."""


def scene_of(
    plant: Plant,
    rows: Floats,
    levels: Levels = LEVELS,
    change: Callable[[Drive], None] = nothing,
    begin_min: int = 0,
    day: int = 0,
) -> Scene:
    """One day of made-up rows as it comes to pass."""
    drive, state = _drive(plant, change, begin_min), start_state(plant, levels)
    trace = simulate(plant, drive, rows, state)
    midnight = int(np.flatnonzero(drive.calendar[:, at.DAY] > drive.calendar[0, at.DAY])[0])
    first, last = ((0, midnight), (midnight, drive.steps))[day]
    on = levels.membrane_on
    return Scene(plant, drive, trace, rows[day], first, last, on, plan=rows, state=state)


def clock_h(action: Action) -> float:
    """Hours after midnight of the first day."""
    return (action.time_s - MIDNIGHT_S) / 3600.0


def told_of(scene: Scene, kind: str) -> Action:
    """The first action of a kind that a day asks for."""
    return next(each for each in actions_of(scene) if each.kind == kind)
