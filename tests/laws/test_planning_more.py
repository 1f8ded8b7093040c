"""More room, more wood and a better forecast never make the expected day worse.

Plans of some mornings of a real spring (Whately, 2015), found with a fixed budget with less and
with more, judged in the same weathers: the mean of the paired differences may miss nought by three
of its standard errors, since a search is not the optimum. Reason says that it can't be worse: with
more of anything the plan of less could still be carried out.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from planning_cases import demo_plant, forecast_from, local_s, usual_levels
from sugarwright.planning.choose import choose
from sugarwright.planning.judging import judge_plans
from sugarwright.planning.search import Budget
from sugarwright.planning.weathers import Weathers, make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive
from sugarwright.plant.state import start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.files import read_weather_csv

DATA = Path(__file__).parents[1] / "data" / "whately-hourly-2015.csv"
HOURS = 48
MORNINGS = ("2015-03-15 05:00", "2015-03-21 05:00", "2015-03-25 05:00")
BUDGET = Budget(population=24, rounds=2)


@cache
def _weathers(morning: str) -> Weathers:
    now_s = local_s(morning)
    known = forecast_from(read_weather_csv(DATA), now_s, HOURS)
    return make_weathers(demo_plant(), known, now_s, HOURS, 3)


def _money(plant: Plant, weathers: Weathers, state: Floats, drive: Drive | None = None) -> float:
    chosen = choose(plant, weathers, state, 1, BUDGET)
    judged_in = weathers.compared if drive is None else drive
    return float(judge_plans(plant, judged_in, chosen.plan[np.newaxis], state)[0])


def _start(wood_m3: float | None = None) -> Floats:
    state = start_state(demo_plant(), usual_levels())
    if wood_m3 is not None:
        state[at.WOOD_M3] = wood_m3
    return state


def _never_lowers(gains: list[float]) -> None:
    told = np.array(gains)
    error = told.std(ddof=1) / np.sqrt(len(told))
    assert told.mean() >= -3.0 * error - 1e-6, told


def test_more_room_for_sap_never_lowers_what_is_expected() -> None:
    plant, gains = demo_plant(), []
    p = plant.p.copy()
    p[at.SAP_CAPACITY_M3] *= 1.6
    for morning in MORNINGS:
        less = _money(plant, _weathers(morning), _start())
        gains.append(_money(replace(plant, p=p), _weathers(morning), _start()) - less)
    _never_lowers(gains)


def test_more_wood_never_lowers_what_is_expected() -> None:
    plant, gains = demo_plant(), []
    for morning in MORNINGS:
        least, most = (_money(plant, _weathers(morning), _start(wood)) for wood in (0.3, 10.0))
        gains.append(most - least)
    _never_lowers(gains)
    assert max(gains) > 10.0  # a fire is worth more than nothing


def test_a_better_forecast_never_lowers_what_is_expected() -> None:
    """Told which of the weathers comes, against a plan for all of them: in that weather."""
    plant, gains = demo_plant(), []
    for morning in MORNINGS:
        weathers = _weathers(morning)
        for member in (0, 1):
            true = weathers.checked.only(member)
            told = Weathers(forecast=true, searched=true, compared=true, checked=true)
            unsure = _money(plant, weathers, _start(), true)
            gains.append(_money(plant, told, _start(), true) - unsure)
    _never_lowers(gains)
    assert max(gains) > 0.0
