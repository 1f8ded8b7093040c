"""How forecasts stood against the thermometer on the wall, where nothing measures every hour.

Kept forecasts are judged by measured hours (``weather.errors_learnt``). Readings that somebody
typed on days without such hours tell of the forecast's mean error too: the errors of one day hang
together, so a day counts once, however often the thermometer was read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sugarwright.logbook.entry import Entry
from sugarwright.logbook.meaning import sd_of
from sugarwright.plant.house import House
from sugarwright.weather.ensemble import PRIOR
from sugarwright.weather.errors_learnt import learn_errors
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.verified import Measured, all_lead_days, measured

NEAREST_H = 48.0  # of lead: what is farther off is judged by measured hours alone
WALL_SD_K = 1.0
"""How far a thermometer on the wall stands from the open air: judgement (sun, stove, wall)."""


@dataclass(frozen=True)
class ForecastLesson:
    """What kept forecasts and measured temperatures say of the forecast.

    Parameters
    ----------
    source : of the forecasts
    forecasts : that could be judged by measured hours
    wall_days, wall_readings : days on which readings alone could judge it, and how many
    bias_k, bias_sd_k : forecast less what came; positive: it runs warm
    swing_bias_k : the same of half the difference between afternoon and dawn
    sd_at_issue_k, growth_k_per_h : how far it errs beside that, and how that grows with lead
    prior_bias_sd_k : how unsure the bias was beforehand
    """

    source: str
    forecasts: int
    wall_days: int
    wall_readings: int
    bias_k: float
    bias_sd_k: float
    swing_bias_k: float
    sd_at_issue_k: float
    growth_k_per_h: float
    prior_bias_sd_k: float


def learn_forecast(
    house: House,
    forecasts: Sequence[Forecast],
    observed: Sequence[HourlyWeather],
    entries: Sequence[Entry],
) -> ForecastLesson | None:
    """Judge the forecasts of the source that was kept last.

    Parameters
    ----------
    house : its longitude
    forecasts : kept, as issued
    observed : measured hours
    entries : that stand; readings of the air count where no hour was measured

    Returns
    -------
    ForecastLesson, or None when there is no forecast, or nothing to judge it by
    """
    if not forecasts:
        return None
    newest = max(forecasts, key=lambda each: each.issued_s)
    same = [each for each in forecasts if each.source == newest.source]
    came = measured(observed)
    offset_h = house.site.longitude_deg / 15.0
    errors = learn_errors(all_lead_days(same, came), offset_h, PRIOR)
    days = _wall_days(same, came, entries, errors)
    if errors.forecasts == PRIOR.forecasts and not days:
        return None
    errors = _with_wall(errors, days)
    return ForecastLesson(
        source=newest.source,
        forecasts=errors.forecasts - PRIOR.forecasts,
        wall_days=len(days),
        wall_readings=sum(count for _, _, count in days),
        bias_k=errors.bias_k,
        bias_sd_k=errors.bias_sd_k,
        swing_bias_k=errors.swing_bias_k,
        sd_at_issue_k=errors.sd_at_issue_k,
        growth_k_per_h=errors.growth_k_per_h,
        prior_bias_sd_k=PRIOR.bias_sd_k,
    )


def _wall_days(
    forecasts: Sequence[Forecast], came: Measured, entries: Sequence[Entry], errors: ForecastErrors
) -> list[tuple[float, float, int]]:
    """Return each day's mean error, its variance as a sign of the bias, and its readings."""
    days: dict[int, list[tuple[float, float, float]]] = {}
    for entry in entries:
        read = entry.measure("temperature") if entry.kind == "reading" else None
        if read is None or entry.place != "air" or "doubtful" in entry.flags:
            continue
        hour_s = int(entry.at_s // HOUR_S) * HOUR_S
        if not np.isnan(came.at(np.array([hour_s]))[0]):
            continue
        found = _forecast_at(forecasts, entry.at_s)
        if found is not None:
            forecast_c, lead_h = found
            sd_k = math.hypot(sd_of(read), WALL_SD_K)
            day = int(entry.at_s // 86400)
            days.setdefault(day, []).append((forecast_c - read.value, lead_h, sd_k))
    rows = []
    for _, here in sorted(days.items()):
        lead_h = sum(each[1] for each in here) / len(here)
        of_day = float(errors.sd_k(np.array([lead_h]))[0]) ** 2
        variance = of_day + sum(each[2] ** 2 for each in here) / len(here) ** 2
        rows.append((sum(each[0] for each in here) / len(here), variance, len(here)))
    return rows


def _forecast_at(forecasts: Sequence[Forecast], time_s: float) -> tuple[float, float] | None:
    """Return what the newest forecast before an instant said of it, and its lead in hours."""
    best: tuple[float, float] | None = None
    for each in forecasts:
        hours = each.hours
        lead_h = (time_s - each.issued_s) / HOUR_S
        inside = hours.first_s <= time_s < hours.end_s
        if inside and 0.0 <= lead_h <= NEAREST_H and (best is None or lead_h < best[1]):
            # An hour's value stands for the hour, so it is that of the hour's middle.
            middle_s = hours.time_s + 0.5 * HOUR_S
            best = float(np.interp(time_s, middle_s, hours.temperature_c)), lead_h
    return best


def _with_wall(errors: ForecastErrors, days: Sequence[tuple[float, float, int]]) -> ForecastErrors:
    precision = errors.bias_sd_k**-2
    pulled = errors.bias_k * precision
    for mean_k, variance, _ in days:
        precision += 1.0 / variance
        pulled += mean_k / variance
    return replace(errors, bias_k=pulled / precision, bias_sd_k=precision**-0.5)
