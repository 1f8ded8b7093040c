"""What a run has asked of its row: rows that answer alike end alike, to the last digit."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, note, settings
from hypothesis import strategies as st
from hypothesis.strategies import DataObject

from plant_houses import (
    GALLON_M3,
    drive_of,
    fetched_point,
    habit,
    house,
    made_drive,
    plant,
    plants,
    silly_plans,
)
from sugarwright.plant import layout as at
from sugarwright.plant.alike import KnownRuns
from sugarwright.plant.asked import nothing_asked, reached, read, stands_for, turns
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.plan_clock import goes_past_midnight
from sugarwright.plant.season import day_cuts
from sugarwright.plant.simulate import Drive, run_each, run_many
from sugarwright.plant.state import Contents, Levels, start_state, start_totals
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HourlyWeather

FULL = Levels(
    sap=Contents(250 * GALLON_M3), stock=Contents(90 * GALLON_M3, 6.0),
    permeate=Contents(150 * GALLON_M3), pan_brix=20.0,
)  # fmt: skip


def a_row(**entries: float) -> Floats:
    """A row of fives but for some entries."""
    row = np.full(at.PLAN_WIDTH, 5.0)
    for name, value in entries.items():
        row[getattr(at, name)] = value
    return row


def test_a_level_tells_two_sides_of_an_entry() -> None:
    asked, row = nothing_asked(), a_row(FIRE_START=10.0)
    assert stands_for(asked, a_row(FIRE_START=-1.0, WASH_AT=99.0))
    assert not reached(asked, row, at.FIRE_START, 9.0)
    assert reached(asked, row, at.FIRE_START, 12.0)
    sides = {
        value: stands_for(asked, a_row(FIRE_START=value)) for value in (8.0, 9.0, 9.5, 12.0, 13.0)
    }
    assert sides == {8.0: False, 9.0: False, 9.5: True, 12.0: True, 13.0: False}
    assert stands_for(asked, a_row(FIRE_START=11.0, WASH_AT=math.inf))


def test_what_is_read_must_be_the_same() -> None:
    asked, row = nothing_asked(), a_row()
    assert read(asked, row, at.NIGHT_FLOW_M3_S) == 5.0
    assert not reached(asked, row, at.NIGHT_FLOW_M3_S, 4.0)
    assert reached(asked, row, at.NIGHT_FLOW_M3_S, 6.0)
    assert stands_for(asked, row)
    assert not stands_for(asked, a_row(NIGHT_FLOW_M3_S=math.nextafter(5.0, 9.0)))


@pytest.mark.parametrize("level", [3.0, 5.0 - 1e-9, 5.0, 5.0 + 1e-9, 7.0])
def test_so_near_to_a_level_rounding_may_tell(level: float) -> None:
    asked = nothing_asked()
    turns(asked, a_row(), at.FIRE_STOP, level)
    near = abs(level - 5.0) < 1e-6
    assert stands_for(asked, a_row(FIRE_STOP=5.1 if level < 5.0 else 4.9)) is not near
    assert not stands_for(asked, a_row(FIRE_STOP=level + 1e-7 if level < 5.0 else level - 1e-7))
    assert stands_for(asked, a_row())


def half_full(plant: Plant, membrane_on: bool, pan_brix: float) -> Levels:
    """All tanks more than half full."""
    p, has_membrane = plant.p, plant.house.membrane is not None
    return Levels(
        sap=Contents(0.7 * p[at.SAP_CAPACITY_M3]),
        stock=Contents(0.6 * p[at.STOCK_CAPACITY_M3] if has_membrane else 0.0, 6.0),
        permeate=Contents(0.8 * p[at.PERMEATE_CAPACITY_M3] if has_membrane else 0.0),
        membrane_on=membrane_on and has_membrane,
        pan_brix=pan_brix,
    )


def of_one_day(
    plant: Plant, drive: Drive, plans: Floats, state: Floats, day: int
) -> tuple[Floats, Floats]:
    """Which of the plans each ends as, and how each ends when it is run by itself.

    Parameters
    ----------
    plant, drive, plans, state : the house, one weather, plans alike but for the day's row
    day : which
    """
    first, last = day_cuts(drive)[day : day + 2]
    runs = np.stack([np.arange(len(plans)), np.zeros(len(plans), dtype=np.int64)], axis=1)
    states = np.repeat(state[np.newaxis], len(plans), axis=0)
    totals = np.repeat(start_totals()[np.newaxis], len(plans), axis=0)
    keys = (goes_past_midnight(plans[:, day]) @ [1.0, 2.0]).astype(np.int64)
    alike = KnownRuns().with_more(keys)
    run_each(plant, drive, plans, runs, states, totals, first, last, alike, 1)
    alone = run_many(plant, drive, plans, state, 1, last, first=first)
    ends = np.concatenate([alone.states[:, 0], alone.totals[:, 0]], axis=1)
    shared = np.concatenate([states, totals], axis=1)[alike[-1]]
    assert np.array_equal(shared, ends)
    return alike[-1], ends


@settings(max_examples=40)
@given(st.data())
def test_any_plan_of_any_house_ends_as_the_run_that_stands_for_it(data: DataObject) -> None:
    used = data.draw(plants())
    base, other = data.draw(silly_plans(2)), data.draw(silly_plans(2))
    days = max(len(base), len(other))
    drive = made_drive(used, data.draw(st.integers(0, 1000)), days)
    day = data.draw(st.integers(0, days - 1))
    rows = np.stack([np.resize(each, (days, at.PLAN_WIDTH)) for each in (base, other)])
    plans = np.repeat(rows[:1], 3 * at.PLAN_WIDTH, axis=0)
    for entry in range(at.PLAN_WIDTH):
        near = rows[0, day, entry] * data.draw(st.sampled_from([0.9, 1.1, 2.0]))
        plans[entry, day, entry] = near
        plans[at.PLAN_WIDTH + entry, day, : entry + 1] = rows[1, day, : entry + 1]
        plans[2 * at.PLAN_WIDTH + entry, day, entry] = rows[1, day, entry]
    levels = half_full(
        used, data.draw(st.booleans()), pan_brix=data.draw(st.sampled_from([0.0, 20.0]))
    )
    ends_as, _ = of_one_day(used, drive, plans, start_state(used, levels), day)
    note(f"{len(set(ends_as.tolist()))} of {len(plans)} were run")


VALUES = {
    at.MEMBRANE_START: (-1.0, 400.0, 1000.0, 1300.0),
    at.MEMBRANE_STOP: (-1.0, 60.0, 200.0, 800.0, 1400.0),
    at.MEMBRANE_SAP_M3: (0.0, 0.5, 1.0),
    at.MEMBRANE_FLOW_M3_S: (1e-5, 2e-5),
    at.NIGHT_FLOW_M3_S: (0.0, 1.2e-5, 2.2e-5),
    at.CALL_FLOW_M3_S: (0.0, 1.5e-5, 2.5e-5),
    at.WASH_AT: (-1.0, 300.0, 720.0, 1200.0),
    at.WASH_AFTER_S: (0.0, 45_000.0, 90_000.0),
    at.FIRE_START: (-1.0, 300.0, 800.0, 1200.0),
    at.FIRE_STOCK_M3: (0.0, 0.25, 0.4),
    at.FIRE_STOP: (-1.0, 90.0, 180.0, 1000.0, 1430.0),
    at.MEMBRANE_CALL_M3: (0.0, 0.6, 1.2),
    at.FIRE_CALL_M3: (0.0, 0.3, 0.5),
    at.PASS_AGAIN_BRIX: (0.0, 8.0, 20.0),
    at.GATHER_START: (-1.0, 0.0, 500.0, 1100.0),
}


@pytest.mark.parametrize("seed", range(4))
def test_no_entry_that_counts_goes_unasked(seed: int) -> None:
    day, source = seed % 2, np.random.default_rng(seed)
    described, always = house(), ((0, 1440),)
    assert described.membrane is not None
    people = tuple(replace(each, weekdays=always, weekends=always) for each in described.people)
    alone = replace(
        described.membrane, unattended=True, passes_again=True, low_flow_cutout=True,
        full_tank_cutout=True, frost_cutout=True,
    )  # fmt: skip
    gathering = (*described.gathering, fetched_point())
    used = assemble(replace(described, people=people, membrane=alone, gathering=gathering))
    drive = made_drive(used, seed, 2)
    pails = (Contents(), Contents(80 * GALLON_M3))
    levels = replace(
        FULL,
        gathered=pails,
        run_since_wash_s=50_000.0,
        membrane_on=bool(seed > 1),
        fire_on=seed > 1,
    )
    mattered, shared = set(), 0
    for _ in range(40):
        usual = np.stack([[source.choice(VALUES[k]) for k in range(at.PLAN_WIDTH)]] * 2)
        usual[0] = [source.choice(VALUES[k]) for k in range(at.PLAN_WIDTH)]
        changes = [(k, value) for k in VALUES for value in VALUES[k] if value != usual[day, k]]
        plans = np.repeat(usual[np.newaxis], 1 + len(changes), axis=0)
        for n, (entry, value) in enumerate(changes):
            plans[1 + n, day, entry] = value
        ends_as, ends = of_one_day(used, drive, plans, start_state(used, levels), day)
        shared += len(plans) - len(set(ends_as.tolist()))
        mattered |= {
            entry
            for n, (entry, _) in enumerate(changes)
            if not np.array_equal(ends[0], ends[1 + n])
        }
    assert mattered == set(VALUES)
    assert shared > 40


def test_only_what_counted_is_run_anew(whately_2015: HourlyWeather) -> None:
    used = plant()
    drive = drive_of(used, whately_2015, used.house.trees.tapped, 2)
    usual = habit(used, 2)
    hours = [6.0 * 60, 12.0 * 60, 15.0 * 60, 17.0 * 60, 19.0 * 60]
    plans = np.repeat(usual[np.newaxis], len(hours), axis=0)
    plans[:, 0, at.FIRE_START] = hours
    plans[:, 0, at.FIRE_STOCK_M3] = 80 * GALLON_M3
    state = start_state(used, Levels(stock=Contents(20 * GALLON_M3, 6.0), pan_brix=20.0))
    ends_as, ends = of_one_day(used, drive, plans, state, 0)
    assert set(ends_as.tolist()) == {0}  # never 80 gallons: whatever the hour
    state = start_state(used, FULL)
    ends_as, ends = of_one_day(used, drive, plans, state, 0)
    assert len({end.tobytes() for end in ends}) > 1
    assert len(set(ends_as.tolist())) == len({end.tobytes() for end in ends})
