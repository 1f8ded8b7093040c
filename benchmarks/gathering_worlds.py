"""Made-up worlds in which the truth about the trees is known, and logs gathered in them.

The sap is that of the trees themselves, hour by hour, each run multiplied as a whole; every
emptying takes what has run by then. The learner knows all of that only as logarithms with a few
normal parts. All of it is invented.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.expected import PUNCTUAL, SLIP, Bush, Slip
from sugarwright.learning.gatherings import Gathering
from sugarwright.learning.noise import OWN_SCALE, RUN_SD, TAIL
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.sap_run import sap_run
from sugarwright.weather.hours import HOUR_S, HourlyWeather

Floats = NDArray[np.float64]

DAY_S = 86400
TAPS = 300.0
CAPACITY_M3_PER_TAP = 0.012  # some gatherings of a good spell run over
MELT_M3_PER_TAP = 0.0002  # what comes of ice and of sunny trees, about the floor that is assumed
DAYS, TAPPED_DAY = 62, 20


@dataclass(frozen=True)
class World:
    """How gatherings err in it.

    Parameters
    ----------
    name : in words
    slip : of the emptyings
    run_sd : standard deviation of the logarithm of each run
    own_scale, tail : of each gathering's own error of the logarithm: a Student's t
    wild : part of the gatherings whose figure is a third or three times what it should be, in one
        log all the same way, as a stick read wrongly does
    """

    name: str
    slip: Slip
    run_sd: float
    own_scale: float
    tail: float
    wild: float = 0.0


AS_ASSUMED = World("as the learner assumes", SLIP, RUN_SD, OWN_SCALE, TAIL)
PURE_FACTORS = World("factors alone: 0.52 a run, 0.30 a gathering", PUNCTUAL, 0.52, 0.30, math.inf)
WILD_FIGURES = World("as assumed, one figure in ten wild", SLIP, RUN_SD, OWN_SCALE, TAIL, 0.1)


def invented_bush(days: int = DAYS, swing_k: float = 6.0) -> Bush:
    """Return invented days, the taps set on one of the first: frosty nights, warm and cold spells.

    Parameters
    ----------
    days : of weather
    swing_k : of the afternoon above the day's mean
    """
    source = np.random.default_rng(7)
    hour = np.arange(days * 24)
    spells = np.repeat(source.normal(0.0, 3.0, days), 24)
    air_c = 1.0 + hour / 480.0 + swing_k * np.cos(2.0 * np.pi * (hour - 15) / 24.0) + spells
    return Bush(HourlyWeather(hour * HOUR_S, air_c), tapped_s=float(TAPPED_DAY * DAY_S))


def schedule(every_days: int, days: int = DAYS) -> list[Gathering]:
    """Return gatherings at four in the afternoon (UTC), the volumes still to be filled in."""
    ends_s = [
        day * DAY_S + 16 * HOUR_S
        for day in range(TAPPED_DAY + every_days - 1, days - 2, every_days)
    ]
    begins_s = [TAPPED_DAY * DAY_S, *ends_s]
    return [Gathering(a, b, 1.0, TAPS) for a, b in zip(begins_s, ends_s, strict=False)]


def gather(
    world: World,
    bush: Bush,
    trees: TreeParameters,
    plan: Sequence[Gathering],
    source: np.random.Generator,
) -> list[Gathering]:
    """Gather from trees whose runs differ as a whole, with the errors of a world."""
    factors = np.exp(world.run_sd * source.standard_normal((1, 200)))
    air_c, first_s = bush.weather.temperature_c, bush.weather.first_s
    sap_m3 = sap_run(air_c, first_s, bush.tapped_s, 0.0, trees, factors).sap_m3_per_tap[0]
    until_m3 = np.concatenate([[0.0], np.cumsum(sap_m3)])
    slips_s = source.choice(world.slip.offset_s, len(plan), p=world.slip.share)
    slipped_s = np.array([each.end_s for each in plan]) + slips_s
    hours_s = first_s + HOUR_S * np.arange(len(until_m3))
    held_m3 = np.maximum.accumulate(np.interp(slipped_s, hours_s, until_m3))
    ran_m3 = TAPS * np.diff(held_m3, prepend=0.0)
    melt_m3 = TAPS * MELT_M3_PER_TAP
    own = np.exp(world.own_scale * _student(world.tail, len(plan), source))
    melts_m3 = melt_m3 * np.exp(world.run_sd * source.standard_normal(len(plan)))
    wild = np.where(source.random(len(plan)) < world.wild, 3.0 ** source.choice([-1.0, 1.0]), 1.0)
    came_m3 = np.maximum((ran_m3 + melts_m3) * own * wild - melt_m3, 0.0)
    full_m3 = CAPACITY_M3_PER_TAP * TAPS  # the vessel: what runs over is lost
    return [
        Gathering(each.begin_s, each.end_s, min(m3, full_m3), TAPS, overflow=bool(m3 > full_m3))
        for each, m3 in zip(plan, came_m3.tolist(), strict=True)
    ]


def _student(tail: float, count: int, source: np.random.Generator) -> Floats:
    normal: Floats = source.standard_normal(count)
    if math.isinf(tail):
        return normal
    return normal / np.sqrt(source.chisquare(tail, count) / tail)
