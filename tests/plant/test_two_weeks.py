"""Two real weeks, planned day by day as a maker would, and lived through in the true weather.

The demo's invented house stands at the field station of Whately, Massachusetts (hours of 2015, see
tests/data/README.md). Each morning it plans two days from readings and a forecast that errs as
forecasts do (one member of the ensemble about the truth); the plan then runs in the true weather to
the next morning. Searches are small: what must hold of a plan must hold of a poor one too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest

from planning_cases import (
    CORD_M3,
    GALLON_M3,
    Worked,
    demo_plant,
    forecast_from,
    gallons,
    local_s,
    quick,
    readings,
    recording,
)
from sugarwright.cli.plan_text import plan_lines
from sugarwright.plant import layout as at
from sugarwright.plant.calendar import make_calendar
from sugarwright.plant.drive import make_drive
from sugarwright.plant.simulate import Drive, Trace, simulate
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.ensemble import perturb
from sugarwright.weather.hours import HOUR_S, HourlyWeather

FIRST_DAY, DAYS, HOURS = 13, 14, 48  # of March: runs, a cold spell, runs
DAY_STEPS = 288


@dataclass(frozen=True)
class Lived:
    """A morning's readings, its plan, and what then happened until the next."""

    levels: Levels
    worked: Worked
    start: Floats
    drive: Drive
    trace: Trace


@pytest.fixture(scope="module")
def weeks(whately_2015: HourlyWeather) -> Iterator[list[Lived]]:
    """Plan and live two weeks."""
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        plan = recording(patch)
        plant, lived = demo_plant(), []
        levels = Levels(permeate=gallons(80, 0.0), wood_m3=4 * CORD_M3)
        for day in range(FIRST_DAY, FIRST_DAY + DAYS):
            now_s = local_s(f"2015-03-{day} 05:00")
            known = forecast_from(whately_2015, now_s, HOURS)
            erring = perturb(known, 4, seed=7, issued_s=now_s)[day % 4]
            forecast = replace(known, temperature_c=erring, issued_s=now_s)
            worked = plan(plant, forecast, levels, now_s, HOURS)
            end_s = now_s + HOURS * HOUR_S
            truth = make_drive(plant, known.first_s, known.temperature_c[np.newaxis], now_s, end_s)
            start = start_state(plant, levels)
            trace = simulate(plant, truth, worked.rows, start, last=DAY_STEPS)
            lived.append(Lived(levels, worked, start, truth, trace))
            levels = readings(plant, trace.state)
        yield lived


