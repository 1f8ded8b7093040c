"""What is kept of the weather: never altered, never lost, damage named and passed over."""

from __future__ import annotations

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sugarwright.errors import InputError
from sugarwright.logbook.connection import LOGBOOK_FILE
from sugarwright.logbook.forecasts import WeatherBook
from sugarwright.logbook.store import open_store
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_json import forecast_of, json_of
from sugarwright.weather.hours import HOUR_S, HourlyWeather

ISSUED_S = 1_804_568_400  # 2027-03-09 05:00Z, an invented spring


def hours(first_s: int, count: int, temperature_c: float = 1.0, **extras: object) -> HourlyWeather:
    times = first_s + HOUR_S * np.arange(count)
    return HourlyWeather(times, np.full(count, temperature_c), **extras)  # type: ignore[arg-type]


def forecast(issued_s: int = ISSUED_S, source: str = "Invented service") -> Forecast:
    swing = np.sin(np.arange(48) / 24.0 * 2.0 * np.pi) * 7.123456
    weather = HourlyWeather(
        issued_s + HOUR_S * np.arange(48),
        swing,
        source=source,
        issued_s=issued_s,
        notes=("a note",),
    )
    return Forecast(
        issued_s,
        issued_s + 600,
        source,
        "Invented data, free",
        44.25,
        -72.5,
        320.0,
        weather,
        np.array([swing - 1.0, swing, swing + 1.0]),
        swing - 2.0,
        swing + 2.0,
        0.5,
    )


def kept(folder: Path) -> WeatherBook:
    return open_store(folder).weather


