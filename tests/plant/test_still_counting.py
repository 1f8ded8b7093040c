"""What of yesterday's row of a plan still counts after midnight."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from plant_houses import GALLON_M3, house, made_drive
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import assemble
from sugarwright.plant.plan_clock import still_counting
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import run_many
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.plant.tank_kernel import Floats

COUNTING = {
    at.MEMBRANE_START, at.MEMBRANE_STOP, at.MEMBRANE_FLOW_M3_S, at.NIGHT_FLOW_M3_S,
    at.FIRE_START, at.FIRE_STOP,
}  # fmt: skip
VALUES = {
    at.MEMBRANE_START: (-1.0, 400.0, 1300.0),
    at.MEMBRANE_STOP: (60.0, 200.0, 1400.0),
    at.FIRE_START: (-1.0, 300.0, 1200.0),
    at.FIRE_STOP: (90.0, 180.0, 1430.0),
    at.MEMBRANE_FLOW_M3_S: (1e-5, 2e-5),
    at.NIGHT_FLOW_M3_S: (0.0, 1.2e-5, 2.2e-5),
}


def a_row(source: np.random.Generator) -> Floats:
    row = np.zeros(at.PLAN_WIDTH)
    for column in range(at.PLAN_WIDTH):
        row[column] = source.choice(VALUES.get(column, (0.0, 0.05, 0.5, 5.0, 300.0)))
    return row


def test_rows_alike_in_what_still_counts_make_no_difference_to_the_day_after() -> None:
    all_day = ((0, 1440),)
    described = house()
    assert described.membrane is not None
    described = replace(
        described,
        people=tuple(
            replace(each, weekdays=all_day, weekends=all_day) for each in described.people
        ),
        membrane=replace(described.membrane, unattended=True, low_flow_cutout=True,
                         full_tank_cutout=True, frost_cutout=True),
    )  # fmt: skip
    plant = assemble(described)
    drive = made_drive(plant, 5, 2, 2)
    levels = Levels(
        sap=Contents(200 * GALLON_M3), stock=Contents(90 * GALLON_M3, 5.0), pan_brix=20.0,
        permeate=Contents(100 * GALLON_M3), membrane_on=True, fire_on=True,
    )  # fmt: skip
    state, (first, last) = start_state(plant, levels), day_cuts(drive)[1:3]
    source = np.random.default_rng(11)
    mattered = set()
    for _ in range(60):
        usual = np.stack([a_row(source), a_row(source)])
        plans = np.repeat(usual[np.newaxis], 1 + at.PLAN_WIDTH, axis=0)
        for column in range(at.PLAN_WIDTH):
            plans[1 + column, 0, column] = a_row(source)[column]
        runs = run_many(plant, drive, plans, state, last=last, first=first)
        counts = still_counting(plans[:, 0])
        for column in range(at.PLAN_WIDTH):
            same = np.array_equal(runs.states[0], runs.states[1 + column])
            same &= np.array_equal(runs.totals[0], runs.totals[1 + column])
            if not same:
                mattered.add(column)
                assert not np.array_equal(counts[0], counts[1 + column])
    assert mattered == COUNTING
