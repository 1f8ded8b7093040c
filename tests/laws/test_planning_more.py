"""More room, more wood and a better forecast never make the expected day worse.

Plans of some mornings of a real spring (Whately, 2015), found with a fixed budget with less and
with more, and both judged in the same fresh weathers, which neither was fitted to. The mean of the
paired differences may miss nought by three of its standard errors, since a search is not the
optimum, and never by more than a plan may be worth less than another and still stand.

Reason says of wood and of a forecast that more can't be worse: the plan of less could still be
carried out. Of a tank that is not quite so, since gauges are shares of its rim, and the same plan
in a greater stock tank lets more grow old; but the mean of many mornings must not be worse.
As measured (the same weathers, eight mornings, dollars a morning, pooled standard errors): sap tank
+1.7 (0.8), stock tank +0.5 (0.6), permeate tank 0.0, wood +102 (5). A morning by itself is off by
some five dollars either way, which is the search: a third of it made a greater stock tank look
2.7 dollars worse (0.4), so tanks are compared by plans of the usual one.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from planning_cases import demo_plant, forecast_from, local_s, usual_levels
from sugarwright.planning.choose import KEEP_MONEY, choose
from sugarwright.planning.course import net_money
from sugarwright.planning.search import Budget
from sugarwright.planning.weathers import Weathers, make_weathers
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, run_many
from sugarwright.plant.state import start_state
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s
from sugarwright.weather.files import read_weather_csv

DATA = Path(__file__).parents[1] / "data" / "whately-hourly-2015.csv"
HOURS = 48
MORNINGS = tuple(
    f"2015-{day} 05:00"
    for day in ("03-12", "03-15", "03-18", "03-21", "03-23", "03-25", "03-28", "04-01")
)
USUAL, SMALL = Budget(population=48, rounds=4), Budget(population=24, rounds=2)
SOME = MORNINGS[::2]  # enough for what is worth a hundred dollars
ROOMIER = 1.6
TOLD = 4  # of the fresh weathers of a morning, each told beforehand


@cache
def _weathers(morning: str) -> Weathers:
    now_s = local_s(morning)
    known = forecast_from(read_weather_csv(DATA), now_s, HOURS)
    return make_weathers(demo_plant(), known, now_s, HOURS, 3)


def _nets(
    plant: Plant, weathers: Weathers, state: Floats, budget: Budget, drive: Drive | None = None
) -> Floats:
    """Return what the plan chosen is worth in each of some weathers; None: in fresh ones."""
    chosen = choose(plant, weathers, state, 1, budget)
    ends = run_many(plant, drive or weathers.checked, chosen.plan[np.newaxis], state)
    assert not broken_s(ends.totals).any()
    found: Floats = net_money(plant, ends)[0]
    return found


def _start(wood_m3: float | None = None) -> Floats:
    state = start_state(demo_plant(), usual_levels())
    if wood_m3 is not None:
        state[at.WOOD_M3] = wood_m3
    return state


@cache
def _as_it_is(morning: str) -> Floats:
    return _nets(demo_plant(), _weathers(morning), _start(), USUAL)


def _never_lowers(gains: Floats) -> None:
    """Tell of paired differences, (mornings, weathers), that their mean is no loss."""
    error = gains.std(ddof=1) / np.sqrt(gains.size)
    least = -min(3.0 * error, KEEP_MONEY)
    assert gains.mean() >= least - 1e-6, gains.mean(axis=1).round(1)


@pytest.mark.parametrize("tank", ["SAP_CAPACITY_M3", "STOCK_CAPACITY_M3", "PERMEATE_CAPACITY_M3"])
def test_more_room_in_a_tank_never_lowers_what_is_expected(tank: str) -> None:
    p = demo_plant().p.copy()
    p[getattr(at, tank)] *= ROOMIER
    roomier = replace(demo_plant(), p=p)
    more = [_nets(roomier, _weathers(each), _start(), USUAL) for each in MORNINGS]
    _never_lowers(np.array(more) - np.array([_as_it_is(each) for each in MORNINGS]))


def test_more_wood_never_lowers_what_is_expected() -> None:
    less, more = (
        np.array([_nets(demo_plant(), _weathers(each), _start(wood), SMALL) for each in SOME])
        for wood in (0.3, 10.0)
    )
    _never_lowers(more - less)
    assert (more - less).mean() > 10.0  # a fire is worth more than nothing


def test_a_better_forecast_never_lowers_what_is_expected() -> None:
    """Told which of the weathers comes, against a plan for all of them: in that weather."""
    plant, gains = demo_plant(), []
    for morning in MORNINGS:
        unsure = _as_it_is(morning)
        for member in range(TOLD):
            true = _weathers(morning).checked.only(member)
            told = Weathers(forecast=true, searched=true, compared=true, checked=true)
            gains.append(_nets(plant, told, _start(), USUAL, true)[0] - unsure[member])
    _never_lowers(np.array(gains).reshape(len(MORNINGS), TOLD))
    assert np.mean(gains) > 1.0


# --- the rule itself: it can fail ----------------------------------------------------------------


def _differences(by_morning: list[float], spread: float, weathers: int = 40) -> Floats:
    """Differences of some mean a morning, apart by weather as much as plans of two searches are."""
    chance = np.random.default_rng(2).normal(0.0, spread, (len(by_morning), weathers))
    chance -= chance.mean(axis=1, keepdims=True)
    return np.array(by_morning)[:, np.newaxis] + chance


@pytest.mark.parametrize(
    "gains",
    [
        _differences([-5.0, -1.0, -3.0], 0.0, 1),  # three mornings and nothing else
        _differences([-5.0, -1.0, -3.0], 20.0),
        _differences([-5.0, -1.0, -3.0] * 3, 10.0),
        _differences([-1.5] * 8, 8.0),  # a dollar and a half, every morning
        _differences([-0.2] * 8, 0.5),
    ],
)
def test_the_rule_sees_a_steady_loss(gains: Floats) -> None:
    with pytest.raises(AssertionError):
        _never_lowers(gains)


@pytest.mark.parametrize(
    "gains",
    [
        _differences([0.0] * 8, 0.0),
        _differences([4.0, -5.0, 6.0, -4.0, 2.0, -3.0, 5.0, -3.0], 10.0),
        _differences([-0.5] * 8, 10.0),
    ],
)
def test_the_rule_lets_chance_pass(gains: Floats) -> None:
    _never_lowers(gains)
