"""Make a plan plainer where that costs next to nothing: fewer actions, sooner, safer gauges."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Protocol

import numpy as np

from sugarwright.planning.choices import (
    AGAIN,
    BURN,
    CALL_FLOW,
    GATHER,
    LIGHT,
    SAP_CALL,
    SAP_GAUGE,
    START,
    STOCK_CALL,
    STOCK_GAUGE,
    STOP,
    WASH,
    Menu,
    Move,
    Picks,
    all_changed,
    changed,
    without_idle,
)
from sugarwright.plant.tank_kernel import Floats

PLAIN_MONEY = 0.3  # what one plainer choice may cost
PLAIN_TOTAL_MONEY = 1.0  # and all of them together
GAUGE_MONEY = 0.05  # a gauge is raised while it costs no more: rounding, not a price
GUARD_MONEY = 1.0  # what the call of a tank may cost: some weathers know no run like the greatest


class Values(Protocol):
    """Whoever knows what plans are worth."""

    def values(self, picks: Picks) -> Floats:
        """Return what plans are worth."""

    def value(self, picks: Picks) -> float:
        """Return what one plan is worth."""

    @property
    def is_over(self) -> bool:
        """Whether the clock leaves no time for more."""


def plainer(menu: Menu, judged: Values, best: Picks, slack_min: float = 0.0) -> Picks:
    """Drop what is not needed and make the rest plain, where that costs next to nothing.

    Parameters
    ----------
    menu : what can be chosen
    judged : what plans are worth
    best : (days, choices)
    slack_min : how late somebody may be for a fire and still lose nothing, where that is free

    Returns
    -------
    Picks worth at most ``PLAIN_TOTAL_MONEY`` less, and what the calls of full tanks cost beside it;
    less plain where the clock has ended that.
    """
    floor = judged.value(best) - PLAIN_TOTAL_MONEY
    fire = partial(_fire_in_good_time, slack_min=slack_min)
    for step in (_by_the_clock, _fewer, _earliest, fire, _guarded):
        if judged.is_over:
            break
        best = step(menu, judged, best, floor)
    return best


def _fewer(menu: Menu, judged: Values, best: Picks, floor: float) -> Picks:
    """Leave out what gains next to nothing."""
    for d in range(menu.days):
        for change in _plain_changes(menu):
            trial = all_changed(best, d, [change])[0]
            if judged.value(trial) >= max(judged.value(best) - PLAIN_MONEY, floor):
                best = trial
    return best


def _plain_changes(menu: Menu) -> list[Move]:
    """Changes that ask less of a person: nothing, or as long as it lasts.

    A call goes before the hour that it is for: an hour is what a person can plan with.
    """
    trips: list[Move] = [((GATHER, 0),)] if menu.gathers else []
    return [
        *trips,
        ((CALL_FLOW, 0),),
        ((SAP_CALL, 0),),
        ((STOCK_CALL, 0),),
        ((WASH, 0),),
        ((LIGHT, 0), (STOCK_CALL, 0)),
        ((START, 0), (SAP_CALL, 0)),
        ((STOP, 0),),
        ((AGAIN, 0),),
        ((BURN, len(menu.burns_min) - 1),),
    ]


def _by_the_clock(menu: Menu, judged: Values, best: Picks, floor: float) -> Picks:
    """Plan by clock and gauge what the search left to a tank's call alone, where that is as good.

    "Light when the stock tank has 80 gal" is the same at the first hour as at any hour.
    """
    pairs = (
        (START, SAP_CALL, SAP_GAUGE, menu.sap_calls_m3, menu.sap_gauges_m3),
        (LIGHT, STOCK_CALL, STOCK_GAUGE, menu.stock_calls_m3, menu.stock_gauges_m3),
    )
    sizes = menu.sizes()
    for d in range(menu.days):
        for start, call, gauge, calls_m3, gauges_m3 in pairs:
            if best[d, start] or not best[d, call] or sizes[d, start] < 2:
                continue
            trial = best.copy()
            trial[d, start], trial[d, call] = 1, 0
            needed_m3 = max(calls_m3[best[d, call]], gauges_m3[best[d, gauge]])
            trial[d, gauge] = np.argmin(np.abs(gauges_m3 - needed_m3))
            if start == LIGHT:
                trial[d, BURN] = len(menu.burns_min) - 1
            if judged.value(trial) >= max(judged.value(best) - PLAIN_MONEY, floor):
                best = without_idle(trial)
    return best


def _fire_in_good_time(
    menu: Menu, judged: Values, best: Picks, floor: float, slack_min: float
) -> Picks:
    """Name a fire's latest hour that costs nothing, or one before it that leaves some slack.

    Before that latest hour the gauge is not met anyway, or there is feed enough to wait.
    """
    sizes = menu.sizes()
    for d in range(menu.days):
        if best[d, LIGHT] == 0:
            continue
        least = max(judged.value(best) - GAUGE_MONEY, floor)
        trials = [changed(best, d, LIGHT, each) for each in range(sizes[d, LIGHT])]
        fine = judged.values(np.array(trials[best[d, LIGHT] :])) >= least
        named = int(best[d, LIGHT] + np.flatnonzero(fine)[-1])
        in_time_min = menu.lights[d][named] - slack_min
        while named > 1 and menu.lights[d][named - 1] >= in_time_min:
            if judged.value(trials[named - 1]) < least:
                break
            named -= 1
        best = trials[named]
    return best


def _earliest(menu: Menu, judged: Values, best: Picks, floor: float) -> Picks:
    """Start the membrane as early as costs next to nothing: it is the slow one, and may be late."""
    for d in range(menu.days):
        if best[d, START] > 1:
            trials = [changed(best, d, START, each) for each in range(1, best[d, START] + 1)]
            least = max(judged.value(best) - PLAIN_MONEY, floor)
            best = trials[int(np.flatnonzero(judged.values(np.array(trials)) >= least)[0])]
    return best


def _guarded(menu: Menu, judged: Values, best: Picks, floor: float) -> Picks:
    """Raise each gauge to one step below the highest that costs nothing.

    A gauge does nothing while all goes as expected; on another day it keeps a person from lighting
    a fire for a quarter of an hour's feed. The step below leaves room for a reading that is off.
    A nearly full tank calls for whoever is there, where that costs next to nothing.
    """
    sizes = menu.sizes()
    for d in range(menu.days):
        for choice, needed in ((SAP_GAUGE, START), (STOCK_GAUGE, LIGHT)):
            if best[d, needed] == 0:
                continue
            trials = np.array([changed(best, d, choice, each) for each in range(sizes[d, choice])])
            least = max(judged.value(best) - GAUGE_MONEY, floor)
            fine = np.flatnonzero(judged.values(trials) >= least)
            if len(fine) == 0:  # the calls of days before have cost all that a plainer plan may
                continue
            highest = int(fine[-1])
            best = trials[highest - 1 if highest - 1 in fine else highest]
        best = _with_calls(judged, best, d, sizes[d])
    return best


def _with_calls(judged: Values, best: Picks, day: int, sizes: Picks) -> Picks:
    """Let full tanks call on a day: at the best level, to the best setting of the membrane.

    Only today that is worth the trouble: later days are planned anew.
    """
    calls, flows = sizes[SAP_CALL] if day == 0 else 2, sizes[CALL_FLOW]
    ways = [
        ((SAP_CALL, call), (CALL_FLOW, flow)) for call in range(1, calls) for flow in range(flows)
    ]
    if sizes[SAP_CALL] > 1 and (day == 0 or not best[day, SAP_CALL]):
        best = _best_of(judged, best, day, ways)
    if sizes[STOCK_CALL] > 1 and not best[day, STOCK_CALL]:
        best = _best_of(judged, best, day, [((STOCK_CALL, 1),)])
    return best


def _best_of(judged: Values, best: Picks, day: int, ways: Sequence[Move]) -> Picks:
    """Return the best of some ways to be on guard, unless it costs too much."""
    trials = all_changed(best, day, ways)
    values = judged.values(trials)
    dear = values.max() < judged.value(best) - GUARD_MONEY
    return best if dear else trials[int(np.argmax(values))]
