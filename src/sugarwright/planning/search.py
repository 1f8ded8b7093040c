"""Find a good plan: cross-entropy over the menu, then one choice at a time, then the plainest.

The budget is counted in candidates, all judged in the same weathers, so that a seed gives one plan
on one core or many. A single forecast would be overfitted: more search then makes the plan *worse*;
several perturbed ones do not allow it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sugarwright.planning.choices import (
    BURN,
    CHOICES,
    LIGHT,
    SAP_GAUGE,
    START,
    STOCK_GAUGE,
    WASH,
    Menu,
    Picks,
    rows,
)
from sugarwright.plant.assemble import Plant
from sugarwright.plant.simulate import Drive, run_many
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.worth import broken_s, worth_lines

POPULATION = 96
ROUNDS = 6
ELITE = 12
MOST_PASSES = 4
PLAIN_MONEY = 1.0  # what one plainer choice may cost
PLAIN_TOTAL_MONEY = 3.0  # and all of them together
GAUGE_MONEY = 0.05  # a gauge is raised while it costs no more: rounding, not a price
BROKEN_MONEY = 1e6  # not a price: a plan that breaks a rule loses to any that does not

Judge = Callable[[Picks], Floats]


@dataclass(frozen=True)
class Found:
    """The plan found.

    Parameters
    ----------
    picks : (days, ``CHOICES``)
    value_money : its mean net worth over the weathers of the search
    best_money : that of the best candidate, before it was made plainer
    candidates : how many were judged
    """

    picks: Picks
    value_money: float
    best_money: float
    candidates: int


def make_judge(plant: Plant, drive: Drive, menu: Menu, state: Floats) -> Judge:
    """Return a function that gives many plans' mean net worth over the drive's weathers."""

    def judge(picks: Picks) -> Floats:
        return judge_plans(plant, drive, rows(menu, picks), state)

    return judge


def judge_plans(plant: Plant, drive: Drive, plans: Floats, state: Floats) -> Floats:
    """Mean net worth of plans over all weathers; one broken rule in one of them sinks a plan."""
    results = run_many(plant, drive, plans, state)
    net = worth_lines(plant, results.totals, results.states).net
    broken = broken_s(results.totals)
    value: Floats = (net - BROKEN_MONEY * (broken > 0.0) - broken).mean(axis=1)
    return value


def search(menu: Menu, judge: Judge, seed: int, presets: Picks) -> Found:
    """Search the menu.

    Parameters
    ----------
    menu : what can be chosen
    judge : plans -> mean net worth
    seed : of the draws
    presets : (plans, days, ``CHOICES``) to begin with: sensible plans, yesterday's

    Returns
    -------
    Found
    """
    ledger = _Ledger(judge)
    draws = np.random.default_rng(seed)
    best = _cross_entropy(menu, ledger, draws, presets)
    for _ in range(MOST_PASSES):
        better = _one_at_a_time(menu, ledger, best)
        if np.array_equal(better, best):
            break
        best = better
    best_money = ledger.value(best)
    plain = _plainer(menu, ledger, best)
    return Found(plain, ledger.value(plain), best_money, ledger.count)


class _Ledger:
    """Judges candidates once each, and counts them."""

    def __init__(self, judge: Judge) -> None:
        self._judge = judge
        self._known: dict[bytes, float] = {}
        self.count = 0

    def values(self, picks: Picks) -> Floats:
        """Return what plans are worth; those not seen before are judged."""
        keys = [one.tobytes() for one in picks]
        new = {key: i for i, key in enumerate(keys) if key not in self._known}
        if new:
            found = self._judge(picks[list(new.values())])
            self._known.update(zip(new, found.tolist(), strict=True))
            self.count += len(new)
        return np.array([self._known[key] for key in keys])

    def value(self, picks: Picks) -> float:
        """Return what one plan is worth."""
        return float(self.values(picks[np.newaxis])[0])


def _cross_entropy(
    menu: Menu, ledger: _Ledger, draws: np.random.Generator, presets: Picks
) -> Picks:
    """Draw candidates from shares that lean towards the best so far; half are mutated elites."""
    sizes = menu.sizes()
    shares = [[np.full(size, 1.0 / size) for size in day] for day in sizes]
    elites = np.concatenate([presets, _drawn(shares, draws, max(0, POPULATION - len(presets)))])
    values = ledger.values(elites)
    for _ in range(ROUNDS - 1):
        order = np.argsort(-values, kind="stable")[:ELITE]
        elites, values = elites[order], values[order]
        _lean(shares, elites)
        new = np.concatenate([
            _drawn(shares, draws, POPULATION // 2),
            _mutated(elites, sizes, draws, POPULATION - POPULATION // 2),
        ])  # fmt: skip
        elites = np.concatenate([elites, new])
        values = np.concatenate([values, ledger.values(new)])
    best: Picks = elites[int(np.argmax(values))]
    return best


def _drawn(shares: list[list[Floats]], draws: np.random.Generator, count: int) -> Picks:
    picks = np.empty((count, len(shares), CHOICES), dtype=np.int64)
    for d, day in enumerate(shares):
        for g, share in enumerate(day):
            picks[:, d, g] = draws.choice(len(share), size=count, p=share)
    return picks


def _lean(shares: list[list[Floats]], elites: Picks) -> None:
    """Move the shares two thirds of the way to those of the elite, and keep every option alive."""
    for d, day in enumerate(shares):
        for g, share in enumerate(day):
            seen = np.bincount(elites[:, d, g], minlength=len(share)) / len(elites)
            leaning = 0.35 * share + 0.65 * seen + 0.02 / len(share)
            day[g] = leaning / leaning.sum()


def _mutated(elites: Picks, sizes: Picks, draws: np.random.Generator, count: int) -> Picks:
    """Children of two elites with a few choices changed, mostly to a neighbouring option."""
    first = elites[draws.integers(len(elites), size=count)]
    second = elites[draws.integers(len(elites), size=count)]
    child = np.where(draws.random(first.shape) < 0.7, first, second)
    near = child + draws.integers(-2, 3, size=child.shape)
    anywhere = draws.integers(0, sizes, size=child.shape)
    moved = np.where(draws.random(child.shape) < 0.6, near, anywhere)
    mutated = np.where(draws.random(child.shape) < 0.12, moved, child)
    clipped: Picks = np.clip(mutated, 0, sizes - 1)
    return clipped


def _one_at_a_time(menu: Menu, ledger: _Ledger, best: Picks) -> Picks:
    """Try every other option of every choice, keep the best of each day's, and go on from there."""
    sizes = menu.sizes()
    value = ledger.value(best)
    for d in range(menu.days):
        trials = [
            _changed(best, d, g, option) for g in range(CHOICES) for option in range(sizes[d, g])
        ]
        values = ledger.values(np.array(trials))
        if values.max() > value:
            best, value = trials[int(np.argmax(values))], float(values.max())
    return best


