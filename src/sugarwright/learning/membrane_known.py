"""A membrane's course as its log teaches it, and what is told of it: cleanings, doubts, figures."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import NormalDist
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError
from sugarwright.learning.kept import Figure, Kept
from sugarwright.learning.membrane_condition import Seen, seen_in
from sugarwright.learning.membrane_course import (
    BEGIN,
    DAY_S,
    EACH_SD,
    FALL,
    FIXED,
    LEVEL,
    LOSS,
    RINSE,
    WASH,
    Course,
    logistic,
)
from sugarwright.learning.membrane_fit import QUESTIONED, Fit, errors_of, fit_course
from sugarwright.learning.membrane_lesson import Cleaning, Measured, Passed, Range
from sugarwright.learning.membrane_log import MembraneLog, Reading, membrane_log
from sugarwright.learning.membrane_prior import (
    CONDITION,
    LOSS_KEY,
    RINSE_KEY,
    WASH_KEY,
    membrane_prior,
)
from sugarwright.learning.remarks import Doubt, Remark
from sugarwright.logbook.entry import Entry
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.house import House, Membrane

Floats = NDArray[np.float64]

SURE = NormalDist().inv_cdf(0.95)
"""Standard deviations to each side of the middle 90 %."""
LEAST_NARROWING = 0.8
"""A figure is kept once its spread has shrunk to this part of what it was beforehand."""


class NothingReadError(InputError):
    """There is no membrane, or no reading that says how it does."""


@dataclass(frozen=True)
class Known:
    """All that a lesson is made of."""

    plant: Plant
    membrane: Membrane
    log: MembraneLog
    readings: tuple[Reading, ...]
    seen: tuple[Seen, ...]
    fit: Fit
    prior_sd: Floats


def fitted(house: House, entries: Sequence[Entry]) -> tuple[Known, list[Remark]]:
    """Return the course as learnt, and remarks on readings that no condition explains."""
    membrane = house.membrane
    if membrane is None:
        raise NothingReadError(
            "membrane", None, "is not in sugarhouse.toml", fix="Add [membrane] first."
        )
    log, plant = membrane_log(entries, house), assemble(house)
    assert plant.membrane_map is not None
    machine = plant.membrane_map.machine
    remarks: list[Remark] = []
    readings: list[Reading] = []
    seen: list[Seen] = []
    place_of: dict[int, int] = {}
    for place, reading in enumerate(log.readings):
        found = seen_in(reading, machine)
        if found is None:
            remarks.append(Remark(reading.at_s, "no condition of this membrane explains it"))
            continue
        place_of[place] = len(readings)
        readings.append(reading)
        seen.append(found)
    if not readings:
        problem = "no reading says how the membrane does"
        fix = (
            "Log permeate flow, concentrate flow, pressure, temperature and the sap's Brix while "
            "it runs, or a clean-water test"
        )
        raise NothingReadError("logbook", len(log.readings), problem, fix=fix)
    steps = [
        dataclasses.replace(each, reading=place_of.get(each.reading, -1))
        for each in log.steps
        if each.what != "read" or each.reading in place_of
    ]
    course = Course(tuple(steps), log.end_s)
    mean, sd = membrane_prior(course, membrane, since_new=log.since_new)
    days = days_of_readings(house, readings)
    condition_log = np.array([each.condition_log for each in seen])
    fit = fit_course(course, condition_log, errors_of(readings, seen, days), mean, sd)
    return Known(plant, membrane, log, tuple(readings), tuple(seen), fit, sd), remarks


def days_of_readings(house: House, readings: Sequence[Reading]) -> list[int]:
    """Return the local day of each reading, as a number."""
    zone = ZoneInfo(house.site.timezone)
    return [datetime.fromtimestamp(each.at_s, zone).toordinal() for each in readings]


def range_of(fit: Fit, place: int) -> Range:
    """Return a parameter with its middle 90 %."""
    middle, sd = float(fit.mean[place]), fit.sd(place)
    return Range(middle, middle - SURE * sd, middle + SURE * sd)


def range_of_log(fit: Fit, place: int) -> Range:
    """Return that whose logarithm is a parameter, with its middle 90 %."""
    found = range_of(fit, place)
    return Range(*(math.exp(each) for each in (found.middle, found.low, found.high)))


def loss_of(fit: Fit) -> Range:
    """Return the share lost in an hour of running, as the plant has it."""
    rate = range_of_log(fit, LOSS)
    return Range(*(-math.expm1(-each) for each in (rate.middle, rate.low, rate.high)))


def _share(middle: float, sd: float) -> Range:
    ends = np.array([middle, middle - SURE * sd, middle + SURE * sd])
    return Range(*logistic(ends).tolist())


def cleanings(known: Known) -> tuple[Cleaning, ...]:
    """Return what each wash and rinse did, in order."""
    fit, found = known.fit, []
    for number, place in enumerate(fit.course.cleanings):
        step = fit.course.steps[place]
        usual, own = WASH if step.what == "wash" else RINSE, FIXED + number
        middle = float(fit.mean[usual] + EACH_SD * fit.mean[own])
        of = np.zeros(len(fit.mean))
        of[usual], of[own] = 1.0, EACH_SD
        sd = math.sqrt(float(of @ fit.covariance @ of))
        lasting = _lasting(fit, step.at_s)
        begin = -math.exp(float(fit.mean[BEGIN]))
        before = begin if place == 0 else float(fit.states[place - 1])
        after = float(fit.states[place])
        ends = (lasting * math.exp(before), lasting * math.exp(after))
        found.append(Cleaning(step.what, step.at_s, *ends, _share(middle, sd)))
    return tuple(found)


def measured(known: Known) -> tuple[Measured, ...]:
    """Return the condition that each reading says, with its middle 90 %."""
    found = []
    for reading, seen in zip(known.readings, known.seen, strict=True):
        ends = (seen.condition_log + sds * seen.sd_log for sds in (0.0, -SURE, SURE))
        share = Range(*(math.exp(each) for each in ends))
        found.append(Measured(reading.at_s, share, reading.clean_water))
    return tuple(found)


def course(known: Known) -> tuple[Passed, ...]:
    """Return the condition as learnt, after each run, rinse and wash."""
    fit = known.fit
    return tuple(
        Passed(step.at_s, _lasting(fit, step.at_s) * math.exp(float(state)))
        for step, state in zip(fit.course.steps, fit.states, strict=True)
    )


def _lasting(fit: Fit, at_s: float) -> float:
    """Return the condition just washed at a moment."""
    days = (fit.course.end_s - at_s) / DAY_S
    return math.exp(float(fit.mean[LEVEL] + fit.mean[FALL] * days))


def doubts(known: Known) -> tuple[Doubt, ...]:
    """Return the readings that do not fit the rest."""
    found = []
    for reading, own, weight in zip(
        known.readings, known.fit.residual_sds, known.fit.weights, strict=True
    ):
        if abs(own) > QUESTIONED:
            side = "more" if own > 0.0 else "less"
            what = f"the membrane let through {side} than fits the other readings"
            found.append(Doubt(reading.at_s, what, 1.0 - min(1.0, float(weight))))
    return tuple(found)


def kept(known: Known, learnt_s: int) -> Kept:
    """Return the figures that the log has taught: those whose spread it has narrowed."""
    fit, membrane = known.fit, known.membrane
    loss = loss_of(fit)
    figures = [
        Figure(
            CONDITION,
            math.exp(float(fit.mean[LEVEL])),
            fit.sd(LEVEL),
            True,
            membrane.condition_fraction,
        )
    ]
    if _narrowed(known, LOSS):
        described = membrane.loss_per_hour_fraction
        figures.append(Figure(LOSS_KEY, loss.middle, fit.sd(LOSS), True, described))
    recoveries = (
        (WASH, WASH_KEY, membrane.wash_recovery_fraction),
        (RINSE, RINSE_KEY, membrane.rinse_recovery_fraction),
    )
    for place, key, described in recoveries:
        if _narrowed(known, place):
            share = _share(float(fit.mean[place]), fit.sd(place))
            sd = (share.high - share.low) / (2.0 * SURE)
            figures.append(Figure(key, share.middle, sd, False, described))
    until_s = max(each.at_s for each in known.readings)
    return Kept("membrane", learnt_s, until_s, len(known.readings), tuple(figures))


def _narrowed(known: Known, place: int) -> bool:
    return known.fit.sd(place) < LEAST_NARROWING * float(known.prior_sd[place])
