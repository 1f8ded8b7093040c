"""What must hold of the twin whatever is logged."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from invented_house import spring
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.planning.choices import habit_rows
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.drive import make_drive
from sugarwright.plant.state import Contents, Levels, start_state
from sugarwright.twin.advance import advance
from sugarwright.twin.air import Air
from sugarwright.twin.contents import tanks_of, volumes_m3
from sugarwright.twin.ensemble import Ground, begin_from, step_of
from sugarwright.twin.keep import from_bytes, to_bytes
from sugarwright.twin.spreads import GROWTH_LOG, Spreads
from sugarwright.twin.told import in_order
from sugarwright.twin.track import Track, follow
from twin_replay import differences, told_run

LEVELS = Levels(
    sap=Contents(0.4, 2.1, 3600.0),
    stock=Contents(0.1, 8.0, 7200.0),
    permeate=Contents(0.5, 0.02),
    pan_brix=10.0,
)
BEGIN_S = int((datetime(2015, 3, 13, 4, tzinfo=UTC)).timestamp())
HOUR_S, DAY_S = 3600, 86400


@cache
def house() -> tuple[Plant, int, np.ndarray]:
    days = spring(20)
    return assemble(days.house), days.first_hour_s, np.atleast_2d(days.air_c)


def ground(members: int, spreads: Spreads | None = None) -> Ground:
    plant, first_s, air_c = house()
    air = Air(first_s, np.tile(air_c, (members, 1)), "Whately", BEGIN_S + 5 * 86400)
    return Ground(plant, air, None, spreads or Spreads(), members=members)


def test_told_deeds_without_noise_give_the_simulators_own_state() -> None:
    """The simulator runs a house by its habit; the twin is told what happened, and when.

    A fire that a gauge lets go inside a step is told at the step's end: the pan boils up to five
    minutes longer, which is 7 kg of its feed. What no gauge touches is the same.
    """
    plant, first_s, air_c = house()
    end_s = BEGIN_S + 3 * 86400
    drive = make_drive(plant, first_s, air_c, BEGIN_S, end_s)
    state = start_state(plant, LEVELS)
    entries, x, y = told_run(plant, drive, habit_rows(plant, 5), state)
    assert {"membrane_on", "membrane_off", "fire_lit", "fire_out", "rinse"} <= {
        each.kind for each in entries
    }
    still = ground(1, Spreads.none())
    track = Track(begin_from(still, BEGIN_S, LEVELS))
    track = follow(still, track, in_order(entries, end_s))
    advance(still, track.ensemble, step_of(end_s))
    assert differences(track.ensemble.x[0], x, (at.SAP, at.PERMEATE)) < 0.05
    assert differences(track.ensemble.x[0], x, (at.SAP, at.STOCK, at.PERMEATE)) < 7.0
    drawn_kg = track.ensemble.drawn_kg[0].sum()
    one_draw_kg = 1.01 * plant.p[at.DRAW_KG]
    syrup_kg = y[at.SYRUP_WATER_KG] + y[at.SYRUP_SUGAR_KG]
    assert drawn_kg == pytest.approx(syrup_kg, abs=one_draw_kg)


KINDS = st.sampled_from(
    [
        *("membrane_on", "membrane_off", "rinse", "wash", "fire_lit", "stoke", "fire_out", "draw"),
        *("dump", "spill", "transfer", "sap_bought", "sap_sold", "gather", "reading"),
    ]
)
PLACES = st.sampled_from(["sap", "stock", "permeate", "pan"])


@st.composite
def entries(draw: st.DrawFn) -> list[Entry]:
    found = []
    for n in range(draw(st.integers(1, 8))):
        at_s = float(BEGIN_S + draw(st.integers(0, 24)) * HOUR_S)
        kind = draw(KINDS)
        measures = []
        if draw(st.booleans()):
            measures.append(Measure("volume", draw(st.floats(0.0, 4.0))))
        if kind == "reading" and draw(st.booleans()):
            measures.append(Measure("brix", draw(st.floats(0.0, 30.0))))
        found.append(
            Entry(
                *(f"{kind}{n}", kind, at_s, at_s),
                place=draw(PLACES),
                to_place=draw(PLACES),
                measures=tuple(measures),
            )
        )
    return found


@settings(max_examples=10, deadline=None)
@given(entries())
def test_no_tank_is_below_empty_or_above_its_rim(told: list[Entry]) -> None:
    some = ground(12)
    track = follow(some, Track(begin_from(some, BEGIN_S, LEVELS)), in_order(told, np.inf))
    advance(some, track.ensemble, step_of(BEGIN_S + 30 * HOUR_S))
    x = track.ensemble.x
    assert np.isfinite(x).all()
    for tank, rim_m3 in tanks_of(some.plant).values():
        held = volumes_m3(some.plant, x, tank)
        assert (x[:, tank : tank + 2] >= 0.0).all()
        assert (held <= rim_m3 * (1.0 + 1e-6)).all()
    assert (x[:, at.PAN_SUGAR : at.PAN_SUGAR + at.MAX_COMPARTMENTS] >= 0.0).all()
    assert ((x[:, at.CONDITION] > 0.0) & (x[:, at.CONDITION] <= 1.0)).all()


def readings() -> list[Entry]:
    def entry(kind: str, hour: float, place: str, *measures: Measure) -> Entry:
        at_s = BEGIN_S + hour * HOUR_S
        return Entry(f"{kind} {hour}", kind, at_s, at_s, place=place, measures=measures)

    return [
        entry("reading", 5.0, "sap", Measure("volume", 0.42)),
        entry("membrane_on", 6.0, "membrane", Measure("concentrate_flow", 1.6e-5)),
        entry("membrane_off", 9.0, "membrane"),
        entry("reading", 9.5, "stock", Measure("volume", 0.17), Measure("brix", 8.0)),
        entry("reading", 20.0, "sap", Measure("volume", 9.0)),  # cannot be: stays open
        entry("fire_lit", 21.0, "pan"),
    ]


def test_going_on_from_a_kept_state_is_going_straight_through() -> None:
    """What is kept leaves nothing out: the numbers are the same to the last digit."""
    some = ground(16)
    told = in_order(readings(), np.inf)
    straight = follow(some, Track(begin_from(some, BEGIN_S, LEVELS)), told)
    track = follow(some, Track(begin_from(some, BEGIN_S, LEVELS)), told[:3])
    again = from_bytes(to_bytes(track, "mark", told, some.air.told), "mark", told, some.air.told)
    assert again is not None
    again = follow(some, again, told)
    assert (again.ensemble.x == straight.ensemble.x).all()
    assert (again.ensemble.traits == straight.ensemble.traits).all()
    assert again.doubts == straight.doubts
    assert again.seen == straight.seen


def test_a_state_of_other_entries_is_no_state() -> None:
    some = ground(4)
    told = in_order(readings(), np.inf)
    track = follow(some, Track(begin_from(some, BEGIN_S, LEVELS)), told[:3])
    air = some.air.told
    blob = to_bytes(track, "mark", told, air)
    late = Entry("late", "rinse", BEGIN_S + 1.0, BEGIN_S + 9e4, place="membrane")
    assert from_bytes(blob, "mark", in_order([*told, late], np.inf), air) is None
    assert from_bytes(blob, "another house", told, air) is None
    assert from_bytes(blob[:-40], "mark", told, air) is None
    assert from_bytes(blob, "mark", [*told[:3], late], air) is not None


def test_sap_ages_in_each_member_at_a_pace_of_its_own_that_readings_leave_alone() -> None:
    # One thing alone is unsure, and sap waits a day at what the air was.
    spreads = replace(Spreads.none(), growth_log=0.3)
    here = ground(200, spreads)
    told = [
        Entry("a", "reading", BEGIN_S + 60.0, BEGIN_S + 60.0, place="sap",
              measures=(Measure("volume", 0.4, 0.004),)),
        Entry("b", "reading", BEGIN_S + DAY_S, BEGIN_S + DAY_S, place="sap",
              measures=(Measure("volume", 0.41, 0.004), Measure("brix", 2.0, 0.1))),
    ]  # fmt: skip
    start = begin_from(here, BEGIN_S, LEVELS)
    pace_log = start.traits[:, GROWTH_LOG].copy()
    old_ln = np.log(start.x[:, at.SAP + at.CELLS])
    ensemble = follow(here, Track(start), in_order(told, np.inf)).ensemble
    assert (ensemble.traits[:, GROWTH_LOG] == pace_log).all()
    grown = np.log(ensemble.x[:, at.SAP + at.CELLS]) - old_ln
    assert np.std(pace_log) == pytest.approx(0.3, rel=0.15)
    # Cells grow as exp(rate time): their logarithms differ as the paces do.
    assert np.corrcoef(np.log(grown), pace_log)[0, 1] > 0.99