def _there(times_s: list[int]) -> list[bool]:
    """Whether somebody is there at each instant (their hours, from the house's file)."""
    found = []
    for time_s in times_s:
        hour_s = time_s // HOUR_S * HOUR_S
        calendar = make_calendar(demo_plant().house, hour_s, 12, 300.0)
        found.append(bool(calendar[(time_s - hour_s) // 300, at.PEOPLE] > 0.0))
    return found


FIRES = ("light the fire", "light the fire again", "fire at need", "keep the fire")


def _begins(flags: Floats) -> list[int]:
    """Steps in which a flag goes up; what runs in the first one may have run before."""
    return [int(step) + 1 for step in np.flatnonzero((flags[1:] > 0.0) & (flags[:-1] <= 0.0))]


def test_these_weeks_have_runs_and_boils(weeks: list[Lived]) -> None:
    sap_m3 = sum(day.trace.totals[at.SAP_WATER_KG] for day in weeks) / 1000.0
    assert sap_m3 > 3.0  # else nothing below is tested
    assert sum(day.trace.totals[at.LIGHT_UPS] for day in weeks) >= 4
    assert sum(day.trace.totals[at.MEMBRANE_STARTS] for day in weeks) >= 4


def test_nothing_is_asked_of_people_who_are_not_there(weeks: list[Lived]) -> None:
    for day in weeks:
        report = day.worked.report
        actions = [action for each in report.days for action in each.actions]
        times = [action.time_s for action in actions]
        absent = [a for a, there in zip(actions, _there(times), strict=True) if not there]
        # "nobody free" is said so that it is known before the fire is lit: it asks nobody to come;
        # nor does draining that offers a longer stay to whoever is at the fire until then
        said = [a for a in absent if a.ends == "nobody free" or a.overtime_s]
        asked = [a for a in absent if a.kind != "let the fire go" and a not in said]
        assert not asked, absent
        assert all(time >= report.begin_s for time in times)


def test_nothing_starts_in_truth_while_nobody_is_there(weeks: list[Lived]) -> None:
    for day in weeks:
        people = day.drive.calendar[:DAY_STEPS, at.PEOPLE]
        fires = day.trace.column(at.T_FIRE_ON)
        for column in (at.T_FIRE_ON, at.T_MEMBRANE_ON, at.T_CLEANING):
            starts = _begins(day.trace.column(column))
            assert (people[starts] > 0.0).all()
        assert (people[fires > 0.0] > 0.0).all()


def test_no_pan_runs_short_and_no_fire_is_left_alone(weeks: list[Lived]) -> None:
    for day in weeks:
        assert day.trace.totals[at.SHORT_S] == 0.0
        assert day.trace.totals[at.LIT_ALONE_S] == 0.0
        # A tank that has turned by the morning is told there too; no plan can mend that.
        assert set(day.worked.report.broken) <= {"sap spoiled", "stock spoiled"}


def test_no_fire_is_lit_below_its_reserve(weeks: list[Lived]) -> None:
    reserve_m3 = demo_plant().p[at.RESERVE_M3]
    assert reserve_m3 >= 15 * GALLON_M3  # the demo's file
    for day in weeks:
        stock_m3 = day.trace.column(at.T_STOCK_M3)
        for step in _begins(day.trace.column(at.T_FIRE_ON)):
            assert stock_m3[step] > reserve_m3
        for each in day.worked.report.days:
            for action in each.actions:
                if action.kind == "light the fire":
                    assert action.trigger is not None
                    assert action.trigger.at_least_m3 > reserve_m3
                    if action.expected_s is not None:
                        assert action.time_s <= action.expected_s


def test_a_fire_that_is_planned_has_its_end_planned(weeks: list[Lived]) -> None:
    for day in weeks:
        for each in day.worked.report.days:
            kinds = [action.kind for action in each.actions]
            expected = [a for a in each.actions if a.kind in FIRES and a.expected_s is not None]
            assert kinds.count("let the fire go") == len(expected)
            for action in each.actions:
                if action.kind == "let the fire go":
                    assert action.leave_s is not None
                    assert action.time_s < action.leave_s
                    # the last act is at the fire: whoever is there stays until it has died down
                    assert all(_there([action.time_s, action.leave_s - 300]))


def test_the_membrane_is_washed_before_long(weeks: list[Lived]) -> None:
    """Beyond twice the house's interval of ten hours, with permeate enough, a wash is planned."""
    p = demo_plant().p
    for day in weeks:
        due = day.levels.run_since_wash_s > 2.0 * demo_plant().house.habit.wash_after_s
        if due and day.levels.permeate.volume_m3 >= p[at.WASH_M3] + p[at.RINSE_M3]:
            kinds = [action.kind for each in day.worked.report.days for action in each.actions]
            assert "wash the membrane" in kinds
    assert sum(day.trace.totals[at.WASHES] for day in weeks) >= 1


def test_permeate_is_there_for_a_wash_that_is_to_happen(weeks: list[Lived]) -> None:
    washes = 0
    for day in weeks:
        for each in day.worked.report.days:
            for action in each.actions:
                if action.kind == "wash the membrane" and action.expected_s is not None:
                    washes += 1
                    assert action.permeate_expected_m3 is not None
                    assert action.permeate_needed_m3 is not None
                    assert action.permeate_expected_m3 >= action.permeate_needed_m3
    assert washes > 0


def test_rinses_do_not_eat_more_permeate_than_the_membrane_makes(weeks: list[Lived]) -> None:
    for day in weeks:
        y = day.trace.totals
        rinsed_m3 = y[at.RINSES] * demo_plant().p[at.RINSE_M3]
        assert rinsed_m3 <= 0.5 * y[at.PERMEATE_KG] / 1000.0 + demo_plant().p[at.RINSE_M3]


def test_the_same_is_not_asked_twice(weeks: list[Lived]) -> None:
    for day in weeks:
        for each in day.worked.report.days:
            drains = [a.time_s for a in each.actions if a.kind == "drain before the frost"]
            assert all(b - a >= 6 * HOUR_S for a, b in pairwise(drains))
            times = [(a.kind, a.time_s) for a in each.actions]
            assert len(set(times)) == len(times)
            assert len(each.actions) <= 7


def test_who_is_alone_at_a_fire_is_sent_nowhere_else(weeks: list[Lived]) -> None:
    """Nobody is told to drain a line in the bush while the pan is lit and nobody else is there."""
    for day in weeks:
        for each in day.worked.report.days:
            lit = [a for a in each.actions if a.kind == "light the fire"]
            out = [a for a in each.actions if a.kind == "let the fire go"]
            for action in each.actions:
                if action.kind != "drain before the frost":
                    continue
                for begin, end in zip(lit, out, strict=False):
                    assert begin.expected_s is not None
                    assert end.leave_s is not None
                    hour_s = action.time_s // HOUR_S * HOUR_S
                    calendar = make_calendar(demo_plant().house, hour_s, 12, 300.0)
                    hands = calendar[(action.time_s - hour_s) // 300, at.PEOPLE]
                    away = begin.expected_s <= action.time_s < end.leave_s
                    assert not away or hands > 1.0


def test_the_plan_is_hardly_ever_worse_than_the_habit(weeks: list[Lived]) -> None:
    gains = np.array(
        [day.worked.report.plan.money.net - day.worked.report.habit.money.net for day in weeks]
    )
    # judged in fresh weathers: a plan that was fitted to others may lose a little on some days
    assert (gains >= -5.0).mean() >= 0.85
    assert gains.min() > -25.0
    assert gains.sum() > 100.0


def test_every_plan_fits_the_page(weeks: list[Lived]) -> None:
    for day in weeks:
        lines = "\n".join(plan_lines(day.worked.report)).splitlines()
        assert max(map(len, lines)) <= 80
        assert len(lines) <= 66  # a sheet of paper