class TestForecasts:
    def test_comes_back_to_a_hundredth_of_a_degree(self, tmp_path: Path) -> None:
        store = kept(tmp_path)
        assert store.keep(forecast())
        found = store.newest(ISSUED_S)
        assert found is not None
        asked = forecast()
        for name in (
            "issued_s",
            "fetched_s",
            "source",
            "attribution",
            "latitude_deg",
            "shape_sd_k",
        ):
            assert getattr(found, name) == getattr(asked, name)
        np.testing.assert_allclose(
            found.hours.temperature_c, asked.hours.temperature_c, atol=0.0051
        )
        assert found.member_temperature_c is not None
        assert found.member_temperature_c.shape == (3, 48)
        assert found.hours.issued_s == ISSUED_S
        assert found.hours.notes == ("a note",)

    def test_the_same_one_is_kept_once(self, tmp_path: Path) -> None:
        store = kept(tmp_path)
        assert [store.keep(forecast()), store.keep(forecast())] == [True, False]
        assert len(store.between(0, 4e9)) == 1

    def test_another_one_of_the_same_issue_stands_beside_it(self, tmp_path: Path) -> None:
        store = kept(tmp_path)
        store.keep(forecast())
        other = replace(forecast(), fetched_s=ISSUED_S + 900, hours=hours(ISSUED_S, 48, 9.0))
        assert store.keep(other)
        assert not store.keep(other)
        found = kept(tmp_path).between(ISSUED_S, ISSUED_S + 1)
        assert found == [forecast_of(json_of(each), "x") for each in (forecast(), other)]

    def test_newest_is_the_last_issued_by_then(self, tmp_path: Path) -> None:
        store = kept(tmp_path)
        for day in (2, 0, 1):
            store.keep(forecast(ISSUED_S + day * 86400))
        assert store.newest(ISSUED_S - 1) is None
        found = [store.newest(ISSUED_S + day * 86400 + 30) for day in range(4)]
        assert [each and (each.issued_s - ISSUED_S) // 86400 for each in found] == [0, 1, 2, 2]
        inside = store.between(ISSUED_S, ISSUED_S + 2 * 86400)
        assert [(each.issued_s - ISSUED_S) // 86400 for each in inside] == [0, 1]

    @pytest.mark.parametrize("damage", ["", "{", "[1]", '{"format": "other"}', "cut", "nan", "hot"])
    def test_a_damaged_one_is_named_and_passed_over(self, tmp_path: Path, damage: str) -> None:
        store = kept(tmp_path)
        store.keep(forecast())
        store.keep(forecast(ISSUED_S + 86400))
        text = json_of(forecast(ISSUED_S + 86400))
        cut = {"cut": text[: len(text) // 2], "nan": text.replace("[0.0,", "[NaN,", 1)}
        cut["hot"] = text.replace("[0.0,", "[400.0,", 1)
        with sqlite3.connect(tmp_path / LOGBOOK_FILE) as raw:
            raw.execute("DROP TRIGGER forecasts_no_update")
            changed = "UPDATE forecasts SET content = ? WHERE serial = 2"
            raw.execute(changed, (cut.get(damage, damage),))
        raw.close()
        store = kept(tmp_path)
        found = store.newest(ISSUED_S + 2 * 86400)
        assert found is not None
        assert found.issued_s == ISSUED_S
        (sentence,) = store.damaged()
        assert "forecast 2" in sentence
        assert store.keep(forecast(ISSUED_S + 86400))  # beside the damaged one, which stays
        assert store.keep(forecast(ISSUED_S + 86400)) is False

    def test_a_folder_without_any(self, tmp_path: Path) -> None:
        store = kept(tmp_path)
        assert store.newest(ISSUED_S) is None
        assert store.between(0, 2e9) == []
        assert store.observed() == ()
        assert store.damaged() == ()

    def test_a_series_of_another_length_is_refused(self) -> None:
        with pytest.raises(InputError, match="does not fit"):
            replace(forecast(), p10_temperature_c=np.zeros(3))

    def test_text_of_a_forecast_is_json_of_its_own(self) -> None:
        text = json_of(forecast())
        assert forecast_of(text, "x") == forecast_of(json_of(forecast_of(text, "x")), "x")


class TestObserved:
    def test_hours_join_and_gaps_stay(self, tmp_path: Path) -> None:
        store = kept(tmp_path)
        assert store.keep_observed([hours(ISSUED_S, 5, source="station")]) == 5
        assert store.keep_observed([hours(ISSUED_S + 5 * HOUR_S, 2), hours(ISSUED_S, 3)]) == 2
        assert store.keep_observed([hours(ISSUED_S + 20 * HOUR_S, 4)]) == 4
        assert [len(piece) for piece in store.observed()] == [7, 4]
        assert store.observed()[0].source == "station"

    def test_what_was_kept_stands(self, tmp_path: Path) -> None:
        store = kept(tmp_path)
        store.keep_observed([hours(ISSUED_S, 2, 1.0)])
        store.keep_observed([hours(ISSUED_S, 3, 5.0)])
        assert store.observed()[0].temperature_c.tolist() == [1.0, 1.0, 5.0]

    def test_humidity_is_not_lost_where_some_hours_have_none(self, tmp_path: Path) -> None:
        store = kept(tmp_path)
        store.keep_observed([hours(ISSUED_S, 2, humidity_fraction=np.array([0.5, 0.6]))])
        store.keep_observed([hours(ISSUED_S + 2 * HOUR_S, 2)])
        store.keep_observed([hours(ISSUED_S + 9 * HOUR_S, 1)])
        with sqlite3.connect(tmp_path / LOGBOOK_FILE) as raw:
            told = raw.execute("SELECT humidity_fraction FROM observed ORDER BY time_s").fetchall()
        raw.close()
        assert told == [(0.5,), (0.6,), (None,), (None,), (None,)]
        assert [each.humidity_fraction is None for each in store.observed()] == [True, True]

    def test_many_at_once_lose_nothing(self, tmp_path: Path) -> None:
        def add(day: int) -> int:
            piece = hours(ISSUED_S + day * 86400, 24)
            return kept(tmp_path).keep_observed([piece])

        with ThreadPoolExecutor(8) as pool:
            assert sum(pool.map(add, range(24))) == 24 * 24
        (whole,) = kept(tmp_path).observed()
        assert len(whole) == 24 * 24
