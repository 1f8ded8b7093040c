"""What a rule of the planner is worth on busy mornings: ``python -m benchmarks.regret.mornings``.

Two plans that end a little otherwise are 50 dollars apart by the end of a season, whatever they are
worth. Here chance is small: a morning's plan is lived for a day in fresh weathers; where each has
led, a plan is made anew by a forecast issued then, and its hours run as they come. The planner as
it is and with one rule changed live the same weathers and are told the same forecasts.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np

from sugarwright.planning.choose import choose
from sugarwright.planning.judging import values_of
from sugarwright.planning.weathers import Belief, Weathers, make_weathers
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, run_many
from sugarwright.plant.tank_kernel import Floats
from sugarwright.weather.ensemble import PRIOR, perturb
from sugarwright.weather.hours import HOUR_S, HourlyWeather

from .busy import busy_mornings
from .houses import cases
from .markdown import head, row
from .outcome import ready
from .planner import THREADS, a_day_later, as_forecast, known_trees
from .run import NICE
from .seasons import season
from .truth import CROWD, HORIZON_H
from .variations import VARIATIONS, WEATHERS, Change, changed

LIVED_H = 24 + HORIZON_H
AS_IT_IS = "as it is"
SEASONS = ("blocks 3", "normals 4")


def main() -> None:
    """Read the options, work, and print a line for each change."""
    options = argparse.ArgumentParser(
        prog="python -m benchmarks.regret.mornings", description=__doc__
    )
    options.add_argument("--houses", nargs="*", choices=list(cases()), default=list(cases()))
    options.add_argument("--seasons", nargs="*", default=list(SEASONS), help="names")
    options.add_argument("--mornings", type=int, default=3, help="of each, one in three busy ones")
    options.add_argument("--weathers", type=int, default=8, help="fresh ones, for each morning")
    options.add_argument("--variations", nargs="*", choices=list(VARIATIONS), default=[*VARIATIONS])
    options.add_argument("--jobs", type=int, default=2, help="processes")
    wanted = options.parse_args()
    changes = {AS_IT_IS: (), **{name: VARIATIONS[name] for name in wanted.variations}}
    with ProcessPoolExecutor(wanted.jobs, initializer=os.nice, initargs=(NICE,)) as pool:
        running = {
            house: [
                pool.submit(lived, house, name, wanted.mornings, wanted.weathers, changes)
                for name in wanted.seasons
            ]
            for house in wanted.houses
        }
        worth = {
            house: np.concatenate([each.result() for each in jobs])
            for house, jobs in running.items()
        }
    print(table(worth, wanted.variations))


def table(worth: dict[str, Floats], variations: Iterable[str]) -> str:
    """Dollars a morning that each change brings: by house, in the mean, and its standard error.

    Parameters
    ----------
    worth : of each house, (mornings, 1 + variations), the first as it is
    variations : names
    """
    lines = head(["changed", *worth, "all", "standard error", "mornings"])
    for column, name in enumerate(variations, 1):
        gains = [of_house[:, column] - of_house[:, 0] for of_house in worth.values()]
        every = np.concatenate(gains)
        error = every.std(ddof=1) / np.sqrt(len(every))
        cells = [f"{gain.mean():+.1f}" for gain in (*gains, every)]
        lines.append(row([name, *cells, f"{error:.1f}", str(len(every))]))
    return "\n".join(lines)


def lived(
    house: str, name: str, mornings: int, weathers: int, changes: dict[str, tuple[Change, ...]]
) -> Floats:
    """Return what some mornings are worth under each change, (mornings, changes), mean net."""
    case = cases()[house]
    plant, truth = ready(case, season(name))
    belief = Belief(trees=known_trees(plant))
    weathers_of = as_forecast(plant, truth, belief.trees)
    worth = []
    for day, state in busy_mornings(case, plant, truth, mornings, apart=3, reach_h=LIVED_H):
        known = truth.forecast(day, reach_h=LIVED_H)
        fresh = _fresh(plant, known, truth.morning_s(day), weathers, belief)
        of_changes = []
        for each in changes.values():
            with changed(each):
                made = weathers_of(day, 0)
                of_changes.append(_worth(plant, made, state, known, fresh, belief))
        worth.append(of_changes)
    return np.array(worth).reshape(-1, len(changes))


def _fresh(plant: Plant, known: HourlyWeather, now_s: int, weathers: int, belief: Belief) -> Drive:
    """What may come of a forecast, by draws that no plan sees."""
    with changed((Change(WEATHERS, "CHECKED", weathers),)):
        return make_weathers(plant, known, now_s, LIVED_H, now_s + CROWD, belief).checked


def _worth(
    plant: Plant,
    weathers: Weathers,
    state: Floats,
    known: HourlyWeather,
    fresh: Drive,
    belief: Belief,
) -> float:
    """Mean net worth of a day by a morning's plan, and of the next plan's hours."""
    now_s = fresh.begin_s
    plan = choose(plant, weathers, state, now_s, threads=THREADS).plan
    steps = round(24 * HOUR_S / plant.step_s)
    today = run_many(plant, fresh, plan[np.newaxis], state, THREADS, steps)
    nets = []
    for one in range(fresh.scenarios):
        then, totals = today.states[0, one], today.totals[0, one]
        anew = choose(
            plant, _next_weathers(plant, known, fresh, one, belief), then, now_s + one,
            before=a_day_later(plan), threads=THREADS,
        ).plan  # fmt: skip
        rows = np.concatenate([plan[:1], anew])[np.newaxis]
        lived_through = run_many(
            plant, fresh.only(one), rows, then, THREADS, first=steps, totals=totals
        )
        nets.append(values_of(plant, lived_through)[0])
    return float(np.mean(nets))


def _next_weathers(
    plant: Plant, known: HourlyWeather, fresh: Drive, one: int, belief: Belief
) -> Weathers:
    """What the forecast of the next morning makes likely, where one weather has come."""
    next_s, seed = fresh.begin_s + 24 * HOUR_S, fresh.begin_s + one
    air_c = known.temperature_c.copy()
    air_c[-LIVED_H:] = fresh.air_c[one]
    came = replace(known, temperature_c=air_c, issued_s=next_s)
    offset_h = plant.house.site.longitude_deg / 15.0
    drawn_c = perturb(came, CROWD, seed, next_s, offset_h, PRIOR, next_s)[one % CROWD]
    forecast = replace(came, temperature_c=drawn_c)
    return make_weathers(plant, forecast, next_s, HORIZON_H, seed, belief)


if __name__ == "__main__":
    main()
