"""What may happen under a plan, and what is lost by it: reckoned from runs, and said."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from planning_cases import GALLON_M3, demo_plant, gallons, local_s, usual_levels
from sugarwright.planning.beginning import PointTank
from sugarwright.planning.brimful import with_brimful
from sugarwright.planning.changes import HIGHEST_MARK, _gauges
from sugarwright.planning.report import PlanReport, Range, Watch
from sugarwright.planning.runs_dry import Looks, looks_of, runs_dry
from sugarwright.planning.watches import again_s, watches
from sugarwright.planning.yard import yard_of
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.simulate import Drive, run_many
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.saying.plan_parts import expected_text
from sugarwright.saying.plan_watches import watch_text
from sugarwright.saying.plan_words import PlanWords
from told_cases import STANDING, day_of, report_of, utc_s

BEGIN_S = local_s("2015-03-16 00:00")


def _drive(hours: int = 24, weathers: int = 1) -> Drive:
    """Steady air above freezing, no sap to come."""
    plant = demo_plant()
    steps = hours * 3600 // int(plant.step_s)
    calendar = make_calendar(plant.house, BEGIN_S, steps, plant.step_s)
    sap = np.zeros((weathers, hours, len(plant.points), 2))
    return Drive(BEGIN_S, calendar, np.full((weathers, hours), 3.0), sap)


def _nothing(days: int = 1) -> Floats:
    row = np.zeros(at.PLAN_WIDTH)
    row[[at.MEMBRANE_START, at.WASH_AT, at.FIRE_START]] = -1.0
    return np.tile(row, (days, 1))


def _report(**changes: Any) -> PlanReport:
    lost = changes.pop("lost_m3", None)
    day = day_of("2026-03-19 09:00", "2026-03-20 04:00", lost_m3=lost)
    return report_of(day, **changes)


# --- what is lost --------------------------------------------------------------------------------


def test_sap_that_spoils_has_how_much_is_dumped() -> None:
    plant, drive = demo_plant(), _drive()
    old = usual_levels(sap=gallons(100.0, 2.0, 400.0), stock=gallons(0.0))
    ends = run_many(plant, drive, _nothing()[np.newaxis], start_state(plant, old))
    (watch,) = (each for each in watches(plant, drive, ends) if each.what == "sap spoils")
    assert watch.lost_m3 == pytest.approx(100.0 * GALLON_M3, rel=0.02)
    fresh = usual_levels(sap=gallons(100.0, 2.0, 0.0))
    ends = run_many(plant, drive, _nothing()[np.newaxis], start_state(plant, fresh))
    assert all(each.what != "sap spoils" for each in watches(plant, drive, ends))


def test_a_day_that_loses_sap_in_most_weathers_says_so() -> None:
    lost = Range(64 * GALLON_M3, 138 * GALLON_M3, 320 * GALLON_M3)
    report = _report(lost_m3=lost)
    told = expected_text(PlanWords(report), report.days[0])
    assert "138 gal (64 to 320) of sap or concentrate that runs over or spoils" in told
    rare = _report(lost_m3=replace(lost, low=0.0, middle=0.0))
    assert "spoils" not in expected_text(PlanWords(rare), rare.days[0])
    older = _report()
    assert "spoils" not in expected_text(PlanWords(older), older.days[0])


def test_what_spoils_says_how_much() -> None:
    watch = Watch("sap spoils", 0.3, utc_s("2026-03-20 16:00"), None, lost_m3=45 * GALLON_M3)
    said = watch_text(PlanWords(_report()), watch)
    assert said == "sap spoils, or concentrate: 3 in 10, about Friday 12:00; about 45 gal of it"


def test_what_has_spoiled_is_no_chance() -> None:
    report = _report()
    watch = Watch("sap spoils", 1.0, report.begin_s, report.begin_s, lost_m3=45 * GALLON_M3)
    said = watch_text(PlanWords(report), watch)
    assert "it has turned already" in said
    assert "certain" not in said


@pytest.mark.parametrize(
    ("held_gal", "told"), [(425, "sap tank full now"), (415, "sap tank full:")]
)
def test_a_tank_that_is_full_as_the_plan_begins_is_full_now(held_gal: int, told: str) -> None:
    report = _report(standing=replace(STANDING, sap_m3=held_gal * GALLON_M3))
    watch = Watch("sap tank full", 1.0, report.begin_s + 300, report.begin_s + 300)
    assert watch_text(PlanWords(report), watch).startswith(told)


def test_a_tank_that_is_emptied_and_fills_again_has_its_own_hour_and_reason() -> None:
    held = (PointTank("main", 90 * GALLON_M3, 1.9, 90 * GALLON_M3),)
    report = _report(standing=replace(STANDING, gathered=held))
    night_s = report.begin_s + 11 * 3600
    lost_m3 = 35 * GALLON_M3
    watch = Watch(
        "gathering tank full", 0.2, night_s, night_s, "main", lost_m3, why="frost", again=True
    )
    assert watch_text(PlanWords(report), watch) == (
        "main full now, emptied first; full again: 2 in 10, about 16:00: its pump stands "
        "still in the frost; then about 35 gal run over"
    )
    stays = replace(watch, why="", again=False)
    assert watch_text(PlanWords(report), stays) == "main full now; then about 35 gal run over"


BRIMFUL = usual_levels(sap=gallons(425.0, 2.0), stock=gallons(0.0))


def _sap_full(rows: Floats, gal_h: float, first_h: int = 0) -> Watch:
    """Tell of a brimful sap tank, sap running straight into it from an hour on."""
    plant, calm = demo_plant(), _drive()
    sap = calm.sap_kg_s.copy()
    sap[:, first_h:, 0, 0] = gal_h * GALLON_M3 * 1000.0 / 3600.0
    drive, state = replace(calm, sap_kg_s=sap), start_state(plant, BRIMFUL)
    runs = run_many(plant, drive, rows[np.newaxis], state)
    found, yard = watches(plant, drive, runs), yard_of(plant, drive, rows, state)
    told = with_brimful(found, plant, drive, rows, state, runs, yard)
    (watch,) = (each for each in told if each.what == "sap tank full")
    return watch


def test_a_full_tank_that_nobody_empties_runs_over_and_is_not_full_again() -> None:
    watch = _sap_full(_nothing(), gal_h=2.0)
    assert not watch.again
    assert watch.lost_m3 == pytest.approx(24 * 2.0 * GALLON_M3, rel=0.05)
    report = _report(standing=replace(STANDING, sap_m3=425 * GALLON_M3))
    assert watch_text(PlanWords(report), watch) == "sap tank full now; then about 48 gal run over"


def test_a_full_tank_that_is_emptied_first_has_the_hour_at_which_it_is_full_again() -> None:
    rows = _nothing()
    rows[:, at.MEMBRANE_START], rows[:, at.MEMBRANE_STOP] = 360.0, 420.0  # 06:00 to 07:00
    rows[:, at.MEMBRANE_FLOW_M3_S] = 3e-5
    watch = _sap_full(rows, gal_h=40.0, first_h=9)
    assert watch.again
    assert 9.5 < _hour(watch) < 14.0
    assert watch.lost_m3 is None


def test_a_tank_that_hardly_falls_is_not_emptied() -> None:
    held = np.full((1, 6), 1.0)
    assert again_s(held, 1.0, 300.0) == [-1.0]
    assert again_s(np.array([[1.0, 0.96, 1.0]]), 1.0, 300.0) == [-1.0]  # hardly less
    assert again_s(np.array([[1.0, 0.5, 0.9, 1.0, 1.0]]), 1.0, 300.0) == [1200.0]


# --- what runs dry -------------------------------------------------------------------------------

EVENING_H = 17  # people from then till 22:00
BURNING = Levels(
    gallons(100.0, 2.0), gallons(100.0, 6.0), gallons(60.0, 0.0), pan_brix=20.0, fire_on=True
)
REST = Levels(gallons(100.0, 2.0), gallons(20.0, 6.0), gallons(0.0, 0.0))


def _evening(*levels: Levels, hours: int = 30, **row: float) -> Looks:
    """Looks at a plan's runs from 17:00 on, each weather from levels of its own."""
    plant, whole = demo_plant(), _drive(hours + EVENING_H, len(levels))
    first = EVENING_H * 3600 // int(plant.step_s)
    steps = hours * 3600 // int(plant.step_s)
    begin_s = BEGIN_S + EVENING_H * 3600
    calendar = make_calendar(plant.house, begin_s, steps, plant.step_s)
    drive = Drive(begin_s, calendar, whole.air_c[:, :hours], whole.sap_kg_s[:, :hours])
    assert len(whole.calendar) == first + steps
    rows = _nothing(2)
    for name, value in row.items():
        rows[0, getattr(at, name)] = value
    return looks_of(plant, drive, rows, np.stack([start_state(plant, each) for each in levels]))


