"""The planner, as the plan command asks it, without its report: what a morning's plan would be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sugarwright.planning.choices import Picks, habit_rows, make_menu, rows
from sugarwright.planning.presets import presets
from sugarwright.planning.search import make_judge, search
from sugarwright.planning.weathers import make_weathers
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.hours import HourlyWeather


@dataclass(frozen=True)
class Morning:
    """A plan and what it was found with.

    Parameters
    ----------
    rows : (days, ``PLAN_WIDTH``)
    money : its expected net worth, in the weathers of the search
    candidates : how many were judged
    """

    rows: Floats
    money: float
    candidates: int


def plan_forecast(
    plant: Plant, known: HourlyWeather, begin_s: int, hours: int, state: Floats
) -> Morning:
    """Plan from a forecast, as every morning."""
    drive = make_weathers(plant, known, begin_s, hours, begin_s).searched
    return plan_in(plant, drive, begin_s, state, begin_s, 1)


def plan_in(
    plant: Plant, drive: Drive, begin_s: int, state: Floats, seed: int, searches: int
) -> Morning:
    """Plan in the weathers of a drive, by so many searches; each begins with the best so far."""
    menu = make_menu(plant, drive, begin_s)
    judge = make_judge(plant, drive, menu, state)
    begin: Picks = presets(menu, habit_rows(plant, menu.days))
    best, candidates = None, 0
    for number in range(searches):
        found = search(menu, judge, seed + number, begin)
        candidates += found.candidates
        if best is None or found.value_money > best.value_money:
            best = found
            begin = np.concatenate([begin, found.picks[np.newaxis]])
    assert best is not None
    return Morning(rows(menu, best.picks[np.newaxis])[0], best.value_money, candidates)
