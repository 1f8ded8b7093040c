"""Where a morning's regret comes from: ``python -m benchmarks.regret.decompose HOUSE SEASON``.

In each of some weathers that the plan was not fitted to:

- *plan*: the morning's plan, all three days as planned;
- *anew*: its first day, and then the days that a search finds which is told that weather: more than
  any planning anew could bring to that first day;
- *told*: a search that is told that weather from the beginning.

What lies between the last two is the first day's part of the regret: of it nobody can have what the
sap would have to tell before it runs.
"""

from __future__ import annotations

import argparse
from operator import itemgetter

import numpy as np

from sugarwright.planning.choices import Force, Picks, rows
from sugarwright.planning.choose import choose
from sugarwright.planning.judging import PlanJudge, judge_plans
from sugarwright.planning.morning import today_by
from sugarwright.planning.presets import nearest, presets
from sugarwright.planning.search import search
from sugarwright.planning.weathers import Weathers
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats

from .busy import busy_mornings
from .houses import cases
from .outcome import ready
from .planner import as_forecast, known_trees
from .seasons import season

MORNINGS = 8
WEATHERS = 12


def main() -> None:
    """Print a line a morning, those with the most sap of a season worked by habit, and the mean."""
    options = argparse.ArgumentParser(prog="python -m benchmarks.regret.decompose")
    options.add_argument("house", choices=list(cases()))
    options.add_argument("season")
    wanted = options.parse_args()
    case = cases()[wanted.house]
    plant, truth = ready(case, season(wanted.season))
    mornings = sorted(busy_mornings(case, plant, truth, MORNINGS), key=itemgetter(0))
    weathers_of = as_forecast(plant, truth, known_trees(plant))
    print("| day | plan | anew | told | days after | first day |")
    print("|---:|---:|---:|---:|---:|---:|")
    found = []
    for day, state in mornings:
        planned, anew, told = _values(plant, weathers_of(day, 0), state, day)
        found.append((planned, anew, told, anew - planned, told - anew))
        print(f"| {day} | " + " | ".join(f"{value:.0f}" for value in found[-1]) + " |", flush=True)
    print("| mean | " + " | ".join(f"{value:.0f}" for value in np.mean(found, axis=0)) + " |")


def _values(
    plant: Plant, weathers: Weathers, state: Floats, seed: int
) -> tuple[float, float, float]:
    chosen = choose(plant, weathers, state, seed)
    today = today_by(chosen.plan[0]).force
    begin = np.concatenate(
        [presets(chosen.menu, chosen.habit), nearest(chosen.menu, chosen.plan)[np.newaxis]]
    )
    found = []
    for weather in range(WEATHERS):
        true = weathers.checked.only(weather)

        def best(force: Force | None, true: Drive = true) -> float:
            judging = PlanJudge(plant, true, state)

            def judge(picks: Picks) -> Floats:
                return judging.values(rows(chosen.menu, picks, force))

            return search(chosen.menu, judge, seed, begin).best_money

        planned = float(judge_plans(plant, true, chosen.plan[np.newaxis], state)[0])
        anew = max(planned, best(today))
        found.append((planned, anew, max(anew, best(None))))
    planned, anew, told = np.mean(found, axis=0).tolist()
    return planned, anew, told


if __name__ == "__main__":
    main()
