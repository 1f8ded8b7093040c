"""What a plan tells is what the simulator gives when it is run through it, on random mornings.

Everything is reckoned anew here: the rows of the report, run in the same weathers, and cut at the
midnights and hours that the report speaks of.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pytest

from planning_cases import (
    Planner,
    demo_house,
    forecast_from,
    gallons,
    local_s,
    quick,
    recording,
    without_membrane,
)
from sugarwright.physics.solution import density_kg_m3
from sugarwright.planning.action import Action
from sugarwright.planning.report import PlanReport, Range
from sugarwright.planning.weathers import Weathers, make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.simulate import Trace, run_many, simulate
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import worth_lines
from sugarwright.weather.hours import HOUR_S, HourlyWeather

HOURS = 40
MORNINGS = 6
ROUNDED_M3 = 1e-4  # of what a fan tells
FIRES = ("light the fire", "light the fire again", "keep the fire", "fire at need")
MEMBRANE = ("membrane on", "membrane on again", "membrane at need", "again through the membrane")


@dataclass(frozen=True)
class Morning:
    """A plan of a random morning, and what it was made from."""

    plant: Plant
    weathers: Weathers
    state: Floats
    rows: Floats
    report: PlanReport
    trace: Trace  # under the forecast itself

    def totals_at(self, time_s: int) -> Floats:
        """Totals of the runs in the fresh weathers at a moment, (weathers, totals)."""
        return self._run(time_s)[1]

    def states_at(self, time_s: int) -> Floats:
        """And how they stand then, (weathers, state)."""
        return self._run(time_s)[0]

    def _run(self, time_s: int) -> tuple[Floats, Floats]:
        drive = self.weathers.checked
        last = round((time_s - drive.begin_s) / self.plant.step_s)
        ends = run_many(self.plant, drive, self.rows[np.newaxis], self.state, last=last)
        return ends.states[0], ends.totals[0]

    def step(self, time_s: int) -> int:
        """Step of the trace that begins at a moment."""
        return round((time_s - self.trace.begin_s) / self.plant.step_s)

    def actions(self, kinds: tuple[str, ...]) -> list[Action]:
        """All actions of some kinds that are expected to come to pass."""
        told = (action for day in self.report.days for action in day.actions)
        return [each for each in told if each.kind in kinds and each.expected_s is not None]


def _levels(draws: np.random.Generator, membrane: bool) -> Levels:
    """Any readings of an ordinary house."""
    sap = gallons(draws.uniform(0, 400), draws.uniform(1.5, 2.6), draws.uniform(0, 40))
    wood_m3 = draws.uniform(0.3, 6.0)
    if not membrane:
        return Levels(sap=sap, pan_brix=draws.choice([0.0, 12.0, 25.0]), wood_m3=wood_m3)
    return Levels(
        sap=sap,
        stock=gallons(draws.uniform(0, 130), draws.uniform(4, 9), draws.uniform(0, 30)),
        permeate=gallons(draws.uniform(0, 270), 0.0),
        gathered=(gallons(0), gallons(draws.uniform(0, 100), 1.9, 5)),
        pan_brix=draws.choice([0.0, 12.0, 25.0]),
        wood_m3=wood_m3,
        run_since_wash_s=3600.0 * draws.uniform(0, 12),
    )


@pytest.fixture(scope="module")
def planner() -> Iterator[Planner]:
    """Return a planner of tiny searches."""
    with pytest.MonkeyPatch.context() as patch:
        quick(patch)
        patch.setattr("sugarwright.planning.search.MOST_PASSES", 0)
        yield recording(patch)


@pytest.fixture(scope="module", params=range(MORNINGS))
def morning(
    request: pytest.FixtureRequest, planner: Planner, whately_2015: HourlyWeather
) -> Morning:
    """Return a morning, or afternoon, of a house with or without a membrane."""
    draws = np.random.default_rng([2015, request.param])
    membrane = request.param % 4 != 3
    plant = assemble(demo_house() if membrane else without_membrane(demo_house()))
    now_s = local_s(f"2015-03-{draws.integers(10, 31):02d} {draws.integers(4, 19):02d}:20")
    known, levels = forecast_from(whately_2015, now_s, HOURS), _levels(draws, membrane)
    worked = planner(plant, known, levels, now_s, HOURS)
    weathers = make_weathers(plant, known, now_s, HOURS, worked.report.seed)
    state = start_state(plant, levels)
    trace = simulate(plant, weathers.forecast, worked.rows, state)
    return Morning(plant, weathers, state, worked.rows, worked.report, trace)


def _syrup_m3(plant: Plant, totals: Floats) -> Floats:
    kg = totals[..., at.SYRUP_WATER_KG] + totals[..., at.SYRUP_SUGAR_KG]
    volume: Floats = kg / density_kg_m3(plant.house.pan.finish_brix, 20.0)
    return volume


def _is_spread_of(told: Range, values: Floats) -> None:
    quantiles = np.quantile(values, (0.1, 0.5, 0.9))
    assert (told.low, told.middle, told.high) == pytest.approx(quantiles, rel=1e-6, abs=1e-9)


def test_money_syrup_hours_and_wood_are_those_of_the_runs(morning: Morning) -> None:
    told, plant = morning.report.plan, morning.plant
    end_s = morning.report.end_s
    y, x = morning.totals_at(end_s), morning.states_at(end_s)
    assert told.money.net == pytest.approx(worth_lines(plant, y, x).net.mean())
    assert told.syrup_m3 == pytest.approx(_syrup_m3(plant, y).mean())
    for said, column in (
        (told.fire_s, at.FIRE_S), (told.work_s, at.HANDS_S), (told.light_ups, at.LIGHT_UPS),
        (told.wood_m3, at.WOOD_BURNT_M3),
    ):  # fmt: skip
        assert said == pytest.approx(y[:, column].mean())


def test_each_day_is_told_as_it_runs_between_its_midnights(morning: Morning) -> None:
    plant = morning.plant
    assert len(morning.report.days) >= 2
    for day in morning.report.days:
        first = max(day.begin_s, morning.weathers.checked.begin_s)
        y = morning.totals_at(day.end_s) - morning.totals_at(first)
        _is_spread_of(day.syrup_m3, _syrup_m3(plant, y))
        _is_spread_of(day.fire_s, y[:, at.FIRE_S])
        _is_spread_of(day.wood_m3, y[:, at.WOOD_BURNT_M3])
        _is_spread_of(day.permeate_m3, y[:, at.PERMEATE_KG] * plant.p[at.WATER_M3_KG])


def test_tanks_are_told_as_they_run(morning: Morning) -> None:
    places = {"sap": at.SAP, "stock": at.STOCK, "permeate": at.PERMEATE}
    p, told = morning.plant.p, {each.what: each for each in morning.report.fans}
    assert ("stock" in told) == (p[at.HAS_MEMBRANE] > 0.0)
    for hour in (1, 7, 16, 30, 38):
        for what in told.keys() - {"air"}:
            fan, place = told[what], places[what]
            x = morning.states_at(fan.begin_s + hour * HOUR_S)
            held_m3 = (
                x[:, place + at.WATER] * p[at.WATER_M3_KG]
                + x[:, place + at.SUGAR] * p[at.SUGAR_M3_KG]
            )
            said = fan.low[hour], fan.middle[hour], fan.high[hour]
            assert said == pytest.approx(np.quantile(held_m3, (0.1, 0.5, 0.9)), abs=ROUNDED_M3)


def test_fires_and_draws_are_those_of_the_run_under_the_forecast(morning: Morning) -> None:
    lit, step_s = morning.trace.column(at.T_FIRE_ON) > 0.0, morning.plant.step_s
    fires = morning.actions(FIRES)
    assert sum(each.draws or 0 for each in fires) == round(morning.trace.totals[at.DRAWS])
    leave_s = {each.expected_s: each.leave_s for each in morning.actions(("let the fire go",))}
    stoked_s = stay_s = 0.0
    for each in fires:
        assert each.expected_s is not None
        begin = morning.step(each.expected_s)
        end = len(lit) if each.until_s is None else morning.step(each.until_s)
        assert lit[begin:end].all()
        assert end == len(lit) or not lit[end]
        stoked_s += (end - begin) * step_s
        stay_s += (leave_s.get(each.until_s) or morning.report.end_s) - each.expected_s
    rounding_s = step_s * len(fires)
    assert stoked_s - rounding_s <= morning.trace.totals[at.FIRE_S] <= stay_s + rounding_s
    assert stay_s - stoked_s <= (morning.plant.p[at.CLEAR_S] + rounding_s) * len(fires)


def test_the_membrane_runs_when_it_is_told_to(morning: Morning) -> None:
    runs = morning.trace.column(at.T_MEMBRANE_ON) > 0.0
    for each in morning.actions(MEMBRANE):
        assert each.expected_s is not None
        begin = morning.step(each.expected_s)
        assert runs[begin]
        assert begin == 0 or not runs[begin - 1]
        if each.until_s is not None and each.again_s is None and each.ends != "stock passed again":
            assert not runs[morning.step(each.until_s)]
