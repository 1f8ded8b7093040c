"""Do the twin's 90 % bands hold the truth? ``python benchmarks/twin_coverage.py [WORLDS] [DAYS]``

Each world is a truth that the twin knows only by its log (``twin_world``). Every three hours the
band of each quantity is compared with the truth; strength and age of a tank where it holds two
litres, as ``now`` tells them. Where no member of the ensemble holds so much, that is a miss.
Prints a table: share within 5 to 95 %, below and above, and the band's mean width.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field

import numpy as np

from sugarwright.twin.advance import advance
from sugarwright.twin.ensemble import Ground, begin, step_of
from sugarwright.twin.told import in_order
from sugarwright.twin.track import Track, follow
from twin_world import World, make_world, quantities

# Nobody could tell these apart; of age that is half an hour at 3 °C, since `now` tells whole ones.
CLOSE = {"[L]": 1.0, "Brix": 0.02, "[%]": 0.1, "ln]": 0.036}


@dataclass
class Tally:
    """How often the truth lay below, within and above; and how wide the bands were."""

    below: int = 0
    within: int = 0
    above: int = 0
    widths: list[float] = field(default_factory=list)

    @property
    def looks(self) -> int:
        return self.below + self.within + self.above

    @property
    def share(self) -> float:
        """Share within."""
        return self.within / max(1, self.looks)


def tally(world: World, seed: int, members: int, into: dict[str, Tally]) -> int:
    """Follow a world's log and compare at each of its times; return how many were questioned."""
    ground = Ground(world.plant, world.air, members=members, seed=seed)
    ordered = in_order(world.entries, np.inf)
    track = Track(begin(ground, world.begin_s))
    for place, time_s in enumerate(world.times_s):
        ahead = [each for each in ordered[track.done :] if each.at_s <= time_s]
        track = follow(ground, track, ordered[: track.done + len(ahead)])
        now = track.ensemble.copy()
        advance(ground, now, step_of(time_s))
        for name, values in quantities(ground, now).items():
            _count(into.setdefault(name, Tally()), name, values, world.truths[name][place])
    return len(track.doubts)


def _count(one: Tally, name: str, values: np.ndarray, truth: float) -> None:
    """Count one look; of an empty tank there is nothing to count."""
    if np.isnan(truth):
        return
    held = values[np.isfinite(values)]
    low, high = np.quantile(held, [0.05, 0.95]) if len(held) else (np.inf, np.inf)
    close = next(each for end, each in CLOSE.items() if name.endswith(end))
    one.below += int(truth < low - close)
    one.above += int(truth > high + close)
    one.within += int(low - close <= truth <= high + close)
    if len(held):
        one.widths.append(float(high - low))


def study(worlds: int, days: float, members: int = 200, first: int = 0) -> dict[str, Tally]:
    """Tally several worlds."""
    found: dict[str, Tally] = {}
    for seed in range(first, first + worlds):
        world = make_world(seed, days, 8 + seed % 20, members)
        doubts = tally(world, seed + 500, members, found)
        print(f"world {seed}: {len(world.entries)} entries, {doubts} questioned", file=sys.stderr)
    return found


def main(worlds: int = 12, days: float = 4.0) -> None:
    """Print the table."""
    found = study(worlds, days)
    print("| quantity | within 5-95 % | below | above | mean width | looks |")
    print("|---|---:|---:|---:|---:|---:|")
    for name, one in found.items():
        print(
            f"| {name} | {100 * one.share:.0f} % | {100 * one.below / one.looks:.0f} % "
            f"| {100 * one.above / one.looks:.0f} % | {np.mean(one.widths):.3g} | {one.looks} |"
        )


if __name__ == "__main__":
    main(*(int(each) for each in sys.argv[1:3]))
