"""What has come since a forecast's issue: how it is told, and how it moves an ensemble."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sugarwright.weather.ensemble import perturb
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.members import over
from sugarwright.weather.so_far import missed_k

ISSUED_S = 1_804_568_400  # 2027-03-09 05:00Z
NOW_S = ISSUED_S + 8 * HOUR_S
HOURS = 72


def weather(came_k: float, come_h: int = 8) -> HourlyWeather:
    """Hours of which the first came otherwise than the five degrees that had been said."""
    come = np.arange(HOURS) < come_h
    time_s = ISSUED_S + HOUR_S * np.arange(HOURS)
    air_c, said_c = np.where(come, 5.0 + came_k, 5.0), np.where(come, 5.0, np.nan)
    return HourlyWeather(time_s, air_c, issued_s=ISSUED_S, said_c=said_c)


@pytest.mark.parametrize(("come_h", "expected"), [(8, -3.0), (2, -3.0), (1, None), (0, None)])
def test_how_far_it_missed_is_the_mean_of_the_last_hours(
    come_h: int, expected: float | None
) -> None:
    found = missed_k(weather(-3.0, come_h), ISSUED_S + come_h * HOUR_S)
    assert found == (None if expected is None else pytest.approx(expected))


def test_hours_long_past_are_not_the_last_ones() -> None:
    hours = weather(-3.0, 4)
    assert missed_k(hours, ISSUED_S + 24 * HOUR_S) is None
    assert missed_k(replace(hours, said_c=None), NOW_S) is None


def test_members_of_a_real_ensemble_are_moved_alike() -> None:
    spread_k = np.linspace(-2.0, 2.0, 9)[:, np.newaxis]
    issued = replace(weather(0.0), temperature_c=np.full(HOURS, 5.0), said_c=None)
    members_c = issued.temperature_c + spread_k
    forecast = Forecast(
        *(ISSUED_S, ISSUED_S + 60, "Invented service", "Invented, free", 44.0, -75.0, None),
        *(issued, members_c),
    )
    laid_c = over(weather(-3.0), forecast, members_c, NOW_S)
    np.testing.assert_array_equal(laid_c[:, :8], 2.0)  # as it came
    apart_k = laid_c[:, 8:] - laid_c[:, 8:].mean(axis=0)
    np.testing.assert_allclose(apart_k, np.tile(spread_k, 64), atol=1e-12)
    # As one line about the same hours is moved: there the mean of the members is the forecast.
    line_c = perturb(weather(-3.0), 1, 1, ISSUED_S, -5.0, ForecastErrors(), NOW_S)[0]
    np.testing.assert_allclose(laid_c.mean(axis=0), line_c)
    assert laid_c[:, 8].mean() < 3.0
    assert 4.0 < laid_c[:, -1].mean() < 5.0


def test_members_that_were_right_so_far_stay_where_they_are() -> None:
    issued = replace(weather(0.0), said_c=None)
    members_c = np.tile(issued.temperature_c, (4, 1))
    forecast = Forecast(
        *(ISSUED_S, ISSUED_S + 60, "Invented service", "Invented, free", 44.0, -75.0, None),
        *(issued, members_c),
    )
    np.testing.assert_allclose(over(weather(0.0), forecast, members_c, NOW_S), 5.0)
    np.testing.assert_array_equal(over(issued, forecast, members_c, NOW_S), 5.0)
