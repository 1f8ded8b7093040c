"""A plan with all that it was found from: what its reasons and what-ifs are reckoned on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sugarwright.planning.action import Action
from sugarwright.planning.choices import HOURS, NOT, STARTS, Menu, has_trips
from sugarwright.planning.course import Course, follow
from sugarwright.planning.frosts import FrostNight, frost_nights
from sugarwright.planning.scene import Scene
from sugarwright.planning.weathers import Weathers
from sugarwright.planning.yard import Yard, yard_of
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Results, Trace, run_many, simulate
from sugarwright.plant.tank_kernel import Floats

ASKED_BY_SIZE = (at.MEMBRANE_CALL_M3, at.FIRE_CALL_M3, at.PASS_AGAIN_BRIX)  # 0: not asked for
CHOSEN = {
    "membrane on": at.MEMBRANE_START,
    "membrane runs on": at.MEMBRANE_START,
    "light the fire": at.FIRE_START,
    "keep the fire": at.FIRE_START,
    "wash the membrane": at.WASH_AT,
    "gather sap": at.GATHER_START,
    "membrane at need": at.MEMBRANE_CALL_M3,
    "again through the membrane": at.PASS_AGAIN_BRIX,
    "fire at need": at.FIRE_CALL_M3,
}
"""Kind of action -> the place in a plan's row that asks for it by the hour, or else at all."""
CALL_OF = {at.MEMBRANE_START: at.MEMBRANE_CALL_M3, at.FIRE_START: at.FIRE_CALL_M3}
"""Hour of a machine -> the level of a tank that calls for it before that hour, or without one."""
Place = tuple[int, int]  # day of the plan, and the column by which something is asked for


@dataclass(frozen=True)
class Planned:
    """A plan and what it was found from.

    Parameters
    ----------
    plant : the house
    menu : what there was to choose from
    weathers : that it was chosen and checked in
    state : of the plant at the beginning
    plan, habit : (days, ``PLAN_WIDTH``)
    """

    plant: Plant
    menu: Menu
    weathers: Weathers
    state: Floats
    plan: Floats
    habit: Floats

    @cached_property
    def checked(self) -> Course:
        """The plan in the weathers that it was not fitted to."""
        return follow(self.plant, self.weathers.checked, self.plan, self.state)

    @cached_property
    def by_habit(self) -> Results:
        """The habit in the same weathers."""
        plans = self.habit[np.newaxis]
        return run_many(self.plant, self.weathers.checked, plans, self.state)

    @cached_property
    def trace(self) -> Trace:
        """The plan under the forecast itself."""
        return simulate(self.plant, self.weathers.forecast, self.plan, self.state)

    @cached_property
    def yard(self) -> Yard | None:
        """What stands outside under the forecast itself; None where nothing does."""
        return yard_of(self.plant, self.weathers.forecast, self.plan, self.state)

    @cached_property
    def checked_yard(self) -> Yard | None:
        """And in the weathers that the plan was not fitted to."""
        return yard_of(self.plant, self.weathers.checked, self.plan, self.state)

    @cached_property
    def frosts(self) -> tuple[FrostNight, ...]:
        """Nights that may freeze what holds water outside."""
        told = self.weathers
        return frost_nights(
            self.plant, told.forecast, told.checked, self.yard, self.checked_yard, told.before_c
        )

    def scene(self, day: int) -> Scene:
        """One of its days, as it comes to pass under the forecast itself."""
        first, last = self.checked.cuts[day : day + 2]
        return Scene(
            self.plant, self.weathers.forecast, self.trace, self.plan[day], first, last,
            bool(self.state[at.MEMBRANE_ON] > 0.0), bool(self.state[at.FIRE_ON] > 0.0),
            self.yard, self.checked_yard, self.frosts, self.plan, self.state,
        )  # fmt: skip

    def starts(self) -> list[Place]:
        """Every start that the plan asks for."""
        membrane = self.plant.p[at.HAS_MEMBRANE] > 0.0
        return [
            (day, start)
            for day in range(len(self.plan))
            for start in STARTS
            if self.plan[day, start] >= 0.0 and (membrane or start == at.FIRE_START)
        ]

    def places(self) -> list[Place]:
        """Every start, every level that calls for one, second passes of the membrane, trips."""
        others = [
            (day, column)
            for day in range(len(self.plan))
            for column in ASKED_BY_SIZE
            if self.plan[day, column] > 0.0
        ]
        trips = range(len(self.plan)) if has_trips(self.plant.house) else ()
        return self.starts() + others + [(day, at.GATHER_START) for day in trips]


def asked_by(action: Action) -> int | None:
    """Return the place in a plan's row that asks for an action; None of what is no choice."""
    column = CHOSEN.get(action.kind)
    return CALL_OF.get(column, column) if action.by_call and column is not None else column


def without(plan: Floats, place: Place) -> Floats:
    """Return a plan with one start, call or second pass left out, or a day's trips for sap."""
    left: Floats = plan.copy()
    left[place] = NOT if place[1] in HOURS else 0.0
    return left


def without_machine(plan: Floats, place: Place) -> Floats:
    """Return a plan with one start left out, and the full tank that calls for it that day."""
    left = without(plan, place)
    if place[1] in CALL_OF:
        left[place[0], CALL_OF[place[1]]] = 0.0
    return left
