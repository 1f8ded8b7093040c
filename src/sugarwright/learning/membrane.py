"""What the log of a membrane teaches: how it does, what fouls it, what brings it back, what to do.

Everything is learnt together from the readings since the newest element was put in, four weeks at
most (``learning.membrane_log``); the house as *described* is what is thought beforehand.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

from sugarwright.learning.kept import Kept
from sugarwright.learning.membrane_course import FALL, LEVEL, LOSS, RINSE, WASH, logistic
from sugarwright.learning.membrane_known import (
    SURE,
    Known,
    NothingReadError,
    cleanings,
    course,
    doubts,
    fitted,
    kept,
    loss_of,
    measured,
    range_of,
    range_of_log,
)
from sugarwright.learning.membrane_lesson import (
    WORTH_NAMING_PER_DAY,
    MembraneLesson,
    Range,
    Replacement,
    WashAdvice,
)
from sugarwright.learning.membrane_money import (
    Fouling,
    Interval,
    Usual,
    lost_money_h,
    wash_interval,
)
from sugarwright.learning.membrane_next import days_to_tell, next_readings
from sugarwright.learning.membrane_usual import (
    clean_water_reading,
    days_of,
    running_reading,
    usual_of,
)
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House


def learn_membrane(house: House, entries: Sequence[Entry], learnt_s: int) -> MembraneLesson:
    """Learn from the readings of a membrane.

    Parameters
    ----------
    house : as described
    entries : that stand, in any order
    learnt_s : UTC s now

    Raises
    ------
    InputError : the house has no membrane, or nothing was read that says how it does
    """
    known, remarks = fitted(house, entries)
    log, fit = known.log, known.fit
    usual = usual_of(known)
    lasting = range_of_log(fit, LEVEL)
    loss = loss_of(fit)
    fouled = math.exp(float(fit.states[-1])) if len(fit.states) else 1.0
    price = _price(entries)
    days, running, clean = (
        days_of(known, usual),
        running_reading(known, usual),
        clean_water_reading(known, usual),
    )
    fall = range_of(fit, FALL)
    tests = sum(each.clean_water for each in known.readings)
    feed_m3_h = 3600.0 * median(each.feed_flow_m3_s for each in (*known.seen, running[1]))
    told = max(fall.middle, WORTH_NAMING_PER_DAY)
    return MembraneLesson(
        kept(known, learnt_s),
        log.begin_s,
        log.end_s,
        log.since_new,
        log.run_h,
        len(known.readings) - tests,
        tests,
        log.count("wash"),
        log.count("rinse"),
        lasting,
        Range(*(each * fouled for each in (lasting.middle, lasting.low, lasting.high))),
        fall,
        _verdict(fall),
        loss,
        loss.middle / feed_m3_h,
        measured(known),
        course(known),
        cleanings(known),
        _wash_advice(known, usual, feed_m3_h),
        _replacement(known, usual, price),
        next_readings(fit, days, running, clean),
        None if fall.low > 0.0 else days_to_tell(fit, days, running, told),
        fit.scatter_ratio,
        doubts(known),
        tuple(sorted((*log.left_out, *remarks), key=lambda each: each.at_s)),
    )


def membrane_kept(house: House, entries: Sequence[Entry], learnt_s: int) -> Kept | None:
    """Return the figures that a log teaches of the membrane; None where it teaches none."""
    try:
        known, _ = fitted(house, entries)
    except NothingReadError:
        return None
    return kept(known, learnt_s)


def _verdict(fall: Range) -> str:
    if fall.low > 0.0:
        return "falls"
    return "steady" if fall.high < WORTH_NAMING_PER_DAY else "cannot tell"


def _wash_advice(known: Known, usual: Usual, feed_m3_h: float) -> WashAdvice:
    fit, log = known.fit, known.log
    washed = [step.at_s for step in log.steps if step.what == "wash"]
    run_h = log.run_until_h(log.end_s, washed[-1] if washed else 0.0)

    def interval(sds: float) -> Interval:
        fouling = Fouling(
            math.exp(float(fit.mean[LEVEL])),
            math.exp(float(fit.mean[LOSS]) + sds * fit.sd(LOSS)),
            float(logistic(fit.mean[WASH])),
            float(logistic(fit.mean[RINSE])),
        )
        return wash_interval(known.plant, usual, fouling)

    found = [interval(sds) for sds in (0.0, SURE, -SURE)]
    left = [max(0.0, each.hours_h - run_h) for each in found]
    middle = found[0]
    return WashAdvice(middle.hours_h, Range(*left), left[0] * feed_m3_h, middle.why)


def _replacement(known: Known, usual: Usual, price: float | None) -> Replacement:
    lasting = math.exp(float(known.fit.mean[LEVEL]))
    an_hour = lost_money_h(known.plant, usual, min(lasting, 1.0))
    a_day = an_hour * usual.day_h
    days = None if price is None or a_day <= 0.0 else price / a_day
    return Replacement(an_hour, a_day, price, days)


def _price(entries: Sequence[Entry]) -> float | None:
    """Return what was paid for the elements put in last, as far as the log says."""
    paid = [
        (each.at_s, money)
        for each in entries
        if each.kind == "new_membrane" and (money := each.value("money")) is not None
    ]
    return max(paid)[1] if paid else None
