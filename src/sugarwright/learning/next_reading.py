"""Which reading would teach most: by how much it narrows a figure, and what that figure is worth.

A reading of spread r takes a spread s to s r / sqrt(s^2 + r^2) (normal logarithms). What that is
worth is seen by the plant itself: a week of usual sap days is run with the figure a little lower
and a little higher, and the change of its net worth for a unit of the figure's logarithm weighs the
variance that the reading takes away.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.as_learnt import described_value, limits, with_value
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.drive import make_drive, tapped_s
from sugarwright.plant.house import House
from sugarwright.plant.simulate import run_many
from sugarwright.plant.state import Levels, start_state
from sugarwright.plant.worth import worth_lines
from sugarwright.weather.hours import HOUR_S

Floats = NDArray[np.float64]
Rows = Callable[[Plant, int], Floats]

DAYS = 7
STEP_LOG = 0.12  # of the figure's logarithm, to each side: draws and fires come in lumps
SPELLS_K = (-1.5, 0.0, 1.5)  # of usual sap days: cooler, usual and warmer ones
MEAN_C, SWING_K = 1.0, 6.0  # frosty nights and thawing days
AFTER_TAPPING_S = 10 * 86400
FORGOTTEN_H = 21 * 24


@dataclass(frozen=True)
class Candidate:
    """A reading that could be taken.

    Parameters
    ----------
    key : the figure that it teaches
    what : what to do, in plain words
    sd_log : how unsure the figure is now
    reading_sd_log : how far one such reading scatters about it
    """

    key: str
    what: str
    sd_log: float
    reading_sd_log: float

    @property
    def after_sd_log(self) -> float:
        """How unsure the figure would be after it."""
        both = math.hypot(self.sd_log, self.reading_sd_log)
        return self.sd_log * self.reading_sd_log / both if both > 0.0 else 0.0


@dataclass(frozen=True)
class ReadingWorth:
    """A reading that could be taken, with what it would bring.

    Parameters
    ----------
    key, what : the figure, and what to do
    narrowed_fraction : by which part of itself the figure's spread would shrink
    at_stake_money : how unsure a usual week's net worth is now by that figure alone
    closer_money : by how much the whole of what is unsure, all figures together, would shrink
    """

    key: str
    what: str
    narrowed_fraction: float
    at_stake_money: float
    closer_money: float


def rank_readings(
    house: House, candidates: Sequence[Candidate], rows_of: Rows
) -> tuple[ReadingWorth, ...]:
    """Return readings, that first which takes away most of the variance of a week's worth.

    Parameters
    ----------
    house : as learnt
    candidates : readings that could be taken
    rows_of : the plan of a house for so many days: its present way of working
    """
    slopes = worth_slopes(house, {each.key for each in candidates}, rows_of)
    whole = sum({each.key: (slopes[each.key] * each.sd_log) ** 2 for each in candidates}.values())
    ranked = []
    for each in candidates:
        slope = abs(slopes[each.key])
        after = each.after_sd_log
        taken = slope**2 * (each.sd_log**2 - after**2)
        narrowed = 1.0 - after / each.sd_log if each.sd_log > 0.0 else 0.0
        closer = math.sqrt(whole) - math.sqrt(max(whole - taken, 0.0))
        reading = ReadingWorth(each.key, each.what, narrowed, slope * each.sd_log, closer)
        ranked.append((-taken, each.key, reading))
    return tuple(reading for _, _, reading in sorted(ranked, key=lambda each: each[:2]))


def worth_slopes(house: House, keys: Iterable[str], rows_of: Rows) -> dict[str, float]:
    """Return what a usual week's net worth moves by for a unit of each figure's logarithm [money].

    Parameters
    ----------
    house : as learnt
    keys : paths of numbers of the house
    rows_of : see ``rank_readings``
    """
    found = {}
    for key in sorted(keys):
        value = described_value(house, key)
        least, greatest = limits(house, key)
        if value is None or value <= 0.0:
            found[key] = 0.0
            continue
        ends = [max(value * math.exp(-STEP_LOG), least), min(value * math.exp(STEP_LOG), greatest)]
        low, high = (_week_money(with_value(house, key, each), rows_of) for each in ends)
        reach = math.log(ends[1] / ends[0])
        found[key] = (high - low) / reach if reach > 0.0 else 0.0
    return found


def _week_money(house: House, rows_of: Rows) -> float:
    """Return the net worth of a week of usual sap days, worked as the house's habit is."""
    plant = assemble(house)
    begin_s = int((tapped_s(house) + AFTER_TAPPING_S) // 86400 * 86400)
    hours = np.arange(FORGOTTEN_H + DAYS * 24)
    first_s = begin_s - FORGOTTEN_H * HOUR_S
    local_h = (first_s / HOUR_S + hours + house.site.longitude_deg / 15.0) % 24.0
    air_c = MEAN_C + SWING_K * np.cos(2.0 * np.pi * (local_h - 15.0) / 24.0)
    weathers = air_c + np.array(SPELLS_K)[:, np.newaxis]
    drive = make_drive(plant, first_s, weathers, begin_s, begin_s + DAYS * 86400)
    plan = rows_of(plant, DAYS + 1)[np.newaxis]
    found = run_many(plant, drive, plan, start_state(plant, Levels()), threads=1)
    return float(np.mean(worth_lines(plant, found.totals, found.states).net))
