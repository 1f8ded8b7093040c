"""Which reading would tell most about the lasting fall: its spread after each that could be made.

The spread that a reading will leave does not depend on what it will say (as long as the course is
nearly straight in its parameters): so it can be computed beforehand, by adding the reading's own
information (D.V. Lindley, Ann. Math. Stat. 27, 1956; from memory).
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.membrane_condition import Seen
from sugarwright.learning.membrane_course import DAY_S, FALL, Course
from sugarwright.learning.membrane_fit import Fit, errors_of
from sugarwright.learning.membrane_log import Input, Reading, Step

Floats = NDArray[np.float64]
Told = tuple[Reading, Seen]

MOST_DAYS = 45
BETTER_THERMOMETER_K = 0.1


@dataclass(frozen=True)
class Days:
    """How a coming day goes, as days went.

    Parameters
    ----------
    run_h : hours run
    readings : while it runs
    rinsed : whether it is rinsed after the run
    wash_every : days between washes; 0: none
    """

    run_h: float
    readings: int
    rinsed: bool
    wash_every: int


@dataclass(frozen=True)
class ToRead:
    """A reading that could be made tomorrow, and what it would tell.

    Parameters
    ----------
    what : "one reading", "a day of readings", "a day with a better thermometer",
        "a clean-water test", "a wash, then a clean-water test", "a wash, then a reading"
    sd_ratio : spread of the lasting fall after it, by the spread now
    """

    what: str
    sd_ratio: float


def next_readings(fit: Fit, days: Days, running: Told, clean: Told) -> tuple[ToRead, ...]:
    """Return what could be read tomorrow, what tells most first.

    Parameters
    ----------
    fit : the course as learnt
    days : how days go
    running, clean : a reading while it runs and a clean-water test, as they would be
    """
    day = _a_day(days, max(days.readings, 1))
    better = _with_thermometer(running)
    wash = Step("wash", 0.0)
    plans: dict[str, list[tuple[Step, Told | None]]] = {
        "one reading": _a_day(days, 1),
        "a clean-water test": [(Step("read", 0.0), clean)],
        "a wash, then a clean-water test": [(wash, None), (Step("read", 0.0), clean)],
        "a wash, then a reading": [(wash, None), (Step("read", 0.0), running)],
    }
    if days.readings > 1:
        plans["a day of readings"] = day
    plans["a day with a better thermometer"] = [
        (step, better if step.what == "read" else None) for step, _ in day
    ]
    at_s = fit.course.end_s + DAY_S
    now = fit.sd(FALL)
    found = [
        ToRead(what, sd_after(fit, [_dated(plan, at_s, running)]) / now)
        for what, plan in plans.items()
    ]
    return tuple(sorted(found, key=lambda each: each.sd_ratio))


def days_to_tell(fit: Fit, days: Days, running: Told, fall_log: float) -> int | None:
    """Return after how many more such days a fall would be told from none; None if not in time.

    Parameters
    ----------
    fit, days, running : as for :func:`next_readings`
    fall_log : a day, of the natural logarithm of the lasting part, that is to be told
    """
    coming: list[list[tuple[Step, Told | None]]] = []
    for ahead in range(1, MOST_DAYS + 1):
        day = _a_day(days, max(days.readings, 1))
        if days.wash_every and ahead % days.wash_every == 0:
            day.append((Step("wash", 0.0), None))
        elif days.rinsed:
            day.append((Step("rinse", 0.0), None))
        coming.append(_dated(day, fit.course.end_s + ahead * DAY_S, running))
        if 1.645 * sd_after(fit, coming) < fall_log:
            return ahead
    return None


def sd_after(fit: Fit, coming: Sequence[Sequence[tuple[Step, Told | None]]]) -> float:
    """Return the spread that the lasting fall will have after some coming days.

    Parameters
    ----------
    fit : the course as learnt
    coming : each day's steps in order, with what is read at those that are readings
    """
    known = fit.course.read
    steps = [*fit.course.steps, *(step for day in coming for step, _ in day)]
    read = [(told, number) for number, day in enumerate(coming) for _, told in day if told]
    course = Course(tuple(steps), fit.course.end_s)
    mean = np.zeros(course.size)
    mean[: fit.course.size] = fit.mean
    _, slopes, _ = course.with_slopes(mean)
    information = np.eye(course.size)
    old = slice(0, fit.course.size)
    information[old, old] = np.linalg.inv(fit.covariance)
    errors = errors_of(
        [told[0] for told, _ in read], [told[1] for told, _ in read], [day for _, day in read]
    )
    scatter = fit.scatter_ratio
    spread = np.diag(errors.own_sd**2) + errors.shared @ errors.shared.T
    new = slopes[known:]
    information += new.T @ np.linalg.solve(scatter**2 * spread, new)
    return float(math.sqrt(np.linalg.inv(information)[FALL, FALL]))


def _a_day(days: Days, readings: int) -> list[tuple[Step, Told | None]]:
    """Return a day's run with so many readings, evenly over it; readings not yet filled in."""
    gap_h = days.run_h / readings
    found: list[tuple[Step, Told | None]] = []
    for count in range(readings):
        found.append((Step("run", 0.0, gap_h if count else 0.5 * gap_h), None))
        found.append((Step("read", 0.0), None))
    found.append((Step("run", 0.0, 0.5 * gap_h), None))
    return found


def _dated(
    plan: Sequence[tuple[Step, Told | None]], at_s: float, running: Told
) -> list[tuple[Step, Told | None]]:
    """Put a plan on a day, and readings while running where none were named."""
    return [
        (
            dataclasses.replace(step, at_s=at_s),
            (told or running) if step.what == "read" else None,
        )
        for step, told in plan
    ]


def _with_thermometer(running: Told) -> Told:
    reading, seen = running
    sent = reading.inputs["temperature"]
    better = Input(sent.value, min(sent.sd, BETTER_THERMOMETER_K))
    return dataclasses.replace(reading, inputs={**reading.inputs, "temperature": better}), seen