def _hour(watch: Watch) -> float:
    """Of the Monday, in local time."""
    assert watch.time_s is not None
    return (watch.time_s - BEGIN_S) / 3600.0


def test_a_hot_pan_short_of_feed_has_its_hour_however_rare() -> None:
    short = replace(BURNING, stock=gallons(2.0, 6.0))
    looks = _evening(short, *[BURNING] * 24, FIRE_START=1020.0, FIRE_STOP=1080.0)
    (watch,) = (each for each in runs_dry(looks, None, None) if each.what == "pan short of feed")
    assert watch.probability == pytest.approx(0.04)
    assert 17.0 < _hour(watch) <= 18.0
    fed = _evening(*[BURNING] * 2, FIRE_START=1020.0, FIRE_STOP=1080.0)
    assert not runs_dry(fed, None, None)


def _fires(*stock_gal: float) -> tuple[Watch, ...]:
    """Fires from 17:00 on with so much stock, of which the first is as the forecast has it."""
    levels = [replace(BURNING, stock=gallons(each, 6.0)) for each in stock_gal]
    looks = _evening(*levels, FIRE_START=1020.0, FIRE_STOP=1260.0)
    burns = looks.states[0, :, at.FIRE_ON] > 0.0
    out_s = float(looks.steps[np.argmin(burns)] * looks.plant.step_s)
    assert out_s > 2 * 3600.0
    return runs_dry(looks, 0.0, out_s)


