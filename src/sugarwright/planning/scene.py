"""One day of a plan as it comes to pass under the forecast itself."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sugarwright.planning.frosts import FrostNight
from sugarwright.planning.lateness import arrivals
from sugarwright.planning.yard import Yard
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.calendar import Flags
from sugarwright.plant.simulate import Drive, Trace
from sugarwright.plant.tank_kernel import Floats, volume_m3

_TANKS = {at.T_SAP_M3: at.SAP, at.T_STOCK_M3: at.STOCK, at.T_PERMEATE_M3: at.PERMEATE}


@dataclass(frozen=True)
class Scene:
    """One day of a plan under the forecast.

    Parameters
    ----------
    plant, drive, trace : the house, the forecast's drive and the run under the plan
    row : the plan's row of that day
    first, last : steps of that day
    membrane_before, fire_before : whether they ran when the plan began
    yard, checked_yard : what stands outside under the forecast, and in the weathers that the plan
        is checked in; None where nothing does
    frosts : nights of the plan that may freeze what holds water
    plan : (days, ``PLAN_WIDTH``), all of it; None: the one row stands for every day
    state : of the plant when the plan began; None where it is not known
    """

    plant: Plant
    drive: Drive
    trace: Trace
    row: Floats
    first: int
    last: int
    membrane_before: bool = False
    fire_before: bool = False
    yard: Yard | None = None
    checked_yard: Yard | None = None
    frosts: tuple[FrostNight, ...] = ()
    plan: Floats | None = None
    state: Floats | None = None

    @property
    def rows(self) -> Floats:
        """The plan's rows, the first being that of ``plan_day``."""
        return self.row[np.newaxis] if self.plan is None else self.plan

    @property
    def plan_day(self) -> int:
        """Local day number of the plan's first row."""
        return int(self.drive.calendar[0, at.DAY])

    def row_at(self, step: int) -> Floats:
        """The plan's row of the local day that a step falls in."""
        day = int(self.drive.calendar[step, at.DAY]) - self.plan_day
        found: Floats = self.rows[min(max(day, 0), len(self.rows) - 1)]
        return found

    def before(self, column: int) -> Floats:
        """One quantity of the trace (``T_...``) as each step finds it."""
        rows = self.trace.column(column)
        found: Floats = np.append(self._at_first(column), rows[:-1])
        return found

    def _at_first(self, column: int) -> float:
        """What the plan began with; where the state is not known, what its first step left."""
        x, p = self.state, self.plant.p
        if x is None:
            return float(self.trace.rows[0, column])
        if column in _TANKS:
            return float(volume_m3(p, x, _TANKS[column]))
        return float(
            {
                at.T_FIRE_ON: x[at.FIRE_ON],
                at.T_HEAT: x[at.HEAT_W] / p[at.FULL_HEAT_W],
                at.T_MEMBRANE_ON: x[at.MEMBRANE_ON],
                at.T_CLEANING: 1.0 if x[at.CLEANING_LEFT_S] > 0.0 else 0.0,
            }[column]
        )

    def goes_on(self, column: int, step: int) -> bool:
        """Tell whether what runs in a step (``T_MEMBRANE_ON``, ``T_FIRE_ON``) did so before it."""
        if step == 0:
            return self.membrane_before if column == at.T_MEMBRANE_ON else self.fire_before
        return bool(self.trace.column(column)[step - 1] > 0.0)

    def time_s(self, step: int) -> int:
        """UTC s at which a step begins."""
        return int(self.trace.begin_s + step * self.trace.step_s)

    def comes_in(self, time_s: int) -> bool:
        """Tell whether somebody comes in just then, after an hour or more with nobody there."""
        step = round((time_s - self.trace.begin_s) / self.trace.step_s)
        return step < self.drive.steps and bool(self._arrivals[step])

    @cached_property
    def _arrivals(self) -> Flags:
        return arrivals(self.drive.calendar, self.trace.step_s)

    def at_minute(self, minute: float) -> int:
        """First step of the day at or after a local clock time; its end if there is none."""
        minutes = self.drive.calendar[self.first : self.last, at.MINUTE]
        later = np.flatnonzero(minutes >= minute)
        return self.first + int(later[0]) if len(later) else self.last

    def at_hand(self, minute: float) -> int:
        """First step of the day at or after a local clock time at which somebody is there.

        On a day without one it is the clock's alone.
        """
        begin = self.at_minute(minute)
        there = np.flatnonzero(self.drive.calendar[begin : self.last, at.PEOPLE] > 0.0)
        return begin + int(there[0]) if len(there) else begin

    def first_where(self, column: int, begin: int, end: int, on: bool = True) -> int | None:
        """First step in a span at whose end a flag of the trace is set (or not)."""
        flags = self.trace.column(column)[begin:end] > 0.0
        found = np.flatnonzero(flags if on else ~flags)
        return begin + int(found[0]) if len(found) else None

    def next_start(self, column: int, begin: int, end: int) -> int | None:
        """First step in a span, not the run's first, in which a flag of the trace goes up."""
        flags = self.trace.column(column)[begin - 1 : end] > 0.0
        found = np.flatnonzero(flags[1:] & ~flags[:-1])
        return begin + int(found[0]) if len(found) else None

    def called(self, column: int, call: int, before: int) -> int | None:
        """First step of the day, before another, in which a full tank starts what stands still.

        Parameters
        ----------
        column : ``T_MEMBRANE_ON`` or ``T_FIRE_ON``
        call : place of its calling level in the plan's row
        before : the step at which it is planned to start
        """
        if self.row[call] <= 0.0:
            return None
        if self.first == 0 and before > 0 and not self.goes_on(column, 0):
            now = self.first_where(column, 0, 1)
            if now is not None:
                return now
        return self.next_start(column, max(self.first, 1), before)
