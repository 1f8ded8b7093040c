"""Find a good plan: cross-entropy over the menu, day by day in ever more weathers, the plainest.

The budget is counted in candidates, all judged in the same weathers, so that a seed gives one plan
on one core or many; a clock may only stop the search early, and then it says so. A single forecast
would be overfitted: more search then makes the plan *worse*. In several perturbed ones the best of
thousands still owes some of its worth to just those; so the best few are judged again in more, and
the best of them is refined there, by options that have been looked at in all the weathers before.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sugarwright.planning.choices import Menu, Move, Picks, all_changed, without_idle
from sugarwright.planning.lateness import LATE_MIN
from sugarwright.planning.plainer import plainer
from sugarwright.plant.tank_kernel import Floats

ELITE = 12
SCREENED = 12  # changes of a day that are looked at in all weathers, of those tried in a few
MOST_PASSES = 3  # day by day, where there are no more weathers to refine a plan in
FINALISTS = 24  # the best in the weathers of the search, told apart in more
HASTY_FINALISTS = 6  # of a search that the clock has ended
COMPARING_S = 0.08  # what the clock leaves for telling those apart
AT_ONCE = 16  # candidates between two looks at the clock, where there is one

Judge = Callable[[Picks], Floats]
"""From plans of a menu, (plans, days, choices), to what each is worth."""


@dataclass(frozen=True)
class Budget:
    """How much may be searched.

    The defaults cost a quarter less than 96 candidates in 6 rounds and 5 passes, and their plans
    were worth the same in 200 other weathers (24 searches: +0.02 with a standard error of 1.66).

    Parameters
    ----------
    population : candidates drawn in each round
    rounds : of drawing and leaning towards the best
    seconds : wall clock by which an answer is wanted: no further candidates are drawn then, and few
        are told apart; None: no limit, and then the same seed gives the same plan
    """

    population: int = 48
    rounds: int = 4
    seconds: float | None = None


USUAL = Budget()


@dataclass(frozen=True)
class Found:
    """The plan found.

    Parameters
    ----------
    picks : (days, choices)
    value_money : its mean net worth over the weathers of comparison, if there are any
    best_money : that of the best candidate, before it was made plainer
    candidates : how many were judged
    stopped_early : the clock ended the search
    """

    picks: Picks
    value_money: float
    best_money: float
    candidates: int
    stopped_early: bool


def search(
    menu: Menu,
    judge: Judge,
    seed: int,
    presets: Picks,
    budget: Budget | None = None,
    screen: Judge | None = None,
    compare: Judge | None = None,
) -> Found:
    """Search the menu.

    Parameters
    ----------
    menu : what can be chosen
    judge : plans -> mean net worth
    seed : of the draws
    presets : (plans, days, choices) to begin with: sensible plans, yesterday's
    budget : how much to search
    screen : like ``judge``, in fewer weathers: chooses which neighbours of a good plan are judged
    compare : like ``judge``, in more weathers: chooses among the best that were found, refines the
        best of them, and says how plain a plan may be

    Returns
    -------
    Found
    """
    budget = budget or USUAL
    ends_s = None
    if budget.seconds is not None:
        ends_s = time.monotonic() + max(0.0, budget.seconds - COMPARING_S)
    ledger = Ledger(judge, ends_s)
    screening = Ledger(screen) if screen else ledger
    best = _cross_entropy(menu, ledger, np.random.default_rng(seed), presets, budget)
    for _ in range(1 if compare else MOST_PASSES):
        better = _day_by_day(menu, ledger, screening, best)
        if ledger.is_over or np.array_equal(better, best):
            break
        best = better
    comparing = Ledger(compare, ends_s) if compare else ledger
    if compare:
        finalists = ledger.best(HASTY_FINALISTS if ledger.is_over else FINALISTS, menu)
        best = finalists[int(np.argmax(comparing.values(finalists)))]
        best = _day_by_day(menu, comparing, ledger, best)
    best_money = comparing.value(best)
    plain = plainer(menu, comparing, best, LATE_MIN if compare else 0.0)
    count = sum(each.count for each in {ledger, screening, comparing})
    return Found(plain, comparing.value(plain), best_money, count, ledger.is_over)


class Ledger:
    """Judges candidates once each, counts them, and looks at the clock.

    Parameters
    ----------
    judge : plans -> mean net worth
    ends_s : monotonic clock at which the search is over; None: never
    """

    def __init__(self, judge: Judge, ends_s: float | None = None) -> None:
        self._judge = judge
        self._known: dict[bytes, float] = {}
        self._ends_s = ends_s
        self.count = 0

    @property
    def is_over(self) -> bool:
        """Whether the clock has ended the search."""
        return self._ends_s is not None and time.monotonic() >= self._ends_s

    def values(self, picks: Picks) -> Floats:
        """Return what plans are worth; those not seen before are judged."""
        picks = without_idle(picks)
        keys = [one.tobytes() for one in picks]
        new = {key: i for i, key in enumerate(keys) if key not in self._known}
        if new:
            found = self._judge(picks[list(new.values())])
            self._known.update(zip(new, found.tolist(), strict=True))
            self.count += len(new)
        return np.array([self._known[key] for key in keys])

    def values_in_time(self, picks: Picks) -> Floats:
        """The same, but minus infinity for those that the clock leaves no time for."""
        if self._ends_s is None:
            return self.values(picks)
        found = np.full(len(picks), -np.inf)
        for first in range(0, len(picks), AT_ONCE):
            if self.is_over:
                break
            found[first : first + AT_ONCE] = self.values(picks[first : first + AT_ONCE])
        return found

    def best(self, count: int, menu: Menu) -> Picks:
        """Return the best plans of a menu judged so far, (plans, days, choices)."""
        shape = menu.days, menu.choices
        keys = sorted(self._known, key=self._known.__getitem__, reverse=True)[:count]
        return np.array([np.frombuffer(key, np.int64).reshape(shape) for key in keys])

    def value(self, picks: Picks) -> float:
        """Return what one plan is worth."""
        return float(self.values(picks[np.newaxis])[0])


def _cross_entropy(
    menu: Menu, ledger: Ledger, draws: np.random.Generator, presets: Picks, budget: Budget
) -> Picks:
    """Draw candidates from shares that lean towards the best so far; half are mutated elites."""
    sizes = menu.sizes()
    half = budget.population // 2
    shares = [[np.full(size, 1.0 / size) for size in day] for day in sizes]
    elites = without_idle(presets)
    values = ledger.values(elites)
    for turn in range(budget.rounds):
        if ledger.is_over:
            break
        drawn = half if turn else max(0, budget.population - len(presets))
        new = _drawn(shares, draws, drawn)
        if turn:
            new = np.concatenate([new, _mutated(elites, sizes, draws, budget.population - half)])
        new = without_idle(new)
        elites = np.concatenate([elites, new])
        values = np.concatenate([values, ledger.values(new)])
        order = np.argsort(-values, kind="stable")[:ELITE]
        elites, values = elites[order], values[order]
        _lean(shares, elites)
    best: Picks = elites[int(np.argmax(values))]
    return best


def _drawn(shares: list[list[Floats]], draws: np.random.Generator, count: int) -> Picks:
    picks = np.empty((count, len(shares), len(shares[0])), dtype=np.int64)
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


def _day_by_day(menu: Menu, ledger: Ledger, screening: Ledger, best: Picks) -> Picks:
    """Try every other option of a day's choices, and the best of several choices together.

    All options of a day are looked at in a few weathers, the likeliest in all of them.
    """
    sizes = menu.sizes()
    for d in range(menu.days):
        moves: list[Move] = [
            ((g, each),)
            for g in range(menu.choices)
            for each in range(sizes[d, g])
            if sizes[d, g] > 1
        ]
        moves += menu.pairs(d)
        if not moves or ledger.is_over:
            continue
        trials = all_changed(best, d, moves)
        likely = np.argsort(-screening.values_in_time(trials), kind="stable")[:SCREENED]
        values = ledger.values_in_time(trials[likely])
        order = np.argsort(-values, kind="stable")
        gains = [moves[likely[i]] for i in order if values[i] > ledger.value(best)]
        together = _together(best, d, gains)
        if len(together):
            best = together[int(np.argmax(ledger.values(together)))]
    return best


def _together(best: Picks, day: int, gains: list[Move]) -> Picks:
    """Apply changes that gain one after the other, the best first, one for each choice."""
    found: list[Picks] = []
    seen: set[int] = set()
    for move in gains:
        if seen.isdisjoint(choice for choice, _ in move):
            seen.update(choice for choice, _ in move)
            found.append(all_changed(found[-1] if found else best, day, [move])[0])
    return np.array(found)