def test_feed_that_is_down_long_before_the_planned_end_is_told_where_that_is_a_real_risk() -> None:
    (watch,) = _fires(130.0, 130.0, 130.0, 45.0, 45.0)
    assert (watch.what, watch.probability) == ("feed down early", 0.4)
    assert 17.0 < _hour(watch) < 20.0
    assert not _fires(*[130.0] * 9, 45.0)  # one in ten
    assert not _fires(130.0, 120.0, 120.0)  # hardly earlier


def test_permeate_that_is_short_for_rinse_and_wash_has_its_hour() -> None:
    run = {"MEMBRANE_START": 1260.0, "MEMBRANE_STOP": 1440.0, "MEMBRANE_FLOW_M3_S": 1e-5}
    (rinse,) = runs_dry(_evening(REST, **run), None, None)
    assert rinse.what == "permeate short for rinse"
    assert _hour(rinse) == 22.0  # the first look after it is stopped at 21:40
    enough = replace(REST, permeate=gallons(60.0, 0.0))
    assert not runs_dry(_evening(enough, **run), None, None)
    due = replace(REST, permeate=gallons(30.0, 0.0), run_since_wash_s=40000.0)
    wash = {"WASH_AT": 1140.0, "WASH_AFTER_S": 10800.0}
    (short,) = runs_dry(_evening(due, **wash), None, None)
    assert short.what == "permeate short for wash"
    assert _hour(short) == 19.0
    for fine in (
        replace(due, permeate=gallons(100.0, 0.0)),
        replace(due, run_since_wash_s=3600.0),
    ):
        assert not runs_dry(_evening(fine, **wash), None, None)


def test_what_runs_dry_is_said_with_chance_and_hour() -> None:
    at_s = utc_s("2026-03-20 01:00")
    words = PlanWords(_report())
    said = watch_text(words, Watch("permeate short for wash", 0.8, at_s, at_s))
    assert said == ("too little permeate for the membrane's wash: 8 in 10, about 21:00")
    said = watch_text(words, Watch("pan short of feed", 0.02, at_s, at_s))
    assert said == "hot pan short of feed: less than 1 in 10, about 21:00"


# --- marks ---------------------------------------------------------------------------------------


def test_no_mark_lies_at_the_brim() -> None:
    plant = demo_plant()
    rim_m3, rim_gal = plant.p[at.SAP_CAPACITY_M3], plant.p[at.SAP_CAPACITY_M3] / GALLON_M3
    held = [Levels(gallons(g, 2.0), gallons(60.0, 5.0), gallons(50.0, 0.0))
            for g in np.linspace(0.7 * rim_gal, rim_gal, 8)]  # fmt: skip
    states = np.stack([start_state(plant, each) for each in held])
    planned: Any = SimpleNamespace(plant=plant, checked=SimpleNamespace(cuts=[0, 288]))
    sample: Any = SimpleNamespace(drive=_drive(weathers=8))
    stands: Any = SimpleNamespace(states=states[np.newaxis])
    sap = next(each for each in _gauges(planned, sample, stands, 12, 0) if each.what == "sap")
    assert len(sap.marks) > 3
    assert sap.marks.max() <= HIGHEST_MARK * rim_m3
    assert sap.values.max() == pytest.approx(rim_m3)
