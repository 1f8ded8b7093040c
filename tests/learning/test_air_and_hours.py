"""Forecasts against the thermometer on the wall, and measured hours put together."""

from __future__ import annotations

import numpy as np
import pytest

from plant_houses import house
from sugarwright.learning.air import learn_forecast
from sugarwright.learning.hours import observed_over
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.weather.ensemble import PRIOR
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HOUR_S, HourlyWeather

DAY_S = 86400


def hours(first_s: int, count: int, level_c: float = 0.0) -> HourlyWeather:
    time_s = first_s + HOUR_S * np.arange(count)
    return HourlyWeather(time_s, level_c + 5.0 * np.cos(2.0 * np.pi * time_s / DAY_S), source="x")


def forecasts(days: int, warm_k: float) -> list[Forecast]:
    return [
        Forecast(day * DAY_S, day * DAY_S, "invented", "", 44.0, -72.0, None,
                 hours(day * DAY_S, 72, warm_k))
        for day in range(1, days + 1)
    ]  # fmt: skip


def on_the_wall(days: int, reads_k: float = 0.0, of_day: int = 2) -> list[Entry]:
    found = []
    for day in range(1, days + 1):
        for read in range(of_day):
            at_s = day * DAY_S + (read + 0.5) * HOUR_S * 8
            true_c = float(5.0 * np.cos(2.0 * np.pi * (at_s - 0.5 * HOUR_S) / DAY_S))
            measure = Measure("temperature", true_c + reads_k)
            found.append(Entry(f"{at_s}", "reading", at_s, at_s, place="air", measures=(measure,)))
    return found


def test_a_forecast_that_runs_warm_is_told_from_readings_alone() -> None:
    found = learn_forecast(house(), forecasts(40, 2.5), (), on_the_wall(40))
    assert found is not None
    assert (found.wall_days, found.wall_readings, found.forecasts) == (40, 80, 0)
    assert found.bias_k == pytest.approx(2.5, abs=3.0 * found.bias_sd_k)
    assert found.bias_k > 1.6449 * found.bias_sd_k
    assert found.bias_sd_k < 0.5 * PRIOR.bias_sd_k


def test_more_days_narrow_it_and_more_readings_of_a_day_hardly() -> None:
    def unsure(days: int, of_day: int) -> float:
        found = learn_forecast(house(), forecasts(days, 1.0), (), on_the_wall(days, 0.0, of_day))
        assert found is not None
        return found.bias_sd_k

    assert unsure(20, 2) < unsure(5, 2)
    assert unsure(5, 3) > 0.9 * unsure(5, 2)


def test_measured_hours_count_and_their_readings_do_not_twice() -> None:
    observed = (hours(0, 24 * 50),)
    by_hours = learn_forecast(house(), forecasts(40, 2.0), observed, ())
    both = learn_forecast(house(), forecasts(40, 2.0), observed, on_the_wall(40, reads_k=5.0))
    assert by_hours is not None
    assert both is not None
    assert both.wall_days == 0
    assert both == by_hours
    assert by_hours.bias_k == pytest.approx(2.0, abs=0.5)


def test_without_forecasts_or_anything_to_judge_them_by_nothing_is_said() -> None:
    assert learn_forecast(house(), [], (), on_the_wall(3)) is None
    assert learn_forecast(house(), forecasts(3, 1.0), (), []) is None


def test_measured_hours_in_pieces_become_one_where_holes_are_small() -> None:
    first, second = hours(0, 100), hours(104 * HOUR_S, 100)
    whole = observed_over([second, first], 10 * HOUR_S, 200 * HOUR_S)
    assert whole is not None
    assert (whole.first_s, whole.end_s) == (0, 200 * HOUR_S)
    assert whole.temperature_c[:100] == pytest.approx(first.temperature_c)
    assert whole.temperature_c[104:] == pytest.approx(second.temperature_c[:96])


@pytest.mark.parametrize(("begin_h", "end_h"), [(10, 260), (90, 150), (-5, 50)])
def test_a_span_that_was_not_measured_has_none(begin_h: int, end_h: int) -> None:
    pieces = [hours(0, 100), hours(110 * HOUR_S, 100)]
    assert observed_over(pieces, begin_h * HOUR_S, end_h * HOUR_S) is None


def test_hours_before_a_wide_hole_are_left_out() -> None:
    pieces = [hours(0, 100), hours(110 * HOUR_S, 100)]
    found = observed_over(pieces, 120 * HOUR_S, 200 * HOUR_S)
    assert found is not None
    assert found.first_s == 110 * HOUR_S
    assert observed_over([], 0.0, 1.0) is None
