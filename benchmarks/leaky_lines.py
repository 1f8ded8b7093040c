"""How often is a leaky line found, and how often is a sound one suspected?

Points of one house gather from the same runs (``gathering_worlds``), each with a level of its own
and errors of its own; in some worlds one of them loses part of its sap from some day on.

    python benchmarks/leaky_lines.py --worlds 100
"""

from __future__ import annotations

import argparse
import math
from dataclasses import replace

import numpy as np

from gathering_worlds import AS_ASSUMED, TAPS, gather, invented_bush, schedule
from sugarwright.learning.log_gatherings import PointGatherings
from sugarwright.learning.points import LIKELY, POINT_SD_LOG, PointLesson, compare_points
from sugarwright.physics.tree import TREE_PRIOR_SPREAD, TreeParameters
from sugarwright.plant.house import House
from sugarwright.plant.read_house import parse_house
from sugarwright.plant.tree_knowledge import nothing_learnt

BUSH = invented_bush()
NAMES = ("east", "west", "brook", "ridge")


def house(points: int) -> House:
    """Return an invented house of so many gathering points."""
    lines = "".join(
        f'[[gathering]]\nname = "{name}"\ntaps = {TAPS:.0f}\n' for name in NAMES[:points]
    )
    return parse_house(
        '[site]\nname = "Invented house"\nlatitude = 44.1\nlongitude = -71.9\n'
        f'timezone = "America/New_York"\n{lines}[tank.sap]\nvolume = "900 gal"\n'
        '[pan]\nboil_rate = "40 gal/h"\n[[people]]\nweekdays = ["06:00-22:30"]\n'
        "[trees]\ntapped = 2015-03-01\n"
    )


def points_of(
    seed: int, points: int, leaking: int | None, left: float, since: int, every_days: int = 2
) -> list[PointGatherings]:
    """Return the gatherings of some points, one of which may leak.

    Parameters
    ----------
    seed : of trees, runs and errors
    points : how many
    leaking : which of them leaks; None: none
    left : part of its sap that still comes
    since : the gathering from which it leaks
    every_days : between gatherings
    """
    source = np.random.default_rng([seed, points])
    plan = schedule(every_days)
    scale = math.exp(TREE_PRIOR_SPREAD["bush_scale"][1] * source.standard_normal())
    trees = TreeParameters()._replace(bush_scale=scale)
    exact = replace(AS_ASSUMED, own_scale=0.0)
    found = []
    for place in range(points):
        level = math.exp(POINT_SD_LOG * source.standard_normal())
        own = 0.3 * source.standard_t(4.0, len(plan))
        came = gather(exact, BUSH, trees, plan, np.random.default_rng([seed, 77]))
        kept = [
            level * (left if place == leaking and at >= since else 1.0) * math.exp(own[at])
            for at in range(len(came))
        ]
        gatherings = tuple(
            replace(each, volume_m3=each.volume_m3 * part, overflow=False)
            for each, part in zip(came, kept, strict=True)
        )
        found.append(PointGatherings(NAMES[place], BUSH.tapped_s, gatherings))
    return found


def lessons(points: list[PointGatherings]) -> tuple[PointLesson, ...]:
    """Return what is learnt of some points, nothing being known of the trees beforehand."""
    return compare_points(house(len(points)), points, BUSH, nothing_learnt(1970, 1.0, 2.0))


def main() -> None:
    """Print the table of docs/learn.md."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--worlds", type=int, default=100)
    worlds = parser.parse_args().worlds
    print("| lines | leak | worlds | named, % | another named, % |")
    print("|---|---|---|---|---|")
    for points, left in ((2, 1.0), (4, 1.0), (4, 0.65), (4, 0.35), (2, 0.35)):
        right = wrong = 0
        for seed in range(worlds):
            leaking = None if left == 1.0 else seed % points
            found = lessons(points_of(seed, points, leaking, left, since=9))
            named = {each.point for each in found if each.leak_chance_fraction >= LIKELY}
            true = set() if leaking is None else {NAMES[leaking]}
            right += bool(named & true)
            wrong += bool(named - true)
        what = "none" if left == 1.0 else f"{100 * (1 - left):.0f} % lost in the last half"
        shown = "" if left == 1.0 else f"{100 * right / worlds:.0f}"
        print(
            f"| {points} | {what} | {worlds} | {shown} | {100 * wrong / worlds:.0f} |", flush=True
        )


if __name__ == "__main__":
    main()
