"""How good the forecasts of one source were at one place, beside knowing nothing of tomorrow.

Each forecast is judged as it would have been used on the day: with the errors learnt by then from
the ones before it, never from what came later.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.emos import Calibration, learn_calibration
from sugarwright.weather.ensemble import PRIOR
from sugarwright.weather.errors_learnt import learn_errors
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HOUR_S
from sugarwright.weather.members import possible
from sugarwright.weather.scores import band, crps_ensemble
from sugarwright.weather.verified import LeadDay, Measured, all_lead_days, lead_days

Floats = NDArray[np.float64]

DAY_S = 24 * HOUR_S
MEMBERS = 39  # their 80 % band is exact (see scores.band)
LEARN_S = 60 * DAY_S  # older forecasts are of another season, or of another model
APART_S = 6 * HOUR_S  # forecasts closer together say the same
AROUND_DAYS, LEFT_OUT_DAYS, LEAST_DAYS = 15, 3, 5  # of climatology
ENOUGH = 15  # forecasts; below that a score is an anecdote


@dataclass(frozen=True)
class LeadDaySkill:
    """Scores of the air's temperature, hour by hour, on one day of lead.

    Parameters
    ----------
    lead_day : 1 for the first 24 hours after the issue
    forecasts : how many were judged
    error_k : mean absolute error of the forecast as issued [K]
    crps_k : mean score of the ensemble made of it [K]
    climatology_crps_k : of this season's other days at the same hour [K]; None where too few
        days were measured
    persistence_crps_k : of the last day before the issue, come again [K]; None if that was often
        not measured
    coverage_fraction : share of hours inside the 80 % band
    band_k : mean width of that band [K]
    """

    lead_day: int
    forecasts: int
    error_k: float
    crps_k: float
    climatology_crps_k: float | None
    persistence_crps_k: float | None
    coverage_fraction: float
    band_k: float


@dataclass(frozen=True, eq=False)
class Case:
    """One quantity over one day of lead: what was said, what could have been said, what came.

    Parameters
    ----------
    day : of lead, from 0
    observed, single : (values,) what came; the forecast as issued
    members : (members, values)
    usual : (other days, values); may have none
    again : (values,) what persistence says; NaN where it has nothing
    """

    day: int
    observed: Floats
    single: Floats
    members: Floats
    usual: Floats
    again: Floats


@dataclass(frozen=True)
class Judged:
    """A forecast with what was made of it on the day."""

    forecast: Forecast
    members_c: Floats
    days: tuple[LeadDay, ...]


def as_used(forecasts: Sequence[Forecast], came: Measured, utc_offset_h: float) -> Iterator[Judged]:
    """Yield each forecast with the ensemble that could be made of it when it was issued.

    Parameters
    ----------
    forecasts : of one source, oldest first
    came : measured hours
    utc_offset_h : standard time of the place
    """
    every = all_lead_days(forecasts, came)
    errors, calibration, learnt_s = PRIOR, Calibration(), -np.inf
    for forecast in forecasts:
        now_s = forecast.issued_s
        if now_s - learnt_s >= DAY_S:
            learnt_s = now_s
            known = [each for each in every if now_s - LEARN_S <= each.issued_s < now_s]
            past = [each for each in known if each.end_s <= now_s]
            errors = learn_errors(past, utc_offset_h, PRIOR)
            earlier = [each for each in forecasts if each.issued_s < now_s]
            calibration = learn_calibration(earlier, _known_by(came, now_s))
        days = tuple(lead_days(forecast, came))
        if days:
            members_c = possible(
                forecast, MEMBERS, now_s % 2**31, errors, calibration, utc_offset_h
            )
            yield Judged(forecast, members_c, days)


def thinned(forecasts: Iterable[Forecast]) -> list[Forecast]:
    """Return forecasts that stand six hours or more apart, in the order of issue."""
    kept: list[Forecast] = []
    for each in sorted(forecasts, key=lambda forecast: forecast.issued_s):
        if not kept or each.issued_s - kept[-1].issued_s >= APART_S:
            kept.append(each)
    return kept


def temperature_skill(judged: Iterable[Judged], came: Measured) -> tuple[LeadDaySkill, ...]:
    """Return the scores of the air's temperature by day of lead."""
    cases = [
        Case(
            day.day,
            day.observed_c,
            day.forecast_c,
            each.members_c[:, day.place],
            usual_c(came, day.time_s),
            yesterday_c(came, day.time_s, day.issued_s),
        )
        for each in judged
        for day in each.days
    ]
    return tuple(LeadDaySkill(*row) for row in scored(cases))


Row = tuple[int, int, float, float, float | None, float | None, float, float]


def scored(cases: Iterable[Case]) -> Iterator[Row]:
    """Yield for each day of lead what the fields of :class:`LeadDaySkill` hold, in their order."""
    by_day = defaultdict(list)
    for case in cases:
        by_day[case.day].append(case)
    for day, same in sorted(by_day.items()):
        held, width = zip(*(_in_band(each) for each in same), strict=True)
        yield (
            day + 1,
            len(same),
            _mean([np.abs(each.single - each.observed).mean() for each in same]),
            _mean([crps_ensemble(each.observed, each.members).mean() for each in same]),
            _mean_of_most(
                [
                    crps_ensemble(each.observed, each.usual, fair=True).mean()
                    if len(each.usual) >= LEAST_DAYS
                    else np.nan
                    for each in same
                ]
            ),
            _mean_of_most([_error_again(each) for each in same]),
            _mean(list(held)),
            _mean(list(width)),
        )


def usual_c(came: Measured, time_s: NDArray[np.int64]) -> Floats:
    """Return what the same hours brought on other days: (days, hours).

    Fifteen days either way, without the three next to the day, so that it does not know the day's
    own weather. It knows what came later, which no forecaster did: a hard baseline.
    """
    around = [
        came.at(time_s + day * DAY_S)
        for day in range(-AROUND_DAYS, AROUND_DAYS + 1)
        if abs(day) > LEFT_OUT_DAYS
    ]
    days = np.array(around)
    whole: Floats = days[~np.isnan(days).any(axis=1)]
    return whole


def yesterday_c(came: Measured, time_s: NDArray[np.int64], issued_s: int) -> Floats:
    """Return the same hours of the last day that was over at the issue."""
    days_back = -((issued_s - HOUR_S - time_s) // DAY_S)
    return came.at(time_s - days_back * DAY_S)


def _known_by(came: Measured, now_s: int) -> Measured:
    return Measured(came.first_s, came.temperature_c[: max((now_s - came.first_s) // HOUR_S, 0)])


def _in_band(case: Case) -> tuple[float, float]:
    low, high = band(case.members)
    inside = (case.observed >= low) & (case.observed <= high)
    return float(inside.mean()), float((high - low).mean())


def _error_again(case: Case) -> float:
    told = ~np.isnan(case.again)
    error = np.abs(case.again - case.observed)[told]
    return float(error.mean()) if told.any() else np.nan


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values))


def _mean_of_most(values: Sequence[float]) -> float | None:
    """Return the mean; None if the baseline has no answer to more than a quarter of the cases."""
    missing = np.isnan(values)
    return None if missing.mean() > 0.25 else float(np.nanmean(values))
