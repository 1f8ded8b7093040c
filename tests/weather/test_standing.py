"""What a plan stands on, with everything there, with half of it, and with nothing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sugarwright.cli.weather_text import outlook_lines
from sugarwright.errors import WeatherFileError
from sugarwright.logbook.store import open_store
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.outlook import outlook
from sugarwright.weather.standing import Footing, best_forecast, expected_error_k, stand

NOW_S = 1_804_590_000  # 2027-03-09 11:00Z
DAY_S = 86400
UNTIL_S = NOW_S + 3 * DAY_S


def hours(begin_s: int, end_s: int, temperature_c: float) -> HourlyWeather:
    times = np.arange(begin_s, end_s, HOUR_S)
    return HourlyWeather(times, np.full(len(times), temperature_c), source="invented thermometer")


def forecast(
    age_h: float = 2,
    days: float = 7,
    temperature_c: float = 5.0,
    past_days: float = 0,
    source: str = "Invented service",
    members: bool = False,
    shape_sd_k: float = 0.0,
) -> Forecast:
    issued_s = int(NOW_S - age_h * HOUR_S)
    first_s = int(issued_s - issued_s % HOUR_S - past_days * DAY_S)
    weather = replace(
        hours(first_s, int(issued_s + days * DAY_S), temperature_c), issued_s=issued_s
    )
    spread = np.tile(weather.temperature_c, (7, 1)) if members else None
    return Forecast(
        issued_s, issued_s + 60, source, "Invented, free", 44.0, -72.0, None, weather, spread,
        shape_sd_k=shape_sd_k,
    )  # fmt: skip


def standing(folder: Path, *kept: Forecast, observed: tuple[HourlyWeather, ...] = ()) -> Footing:
    store = open_store(folder).weather
    for each in kept:
        store.keep(each)
    store.keep_observed(observed)
    return stand(store, NOW_S, UNTIL_S)


def at(footing: Footing, time_s: int) -> float:
    return float(footing.weather.between(time_s, time_s + HOUR_S).temperature_c[0])


def test_measured_hours_then_the_forecast(tmp_path: Path) -> None:
    measured = hours(NOW_S - 20 * DAY_S, NOW_S - HOUR_S, -1.0)
    footing = standing(tmp_path, forecast(), observed=(measured,))
    told = footing.provenance
    assert footing.weather.end_s == UNTIL_S
    assert footing.weather.issued_s == told.issued_s == NOW_S - 2 * HOUR_S
    assert (at(footing, NOW_S - 5 * HOUR_S), at(footing, NOW_S)) == (-1.0, 5.0)
    assert told.measured_h == 14 * 24 - 1
    assert (told.drawn_h, told.extended_h, told.stale, told.cautions) == (0, 0, False, ())
    assert told.source == "Invented service"
    assert told.age_h == 2.0
    assert footing.weather.first_s == NOW_S - 14 * DAY_S


def test_what_was_said_of_hours_measured_since_stays_beside_them(tmp_path: Path) -> None:
    measured = hours(NOW_S - 20 * DAY_S, NOW_S - HOUR_S, -1.0)
    footing = standing(tmp_path, forecast(age_h=6, temperature_c=5.0), observed=(measured,))
    weather = footing.weather
    assert weather.said_c is not None
    since = (weather.time_s >= NOW_S - 6 * HOUR_S) & (weather.time_s < NOW_S - HOUR_S)
    assert since.sum() == 5
    np.testing.assert_array_equal(weather.said_c, np.where(since, 5.0, np.nan))


@pytest.mark.parametrize(
    ("units", "said"), [("us", "Lately 11 °F colder than it had said"), ("metric", "Lately 6 °C")]
)
def test_how_far_it_missed_is_said_with_the_days(tmp_path: Path, units: str, said: str) -> None:
    measured = hours(NOW_S - 20 * DAY_S, NOW_S - HOUR_S, -1.0)
    footing = standing(tmp_path, forecast(age_h=6, temperature_c=5.0), observed=(measured,))
    assert footing.provenance.missed_k == pytest.approx(-6.0)
    found = outlook(footing, NOW_S, "Invented", "America/New_York", units, -72.0)
    assert said in " ".join(outlook_lines(found))
    # The days stand where they are likely to be, not where the forecast has them.
    low = found.days[0].low
    assert low.p10_c < low.middle_c < low.p90_c < 1.0


def test_of_hours_that_nobody_measured_nothing_is_compared(tmp_path: Path) -> None:
    weather = standing(tmp_path, forecast(age_h=6)).weather
    assert weather.said_c is not None
    assert not np.isfinite(weather.said_c).any()


def test_a_season_looks_as_far_back_as_was_measured(tmp_path: Path) -> None:
    measured = hours(NOW_S - 60 * DAY_S, NOW_S - HOUR_S, -1.0)
    store = open_store(tmp_path).weather
    store.keep(forecast())
    store.keep_observed((measured,))
    assert stand(store, NOW_S, UNTIL_S, since_s=0).weather.first_s == NOW_S - 60 * DAY_S


def test_a_service_s_past_weather_fills_what_was_not_measured(tmp_path: Path) -> None:
    measured = hours(NOW_S - 2 * DAY_S, NOW_S, -1.0)
    footing = standing(tmp_path, forecast(past_days=14, temperature_c=3.0), observed=(measured,))
    assert at(footing, NOW_S - 5 * HOUR_S) == -1.0
    assert at(footing, NOW_S - 3 * DAY_S) == 3.0
    assert footing.provenance.measured_h == 2 * 24
    assert footing.provenance.analysed_h == 12 * 24
    assert footing.provenance.cautions == ()


def test_old_forecasts_stand_for_past_hours_that_nobody_measured(tmp_path: Path) -> None:
    old = [forecast(age_h=24 * day, days=2, temperature_c=float(day)) for day in range(1, 8)]
    footing = standing(tmp_path, forecast(), *old)
    assert at(footing, NOW_S - 30 * HOUR_S) == 2.0  # of the newest that speaks of it
    assert footing.provenance.forecast_past_h > 6 * 24
    assert footing.provenance.measured_h == 0


def test_a_short_hole_is_drawn_and_counted_a_long_one_ends_the_past(tmp_path: Path) -> None:
    pieces = (
        hours(NOW_S - 10 * DAY_S, NOW_S - 8 * DAY_S, -9.0),
        hours(NOW_S - 7 * DAY_S, NOW_S - 2 * DAY_S, -1.0),
        hours(NOW_S - 2 * DAY_S + 4 * HOUR_S, NOW_S, 3.0),
    )
    footing = standing(tmp_path, forecast(), observed=pieces)
    assert footing.provenance.drawn_h == 4
    assert footing.weather.first_s == NOW_S - 7 * DAY_S
    assert -1.0 < at(footing, NOW_S - 2 * DAY_S + HOUR_S) < 3.0


def test_behind_its_end_an_older_one_goes_on_then_the_last_day_repeats(tmp_path: Path) -> None:
    short, longer = (
        forecast(days=1, temperature_c=5.0),
        forecast(age_h=20, days=2.5, temperature_c=8.0),
    )
    footing = standing(tmp_path, short, longer)
    kept = open_store(tmp_path).weather.between(longer.issued_s, longer.issued_s + 1)
    assert footing.forecast == kept[0]
    footing = standing(tmp_path / ".." / tmp_path.name, short)
    assert footing.provenance.extended_h > 20
    assert "repeat the last day" in " ".join(footing.provenance.cautions)


def test_a_stale_one_carries_the_plan_and_is_said_to_be(tmp_path: Path) -> None:
    footing = standing(tmp_path, forecast(age_h=70, days=4))
    assert footing.provenance.stale
    assert "2.9 days old" in footing.provenance.cautions[0]
    assert footing.provenance.extended_h == 46
    assert footing.weather.issued_s == NOW_S - 70 * HOUR_S  # so that bands get as wide as it is old


@pytest.mark.parametrize("age_h", [24 * 12, 24 * 18])
def test_one_that_ended_long_ago_carries_nothing(tmp_path: Path, age_h: int) -> None:
    with pytest.raises(WeatherFileError, match="does not reach") as got:
        standing(tmp_path, forecast(age_h=age_h, days=5))
    assert "weather fetch" in str(got.value)
    with pytest.raises(WeatherFileError, match="2027-03-09 06:00 EST to ") as got:
        stand(open_store(tmp_path).weather, NOW_S, NOW_S + DAY_S, None, "America/New_York")


def test_with_nothing_the_three_ways_are_told(tmp_path: Path) -> None:
    with pytest.raises(WeatherFileError) as got:
        standing(tmp_path)
    for way in ("weather fetch", "weather import FILE", "--low 24F --high 45F"):
        assert way in str(got.value)


def test_damage_is_told_and_the_one_before_stands_in(tmp_path: Path) -> None:
    store = open_store(tmp_path).weather
    store.keep(forecast(age_h=20))
    (tmp_path / "forecasts").mkdir()
    (tmp_path / "forecasts" / "2027-03-09T0900Z-x.json").write_text("{")
    store = open_store(tmp_path).weather
    footing = stand(store, NOW_S, UNTIL_S)
    assert footing.provenance.age_h == 20.0
    assert any("Damaged" in each for each in footing.provenance.cautions)


def test_only_damage_is_told_too(tmp_path: Path) -> None:
    (tmp_path / "forecasts").mkdir()
    (tmp_path / "forecasts" / "2027-03-09T0500Z-x.json").write_text("{")
    with pytest.raises(WeatherFileError, match="damaged"):
        standing(tmp_path)


def test_nothing_issued_after_now_is_used(tmp_path: Path) -> None:
    footing = standing(tmp_path, forecast(), forecast(age_h=-3, temperature_c=20.0))
    assert footing.forecast.issued_s <= NOW_S


def test_which_one_counts() -> None:
    fresh, old = forecast(age_h=1), forecast(age_h=96)
    typed, typed_old = forecast(age_h=0, shape_sd_k=2.0), forecast(age_h=60, shape_sd_k=2.0)
    crowd = forecast(age_h=0, members=True)
    brief = forecast(age_h=0, days=1)

    def best(*kept: Forecast) -> Forecast:
        return best_forecast(kept, NOW_S, UNTIL_S)

    assert best(old, fresh) is fresh
    assert best(typed, fresh) is fresh  # a service of the same morning beats a typed one
    assert best(typed, old) is typed  # which beats one of last week
    assert expected_error_k(fresh, NOW_S, UNTIL_S) < expected_error_k(typed, NOW_S, UNTIL_S)
    assert best(typed_old, forecast(age_h=24 * 6, days=12), typed) is typed
    assert best(crowd, fresh) is fresh
    assert best(crowd, typed) is crowd
    assert best(brief, fresh) is fresh


def test_members_of_about_the_same_age_come_along(tmp_path: Path) -> None:
    crowd = forecast(age_h=6, members=True, source="Invented ensemble")
    footing = standing(tmp_path, forecast(), crowd)
    assert footing.forecast.member_temperature_c is None
    assert footing.ensemble is not None
    assert footing.ensemble.source == "Invented ensemble"
