"""The coming days in lows and highs, with how sure they are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from sugarwright.weather.ensemble import PRIOR, perturb
from sugarwright.weather.errors_learnt import learn_errors
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S
from sugarwright.weather.members import told_sd_k
from sugarwright.weather.standing import Footing, Provenance
from sugarwright.weather.verified import Measured, all_lead_days

Floats = NDArray[np.float64]
MEMBERS = 100
LEARNT_FROM_S = 60 * 86400  # older forecasts are of another season, or of another version
FREEZES_C = -1.0  # below it the wood freezes, above the other it thaws; common practice, no source
THAWS_C = 2.0


@dataclass(frozen=True)
class Range80:
    """A value with the range that holds four of five outcomes.

    Parameters
    ----------
    p10_c : a tenth of outcomes lie below [°C]
    middle_c : expected [°C]
    p90_c : a tenth of outcomes lie above [°C]
    """

    p10_c: float
    middle_c: float
    p90_c: float


@dataclass(frozen=True)
class DayOutlook:
    """A day of the calendar.

    Parameters
    ----------
    day : its date, year-month-day
    begin_s : UTC s of its first hour here
    low, high : of its hours that are known
    freeze_thaw_fraction : share of likely weathers in which it freezes hard enough and thaws
    hours : how many of its hours are known
    """

    day: str
    begin_s: int
    low: Range80
    high: Range80
    freeze_thaw_fraction: float
    hours: int


@dataclass(frozen=True)
class WeatherOutlook:
    """The coming days.

    Parameters
    ----------
    house, timezone, units : whose weather, and how the house wants to read it
    now_s : UTC s
    days : in order, today first
    time_s : UTC s at which each hour begins
    temperature_c, p10_temperature_c, p90_temperature_c : of each hour [°C]: the forecast less its
        bias here and moved by what it has missed so far, and the tenths about it
    standing : where the hours come from
    """

    house: str
    timezone: str
    units: str
    now_s: int
    days: tuple[DayOutlook, ...]
    time_s: tuple[int, ...]
    temperature_c: tuple[float, ...]
    p10_temperature_c: tuple[float, ...]
    p90_temperature_c: tuple[float, ...]
    standing: Provenance


def likely_temperatures(
    footing: Footing, now_s: int, longitude_deg: float, errors: ForecastErrors | None = None
) -> Floats:
    """Return likely courses of the temperature, (100, hours) [°C].

    Parameters
    ----------
    footing : what is known
    now_s : UTC s; hours before it stay as they are
    longitude_deg : of the house, for its daily swing
    errors : how forecasts err at this place; left out: as they do anywhere
    """
    forecast = footing.forecast
    known = replace(errors or ForecastErrors(), shape_sd_k=forecast.shape_sd_k)
    return perturb(
        footing.weather,
        MEMBERS,
        forecast.issued_s,
        forecast.issued_s,
        longitude_deg / 15.0,
        known,
        now_s,
        own_sd_k(footing, known),
    )


def outlook(
    footing: Footing,
    now_s: int,
    house: str,
    timezone: str,
    units: str,
    longitude_deg: float,
    errors: ForecastErrors | None = None,
) -> WeatherOutlook:
    """Return the coming days with their bands.

    Parameters
    ----------
    footing : what is known
    now_s : UTC s; the outlook begins with this hour
    house, timezone, units : of the house
    longitude_deg : of the house
    errors : how forecasts err at this place; left out: as they do anywhere
    """
    weather = footing.weather
    likely = likely_temperatures(footing, now_s, longitude_deg, errors)
    ahead = weather.time_s >= now_s - now_s % HOUR_S
    times = weather.time_s[ahead]
    # The forecast itself, less its bias here and moved by what it has missed so far.
    middle_c = likely[:, ahead].mean(axis=0)
    band = np.percentile(likely[:, ahead], (10.0, 90.0), axis=0)
    return WeatherOutlook(
        house,
        timezone,
        units,
        now_s,
        tuple(_days(times, middle_c, likely[:, ahead], timezone)),
        tuple(times.tolist()),
        _rounded(middle_c),
        _rounded(band[0]),
        _rounded(band[1]),
        footing.provenance,
    )


def errors_behind(
    footing: Footing, kept: Iterable[Forecast], came: Measured, offset_h: float
) -> ForecastErrors:
    """Return how the forecast stood on may err, by what came of its source's earlier ones.

    Parameters
    ----------
    footing : what is stood on
    kept : forecasts of the last ``LEARNT_FROM_S``, of any source
    came : measured hours
    offset_h : of solar time from UTC [h]
    """
    same = [each for each in kept if each.source == footing.forecast.source]
    errors = learn_errors(all_lead_days(same, came), offset_h, PRIOR)
    return replace(errors, shape_sd_k=footing.forecast.shape_sd_k)


def own_sd_k(footing: Footing, errors: ForecastErrors) -> Floats | None:
    """Return the spread that the source tells of its own errors, where it tells one.

    Parameters
    ----------
    footing : what is known
    errors : how forecasts err here, for the hours behind the forecast's end

    Returns
    -------
    (hours of the weather,) standard deviation [K]; None where the source tells none
    """
    forecast, weather = footing.forecast, footing.weather
    told = told_sd_k(forecast)
    if told is None:
        return None
    lead_h = (weather.time_s - forecast.issued_s) / HOUR_S
    inside = np.interp(weather.time_s, forecast.hours.time_s, told)
    return np.where(weather.time_s < forecast.end_s, inside, errors.sd_k(lead_h))


def _days(
    times: NDArray[np.int64], expected: Floats, likely: Floats, timezone: str
) -> Iterable[DayOutlook]:
    zone = ZoneInfo(timezone)
    dates = np.array([datetime.fromtimestamp(each, zone).date().isoformat() for each in times])
    for day in dict.fromkeys(dates.tolist()):
        inside = dates == day
        lows, highs = likely[:, inside].min(axis=1), likely[:, inside].max(axis=1)
        yield DayOutlook(
            day,
            int(times[inside][0]),
            _range(lows, float(expected[inside].min())),
            _range(highs, float(expected[inside].max())),
            float(np.mean((lows < FREEZES_C) & (highs > THAWS_C))),
            int(inside.sum()),
        )


def _range(values: Floats, middle_c: float) -> Range80:
    p10, p90 = np.percentile(values, (10.0, 90.0))
    return Range80(round(float(p10), 2), round(middle_c, 2), round(float(p90), 2))


def _rounded(values: Floats) -> tuple[float, ...]:
    return tuple(np.round(values, 2).tolist())
