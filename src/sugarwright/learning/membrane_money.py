"""When to wash, and what a new element would save: lost permeate, by the house's prices.

Water that the membrane does not take out has to be boiled off: hours and wood of the pan. Between
two washes the loss grows with each hour run, a rinse at the end of a day's run gives some back, and
a wash costs cleaner and hands; the interval is the one that costs least by the hour run. Makers'
manuals ask for a wash at the latest when a tenth of the permeate is gone (two manuals of machines
for drinking and process water say so); what is left on a membrane sets.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.membrane_condition import permeate_kg_s
from sugarwright.plant.assemble import Plant
from sugarwright.plant.worth import boiling_money_kg, wash_money

Floats = NDArray[np.float64]

MANUAL_LOSS_FRACTION = 0.1
LONGEST_H = 400.0
"""A season's running, about; an interval that long means that no wash pays (judgement)."""
_GRID = 40


@dataclass(frozen=True)
class Usual:
    """How the membrane is usually run, by its readings.

    Parameters
    ----------
    pressure_pa, concentrate_flow_m3_s, feed_brix, temperature_c : medians of its readings
    day_h : hours run on a day with running
    rinsed : whether a run is usually ended with a rinse
    """

    pressure_pa: float
    concentrate_flow_m3_s: float
    feed_brix: float
    temperature_c: float
    day_h: float
    rinsed: bool


@dataclass(frozen=True)
class Fouling:
    """How a membrane fouls and what brings it back.

    Parameters
    ----------
    lasting_fraction : condition just washed
    loss_per_h : of the logarithm of the condition, an hour of running
    wash_fraction, rinse_fraction : part of what was lost that they bring back
    """

    lasting_fraction: float
    loss_per_h: float
    wash_fraction: float
    rinse_fraction: float


@dataclass(frozen=True)
class Interval:
    """How long to run between two washes.

    Parameters
    ----------
    hours_h : run between two washes
    why : "money" where the permeate lost is worth a wash by then; "manual" where a tenth is gone
        before that; "never" where neither comes in a season
    """

    hours_h: float
    why: str


def wash_interval(plant: Plant, usual: Usual, fouling: Fouling) -> Interval:
    """Return how long to run between two washes.

    Parameters
    ----------
    plant : the machine and the prices
    usual : how it is run
    fouling : how it fouls
    """
    lost = lost_by_hour(plant, usual, fouling)  # share of permeate, at the end of each hour
    hours = np.arange(1, len(lost) + 1, dtype=np.float64)
    clean_kg_h = 3600.0 * _permeate(plant, usual, fouling.lasting_fraction)
    lost_money = np.cumsum(lost) * clean_kg_h * boiling_money_kg(plant)
    each_hour = (wash_money(plant) + lost_money) / hours
    priced = bool(lost_money[-1] > 0.0)  # where nothing costs anything, nothing is cheapest
    by_money = int(np.argmin(each_hour)) if priced else len(lost)
    over = np.flatnonzero(lost >= MANUAL_LOSS_FRACTION)
    by_manual = int(over[0]) if len(over) else len(lost)
    if min(by_money, by_manual) >= len(lost) - 1:
        return Interval(LONGEST_H, "never")
    if by_manual < by_money:
        return Interval(float(hours[by_manual]), "manual")
    return Interval(float(hours[by_money]), "money")


def lost_by_hour(plant: Plant, usual: Usual, fouling: Fouling) -> Floats:
    """Return the share of permeate lost at the end of each hour run since a wash, (hours,).

    The wash is one of many: it leaves what it always leaves.
    """
    logs = np.linspace(math.log(0.3), 0.0, _GRID)
    made = np.array(
        [_permeate(plant, usual, fouling.lasting_fraction * math.exp(each)) for each in logs]
    )
    share = made / made[-1]
    fouled = -math.expm1(-fouling.loss_per_h * plant.house.habit.wash_after_s / 3600.0)
    state, lost, run_h = math.log1p((fouling.wash_fraction - 1.0) * fouled), [], 0.0
    for _ in range(int(LONGEST_H)):
        state -= fouling.loss_per_h
        lost.append(1.0 - float(np.interp(state, logs, share)))
        run_h += 1.0
        if usual.rinsed and run_h >= usual.day_h:
            left = math.exp(state)
            state, run_h = math.log(left + fouling.rinse_fraction * (1.0 - left)), 0.0
    return np.array(lost)


def lost_money_h(plant: Plant, usual: Usual, lasting_fraction: float) -> float:
    """Return what is lost in an hour of running against a new element, freshly washed both."""
    missing_kg_s = _permeate(plant, usual, 1.0) - _permeate(plant, usual, lasting_fraction)
    return float(3600.0 * max(missing_kg_s, 0.0) * boiling_money_kg(plant))


def _permeate(plant: Plant, usual: Usual, condition_fraction: float) -> float:
    assert plant.membrane_map is not None
    return permeate_kg_s(
        plant.membrane_map.machine,
        condition_fraction,
        usual.pressure_pa,
        usual.concentrate_flow_m3_s,
        usual.feed_brix,
        usual.temperature_c,
    )
