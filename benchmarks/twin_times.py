"""Do the times that the twin tells come so? ``python benchmarks/twin_times.py [WORLDS] [DAYS]``

Times are told of a house left alone: what runs runs on, nothing is started. So at each look (every
three hours) the truth of a world (``twin_world``) is copied, left alone too, and looked at with the
very function that makes the twin's answer. Counted are the looks at which a time within two days is
told and the thing comes within the three that both look ahead (of those alone that come sooner more
would be early, of course): whether its time lies within the 5 to 95 % told. Beside it, over the
looks at which it was told or came: how likely it was said to be to come within two days, and how
often it came. The air is known but for what a station is off the
bush: a forecast's error is not in it. Prints a table.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sugarwright.twin.advance import advance
from sugarwright.twin.ensemble import Ensemble, Ground, begin, step_of
from sugarwright.twin.outlook import look_ahead
from sugarwright.twin.report import When
from sugarwright.twin.standing import HORIZON_S
from sugarwright.twin.told import in_order
from sugarwright.twin.track import Track, follow
from twin_world import World, make_world

CLOSE_S = 300.0  # a step
MEMBERS = 200
KINDS = (".full", ".empty", ".spoiled", "membrane.stops", "fire.reserve", "pan.draw")


@dataclass
class Count:
    """What comes of one thing, over the looks at which it was told or came."""

    looks: int = 0
    came: int = 0
    timed: int = 0
    likely: float = 0.0
    within: int = 0
    early: int = 0
    late: int = 0

    def take(self, told: When | None, true: When | None, now_s: float) -> None:
        """Count a look."""
        self.looks += 1
        self.likely += 0.0 if told is None else _within_s(told, now_s)
        if true is None or true.middle_s <= now_s:
            return
        self.came += int(true.middle_s <= now_s + HORIZON_S)
        if told is None or told.middle_s > now_s + HORIZON_S:
            return
        self.timed += 1
        if true.middle_s < told.early_s - CLOSE_S:
            self.early += 1
        elif true.middle_s > told.late_s + CLOSE_S:
            self.late += 1
        else:
            self.within += 1


def _within_s(told: When, now_s: float) -> float:
    """How likely it was said to come while times are told: of three days that are looked at."""
    return told.probability if told.middle_s <= now_s + HORIZON_S else 0.0


def whens(ground: Ground, ensemble: Ensemble) -> Mapping[str, When]:
    """Leave a house alone, and return what comes when."""
    return look_ahead(ground, ensemble).whens


def study(world: World, seed: int, into: dict[str, Count]) -> None:
    """Follow a world's log and compare at each of its looks."""
    assert world.ground is not None
    ground = Ground(world.plant, world.air, members=MEMBERS, seed=seed)
    ordered = in_order(world.entries, np.inf)
    track = Track(begin(ground, world.begin_s))
    for truth, time_s in zip(world.stood, world.times_s, strict=True):
        ahead = sum(each.at_s <= time_s for each in ordered)
        track = follow(ground, track, ordered[:ahead])
        here = track.ensemble.copy()
        advance(ground, here, step_of(time_s))
        told, true = whens(ground, here), whens(world.ground, truth)
        for name in told.keys() | true.keys():
            kind = next((each for each in KINDS if name.endswith(each)), None)
            if kind is not None:
                into[name].take(told.get(name), true.get(name), time_s)


def main(worlds: int = 12, days: float = 4.0) -> None:
    """Print the table."""
    found: dict[str, Count] = defaultdict(Count)
    for seed in range(worlds):
        study(make_world(seed, days, 8 + seed % 20, MEMBERS), seed + 500, found)
        print(f"world {seed}", file=sys.stderr)
    print("| what comes | told and came | within 5-95 % | sooner | later | said to be | was |")
    print("|---|---:|---:|---:|---:|---:|---:|")
    for name, one in sorted(found.items()):
        shares = (one.within, one.early, one.late)
        cells = " | ".join(f"{100 * each / max(1, one.timed):.0f} %" for each in shares)
        chances = " | ".join(f"{100 * each / one.looks:.0f} %" for each in (one.likely, one.came))
        print(f"| {name} | {one.timed} | {cells} | {chances} |")


if __name__ == "__main__":
    main(*(int(each) for each in sys.argv[1:3]))
