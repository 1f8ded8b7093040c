"""Bands of the twin hold the truth about as often as they say, over invented days and their log.

A small sample of what ``benchmarks/twin_coverage.py`` measures. Looks lie half a day apart and are
taken as independent: the limits are those within which a binomial count of a share of 90 % falls in
all but one of a thousand cases at either end. Bands a third as wide fall below, ones three times as
wide reach above.
"""

from __future__ import annotations

from math import comb

import numpy as np

from sugarwright.twin.advance import advance
from sugarwright.twin.ensemble import Ground, begin, step_of
from sugarwright.twin.told import in_order
from sugarwright.twin.track import Track, follow
from twin_world import World, make_world, quantities

SHARE, BEYOND = 0.9, 1e-3
SEEDS, DAYS, MEMBERS = range(700, 708), 2.0, 100
LOOKED_AT = ("sap volume [L]", "stock volume [L]", "permeate volume [L]")
EVERY = 4  # of looks three hours apart
CLOSE_L = 1.0


def limits(looks: int) -> tuple[int, int]:
    """Return the least and the most count that a share of 90 % makes believable."""
    chances = [comb(looks, k) * SHARE**k * (1.0 - SHARE) ** (looks - k) for k in range(looks + 1)]
    at_most = np.cumsum(chances)
    at_least = np.cumsum(chances[::-1])[::-1]
    believable = [k for k in range(looks + 1) if at_most[k] > BEYOND and at_least[k] > BEYOND]
    return believable[0], believable[-1]


def held(world: World, seed: int) -> list[bool]:
    """Tell of each look whether the band held the truth, within what nobody could tell apart."""
    ground = Ground(world.plant, world.air, members=MEMBERS, seed=seed)
    ordered = in_order(world.entries, np.inf)
    track, found = Track(begin(ground, world.begin_s)), []
    for place in range(EVERY - 1, len(world.times_s), EVERY):
        time_s = world.times_s[place]
        until = sum(each.at_s <= time_s for each in ordered)
        track = follow(ground, track, ordered[:until])
        now = track.ensemble.copy()
        advance(ground, now, step_of(time_s))
        values = quantities(ground, now)
        for name in LOOKED_AT:
            low, high = np.quantile(values[name], [0.05, 0.95])
            found.append(low - CLOSE_L <= world.truths[name][place] <= high + CLOSE_L)
    return found


def test_ninety_per_cent_bands_hold_the_truth_nine_times_in_ten() -> None:
    looks = [
        each
        for seed in SEEDS
        for each in held(make_world(seed, DAYS, 8 + seed % 20, MEMBERS), seed)
    ]
    least, most = limits(len(looks))
    assert 0 < least < SHARE * len(looks) < most < len(looks)
    assert least <= sum(looks) <= most, f"{sum(looks)} of {len(looks)}, not {least} to {most}"
