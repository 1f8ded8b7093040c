"""Tomorrow's plan, made tonight: what today goes on by, and how the house will stand by then."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sugarwright.errors import InputError
from sugarwright.planning.action import Action
from sugarwright.planning.choices import NOT, STARTS, habit_rows
from sugarwright.planning.forced import Settled
from sugarwright.planning.outlook import spread
from sugarwright.planning.planned import ASKED_BY_SIZE, CHOSEN, Planned
from sugarwright.planning.report import Morning, Range
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.calendar import Flags
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import Drive, simulate
from sugarwright.plant.tank_kernel import Floats, mixed_m3

LEAST_MONEY = 1.0


def today_by(row: Floats) -> Settled:
    """Let today go by a row of ``PLAN_WIDTH``; the days after are searched."""

    def force(plans: Floats) -> Floats:
        plans = plans.copy()
        plans[:, 0] = row
        return plans

    return Settled(force, frozenset((0, column) for column in STARTS + ASKED_BY_SIZE))


def worth_rigging(plant: Plant, drive: Drive, state: Floats, settled: Settled) -> Settled:
    """Leave out of a settled today a membrane that runs for less time than it takes to rig.

    Nobody starts, stops and rinses it in the last minutes of an evening for that; so tomorrow's
    morning is reckoned without it as well.

    Parameters
    ----------
    plant, drive, state : the house, the forecast's drive, and how it stands now
    settled : by which today goes on
    """
    p, cuts = plant.p, day_cuts(drive)
    rows = settled.force(habit_rows(plant, len(cuts) - 1)[np.newaxis])[0]
    least_s = p[at.START_HANDS_S] + p[at.STOP_HANDS_S] + p[at.RINSE_S]
    column = simulate(plant, drive, rows, state).column(at.T_MEMBRANE_ON)
    steps = _begun_steps(column > 0.0, cuts[1])
    if state[at.MEMBRANE_ON] > 0.0 or not steps or max(steps) * plant.step_s >= least_s:
        return settled
    row = rows[0].copy()
    row[at.MEMBRANE_START], row[at.MEMBRANE_CALL_M3] = NOT, 0.0
    return today_by(row)


def _begun_steps(on: Flags, last: int) -> list[int]:
    """For how many steps each run goes on that begins before a step."""
    edges = np.diff(np.concatenate([[0], on.astype(np.int64), [0]]))
    starts, ends = np.flatnonzero(edges > 0), np.flatnonzero(edges < 0)
    return [int(end - begin) for begin, end in zip(starts, ends, strict=True) if begin < last]


def first_look(planned: Planned) -> int:
    """First step of tomorrow at which somebody is there; its first one where nobody is.

    Raises
    ------
    InputError : the plan ends today
    """
    cuts = planned.checked.cuts
    if len(cuts) < 3:
        raise InputError("--for", "tomorrow", "lies beyond the hours of the plan", "--hours 36")
    there = planned.weathers.forecast.calendar[cuts[1] : cuts[2], at.PEOPLE] > 0.0
    return cuts[1] + int(np.argmax(there))


def morning_of(planned: Planned, carried_out: str) -> Morning:
    """Tell how the tanks will stand at the first look of tomorrow.

    Parameters
    ----------
    planned : a plan in which today is settled
    carried_out : by what: "before" or "habit"
    """
    step, drive = first_look(planned), planned.weathers.checked
    states = planned.checked.at_step(step).states[0]
    sap, stock, permeate = (_tank(planned, states, x) for x in (at.SAP, at.STOCK, at.PERMEATE))
    return Morning(
        int(drive.begin_s + step * planned.plant.step_s), carried_out,
        sap[0], sap[1], stock[0], stock[1], permeate[0],
    )  # fmt: skip


def tonight(actions: Sequence[Action]) -> tuple[Action, ...]:
    """Return what of today's actions is still asked for in a plan for tomorrow.

    Only what comes to pass by the forecast: today is settled, and nothing waits for a gauge that
    is not met. Of the membrane also only what is worth a dollar: nobody rigs it late for less.
    """
    return tuple(each for each in actions if _is_still_done(each))


def _is_still_done(action: Action) -> bool:
    if action.expected_s is None and (action.kind in CHOSEN or action.kind.endswith("at need")):
        return False
    of_membrane = action.kind in ("membrane on", "wash the membrane")
    return not of_membrane or action.reason is None or action.reason.money >= LEAST_MONEY


def _tank(planned: Planned, states: Floats, tank: int) -> tuple[Range, Range]:
    """What a tank holds and how strong that is, over the weathers."""
    water, sugar = states[:, tank + at.WATER], states[:, tank + at.SUGAR]
    brix = 100.0 * sugar / np.maximum(water + sugar, 1e-9)
    volume = mixed_m3(planned.plant.p, water, sugar)
    return spread(volume), spread(np.where(water + sugar > 1.0, brix, 0.0))
