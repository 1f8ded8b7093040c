"""The season's balance fitted to all its readings at once, and what does not fit.

The readings are a function of the unknowns; the least squares are found by Gauss-Newton steps. The
last step is linear, and there the mismatch of readings is the same as in
:mod:`~sugarwright.ledger.reconcile` with every unknown as an unmeasured stream: its tests apply.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sugarwright.ledger.reconcile import Floats
from sugarwright.ledger.slopes import Number
from sugarwright.ledger.tape import Doubted, Key, Leak, Statement, Tape
from sugarwright.ledger.timeline import Timeline
from sugarwright.ledger.walk import Walk, walk
from sugarwright.plant.house import House

STEPS = 40
DAMPINGS = (0.0, 1e-3, 1e-2, 0.1, 1.0, 10.0, 100.0)
SETTLED = 0.03
"""A step that improves the sum of squares by less is the last."""


@dataclass(frozen=True)
class Fit:
    """A season whose readings agree as well as they can.

    Parameters
    ----------
    walked : the balance at the best unknowns
    statements : readings, and what is known of the plant
    leaks : where something may have been lost or come unseen
    covariance : (unknowns, unknowns)
    missed : (statements + unknowns,), in standard deviations: what is left of each, and how far
        each unknown is from what was believed beforehand
    of_statement : (statements + unknowns, statements), by how much one that is one standard
        deviation too high moves ``missed``
    of_leak : (statements + unknowns, leaks), by how much a kilogram lost moves it
    """

    walked: Walk
    statements: tuple[Statement, ...]
    leaks: tuple[Leak, ...]
    covariance: Floats
    missed: Floats
    of_statement: Floats
    of_leak: Floats

    @property
    def cost(self) -> float:
        """Sum of squares of what is left: chi-square when nothing is wrong."""
        return float(self.missed @ self.missed)

    @property
    def values(self) -> dict[Key, float]:
        """The unknowns at their best, by name and period."""
        tape = self.walked.tape
        assert tape.at is not None
        return {key: float(tape.at[place]) for key, place in tape.keys.items()}

    def sd(self, number: Number) -> float:
        """Return the standard uncertainty of what the balance makes of something."""
        slopes = number.slopes[: len(self.covariance)]
        return math.sqrt(max(float(slopes @ self.covariance @ slopes), 0.0))


def fit_season(
    house: House,
    timeline: Timeline,
    doubted: Sequence[Doubted] = (),
    start: Mapping[Key, float] | None = None,
) -> Fit:
    """Fit the balance of a season.

    Parameters
    ----------
    house : the described house
    timeline : what was entered
    doubted : statements that are not believed, and leaks that are
    start : unknowns to start from, where they are known of a fit nearly the same
    """
    task = _task(house, timeline, doubted)
    best = task.solve({} if start is None else start, STEPS)
    return _made(task.first, task.look(best.at, leaking=True))


def cost_without(
    house: House, timeline: Timeline, doubted: Sequence[Doubted], start: Mapping[Key, float]
) -> float:
    """Return the sum of squares that is left when something is not believed.

    Parameters
    ----------
    house, timeline : the house and its record
    doubted : statements that are not believed, and leaks that are
    start : unknowns of the fit that still believed it
    """
    return _task(house, timeline, doubted).solve(start, 6).cost


def _task(house: House, timeline: Timeline, doubted: Sequence[Doubted]) -> _Task:
    first = Tape(frozenset(doubted))
    walk(house, timeline, first)
    return _Task(house, timeline, first)


@dataclass(frozen=True)
class _Look:
    """The balance at some values of the unknowns, in units of what was believed of each.

    ``missed`` and ``slopes`` have a row for each statement, and one for each unknown.
    """

    at: Floats
    walked: Walk
    missed: Floats
    slopes: Floats
    of_leak: Floats
    cost: float


@dataclass(frozen=True)
class _Task:
    house: House
    timeline: Timeline
    first: Tape

    def solve(self, start: Mapping[Key, float], steps: int) -> _Look:
        """Step until nothing is gained any more."""
        best = self.look(self.from_values(start))
        for _ in range(steps):
            found = self.better(best)
            settled = best.cost - found.cost < SETTLED
            best = found
            if settled:
                break
        return best

    def from_values(self, start: Mapping[Key, float]) -> Floats:
        """Return unknowns to start from, in units of what was believed."""
        at = np.zeros(len(self.first.unknowns))
        for key, place in self.first.keys.items():
            belief = self.first.unknowns[place]
            at[place] = (start.get(key, belief.guess) - belief.guess) / belief.sd
        return at

    def look(self, at: Floats, leaking: bool = False) -> _Look:
        """Walk through the balance."""
        guess = np.array([each.guess for each in self.first.unknowns])
        belief = np.array([each.sd for each in self.first.unknowns])
        tape = self.first.again(guess + belief * at, leaking)
        walked = walk(self.house, self.timeline, tape)
        sd = np.array([each.sd for each in tape.statements])
        read = np.array([each.value for each in tape.statements])
        predicted = np.array([each.value for each in tape.predicted])
        slopes = np.array([each.slopes for each in tape.predicted]).reshape(len(sd), tape.width)
        slopes /= sd[:, np.newaxis]
        of_unknowns = np.vstack([slopes[:, : len(at)] * belief, np.eye(len(at))])
        missed = np.concatenate([(read - predicted) / sd, -at])
        return _Look(at, walked, missed, of_unknowns, slopes[:, len(at) :], float(missed @ missed))

    def better(self, best: _Look) -> _Look:
        """Take a step; a damped one where the whole one makes things worse (Marquardt 1963)."""
        scale = np.sqrt((best.slopes**2).sum(axis=0))
        for damping in DAMPINGS:
            step = _step(best, math.sqrt(damping) * scale)
            found = self.look(best.at + step)
            if np.isfinite(found.cost) and found.cost <= best.cost:
                return found
        return best


def _step(best: _Look, damped: Floats) -> Floats:
    """Return the least squares step; triangularised for the reason of :func:`covariance_of`."""
    if damped.any():
        slopes = np.vstack([best.slopes, np.diag(damped)])
        missed = np.concatenate([best.missed, np.zeros(len(damped))])
    else:
        slopes, missed = best.slopes, best.missed
    turn, root = np.linalg.qr(slopes)
    return np.asarray(np.linalg.solve(root, turn.T @ missed), dtype=np.float64)


def covariance_of(slopes: Floats) -> Floats:
    """Return ``(J' J)^-1`` by orthogonal triangularisation.

    Forming ``J' J`` first squares the condition: where a belief is very wide beside a reading, that
    could leave a variance below zero. This one is a square, so it cannot be.

    Source: Golub & Van Loan, "Matrix Computations" (from memory), the full-rank least squares
    problem.
    """
    root = np.linalg.inv(np.linalg.qr(slopes, mode="r"))
    return np.asarray(root @ root.T, dtype=np.float64)


def _made(first: Tape, best: _Look) -> Fit:
    tape = best.walked.tape
    belief = np.array([each.sd for each in first.unknowns])
    inverse = covariance_of(best.slopes)
    count = len(tape.statements)
    pulled = best.slopes @ (inverse @ best.slopes[:count].T)
    of_statement = -pulled
    of_statement[:count] += np.eye(count)
    return Fit(
        best.walked,
        tuple(tape.statements),
        tuple(first.leaks),
        belief[:, np.newaxis] * inverse * belief,
        best.missed,
        of_statement,
        of_statement @ best.of_leak,
    )