def _changed(picks: Picks, day: int, choice: int, option: int) -> Picks:
    new = picks.copy()
    new[day, choice] = option
    return new


def _plainer(menu: Menu, ledger: _Ledger, best: Picks) -> Picks:
    """Drop what is not needed and make the rest plain, where that costs next to nothing."""
    floor = ledger.value(best) - PLAIN_TOTAL_MONEY
    value = ledger.value(best)
    for d in range(menu.days):
        for choice, option in _plain_options(menu):
            if best[d, choice] == option:
                continue
            trial = _changed(best, d, choice, option)
            trial_value = ledger.value(trial)
            if trial_value >= max(value - PLAIN_MONEY, floor):
                best, value = trial, trial_value
    return _guarded(menu, ledger, _earliest(menu, ledger, best))


def _earliest(menu: Menu, ledger: _Ledger, best: Picks) -> Picks:
    """Start the membrane as early as costs next to nothing: it is the slow one, and may be late."""
    for d in range(menu.days):
        if best[d, START] > 1:
            trials = [_changed(best, d, START, each) for each in range(1, best[d, START] + 1)]
            fine = np.flatnonzero(
                ledger.values(np.array(trials)) >= ledger.value(best) - PLAIN_MONEY
            )
            best = trials[int(fine[0])]
    return best


def _plain_options(menu: Menu) -> list[tuple[int, int]]:
    """Choices with the option that asks least of a person: nothing, or as long as it lasts."""
    return [(WASH, 0), (LIGHT, 0), (START, 0), (BURN, len(menu.burns_min) - 1)]


def _guarded(menu: Menu, ledger: _Ledger, best: Picks) -> Picks:
    """Raise each gauge to one step below the highest that costs nothing.

    A gauge does nothing while all goes as expected; on another day it keeps a person from lighting
    a fire for a quarter of an hour's feed. The step below leaves room for a reading that is off.
    """
    sizes = menu.sizes()
    for d in range(menu.days):
        for choice in (SAP_GAUGE, STOCK_GAUGE):
            trials = np.array([_changed(best, d, choice, each) for each in range(sizes[d, choice])])
            fine = np.flatnonzero(ledger.values(trials) >= ledger.value(best) - GAUGE_MONEY)
            highest = int(fine[-1])
            best = trials[highest - 1 if highest - 1 in fine else highest]
    return best
