"""The clock only ends a search early, and a plan says so; one that it did not end is the same."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from command_line import run
from planning_cases import demo_house, demo_plant, forecast_from, local_s, quick, usual_levels
from sugarwright.answering.plan import Basis, Known, make_plan
from sugarwright.planning.choose import Chosen, choose
from sugarwright.planning.course import net_money
from sugarwright.planning.judging import EVERY, PlanJudge
from sugarwright.planning.search import Budget
from sugarwright.planning.weathers import Belief, Weathers, make_weathers
from sugarwright.plant.simulate import run_many
from sugarwright.plant.state import start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s
from sugarwright.saying.plan_found import HURRIED
from sugarwright.weather.hours import HourlyWeather

HOURS = 36
AT_ONCE_S = 1e-6
NEVER_S = 3600.0
LEVELS = ("--sap", "212 gal", "--sap-brix", "1.9", "--stock", "31 gal", "--stock-brix", "5.8",
          "--permeate", "140 gal", "--pan-brix", "20")  # fmt: skip
WHEN = ("--now", "2026-03-19 05:10", "--hours", "24", "--no-keep")


@pytest.fixture(scope="module")
def weathers(whately_2015: HourlyWeather) -> Weathers:
    """Return the weathers of a morning with a run."""
    now_s = local_s("2015-03-16 05:10")
    known = forecast_from(whately_2015, now_s, HOURS)
    return make_weathers(demo_plant(), known, now_s, HOURS, 3)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the demo's files, and nothing kept."""
    source = Path(__file__).resolve().parents[2] / "src" / "sugarwright" / "demo"
    made = tmp_path_factory.mktemp("clock")
    for name in ("sugarhouse.toml", "weather.csv"):
        (made / name).write_bytes((source / name).read_bytes())
    return made


def _chosen(weathers: Weathers, seconds: float | None) -> Chosen:
    budget = Budget(population=24, rounds=2, seconds=seconds)
    return choose(demo_plant(), weathers, start_state(demo_plant(), usual_levels()), 1, budget)


def test_a_search_that_the_clock_ends_says_so_and_has_a_usable_plan(weathers: Weathers) -> None:
    plant = demo_plant()
    state = start_state(plant, usual_levels())
    found = _chosen(weathers, AT_ONCE_S)
    assert found.stopped_early
    assert found.candidates < _chosen(weathers, None).candidates / 4
    plans = np.stack([found.plan, found.habit, np.zeros_like(found.plan) - 1.0])
    ends = run_many(plant, weathers.checked, plans, state)
    assert not broken_s(ends.totals[0]).any()
    worth, by_habit, nothing = net_money(plant, ends).mean(axis=1)
    assert worth > by_habit
    assert worth > nothing + 20.0  # it boils


def test_a_clock_that_does_not_end_the_search_changes_nothing(weathers: Weathers) -> None:
    without, generous = _chosen(weathers, None), _chosen(weathers, NEVER_S)
    assert not without.stopped_early
    assert not generous.stopped_early
    assert np.array_equal(without.plan, generous.plan)
    assert without.value_money == generous.value_money


def test_the_simulator_is_there_before_the_clock_runs(
    whately_2015: HourlyWeather, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    judged = PlanJudge.values

    def values(judging: PlanJudge, plans: Floats, weathers: slice = EVERY) -> Floats:
        asked.append("judged")
        return judged(judging, plans, weathers)

    def timed(*arguments: Any, **options: Any) -> Chosen:
        asked.append("the clock")
        return choose(*arguments, **options)

    quick(monkeypatch)
    monkeypatch.setattr(PlanJudge, "values", values)
    monkeypatch.setattr("sugarwright.planning.today.choose", timed)
    now_s = local_s("2015-03-16 05:10")
    known = Known(forecast_from(whately_2015, now_s, HOURS), now_s, HOURS, Belief())
    basis = Basis(demo_house(), known, usual_levels())
    make_plan(basis)
    assert asked[:3] == ["judged", "the clock", "judged"]


@pytest.mark.parametrize(("ends_s", "said"), [(AT_ONCE_S, True), (NEVER_S, False)])
def test_the_command_sets_an_end_and_says_when_the_clock_was_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch, ends_s: float, said: bool
) -> None:
    quick(monkeypatch)
    monkeypatch.setattr("sugarwright.answering.plan.ENDS_S", ends_s)
    text = run("plan", folder, *LEVELS, *WHEN)
    assert text.code == 0
    assert (HURRIED in " ".join(text.out.split())) == said
    beside = run("plan", folder, *LEVELS, *WHEN, "--if", "no fire today")
    assert (HURRIED in " ".join(beside.out.split())) == said
    assert run("plan", folder, *LEVELS, *WHEN, "--json").document["stopped_early"] == said
