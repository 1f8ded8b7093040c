"""What is kept of the weather: never altered, never lost, damage named and passed over."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sugarwright.errors import InputError, WeatherFileError
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.forecast_json import forecast_of, json_of
from sugarwright.weather.hours import HOUR_S, HourlyWeather
from sugarwright.weather.store import FORECASTS, OBSERVED, FolderStore

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


class TestForecasts:
    def test_comes_back_to_a_hundredth_of_a_degree(self, tmp_path: Path) -> None:
        store = FolderStore(tmp_path)
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
        store = FolderStore(tmp_path)
        assert [store.keep(forecast()), store.keep(forecast())] == [True, False]
        assert len(list((tmp_path / FORECASTS).iterdir())) == 1

    def test_another_one_of_the_same_issue_alters_nothing(self, tmp_path: Path) -> None:
        store = FolderStore(tmp_path)
        store.keep(forecast())
        (before,) = (tmp_path / FORECASTS).iterdir()
        text = before.read_text()
        other = replace(forecast(), hours=hours(ISSUED_S, 48, 9.0))
        assert store.keep(other)
        assert before.read_text() == text
        assert len(store.between(ISSUED_S, ISSUED_S + 1)) == 2

    def test_newest_is_the_last_issued_by_then(self, tmp_path: Path) -> None:
        store = FolderStore(tmp_path)
        for day in (2, 0, 1):
            store.keep(forecast(ISSUED_S + day * 86400))
        assert store.newest(ISSUED_S - 1) is None
        found = [store.newest(ISSUED_S + day * 86400 + 30) for day in range(4)]
        assert [each and (each.issued_s - ISSUED_S) // 86400 for each in found] == [0, 1, 2, 2]
        inside = store.between(ISSUED_S, ISSUED_S + 2 * 86400)
        assert [(each.issued_s - ISSUED_S) // 86400 for each in inside] == [0, 1]

    @pytest.mark.parametrize("damage", ["", "{", "[1]", '{"format": "other"}', "cut", "nan", "hot"])
    def test_a_damaged_one_is_named_and_passed_over(self, tmp_path: Path, damage: str) -> None:
        store = FolderStore(tmp_path)
        store.keep(forecast())
        store.keep(forecast(ISSUED_S + 86400))
        damaged = sorted((tmp_path / FORECASTS).iterdir())[-1]
        text = damaged.read_text()
        cut = {"cut": text[: len(text) // 2], "nan": text.replace("[0.0,", "[NaN,", 1)}
        cut["hot"] = text.replace("[0.0,", "[400.0,", 1)
        damaged.write_text(cut.get(damage, damage))
        found = store.newest(ISSUED_S + 2 * 86400)
        assert found is not None
        assert found.issued_s == ISSUED_S
        (sentence,) = store.damaged()
        assert damaged.name in sentence
        assert store.keep(forecast(ISSUED_S + 86400))  # beside the damaged one, which stays
        assert damaged.exists()

    def test_a_folder_without_any(self, tmp_path: Path) -> None:
        store = FolderStore(tmp_path)
        assert store.newest(ISSUED_S) is None
        assert store.between(0, 2e9) == []
        assert store.observed() == ()
        assert store.damaged() == ()

    def test_no_passing_file_stays(self, tmp_path: Path) -> None:
        store = FolderStore(tmp_path)
        store.keep(forecast())
        store.keep_observed([hours(ISSUED_S, 3)])
        names = [path.name for path in tmp_path.rglob("*") if path.is_file()]
        assert not [name for name in names if name.endswith(".part")]

    def test_a_folder_that_cannot_be_written_is_said(self, tmp_path: Path) -> None:
        (tmp_path / FORECASTS).write_text("a file where the folder should be")
        with pytest.raises(WeatherFileError, match="cannot be"):
            FolderStore(tmp_path).keep(forecast())

    def test_a_series_of_another_length_is_refused(self) -> None:
        with pytest.raises(InputError, match="does not fit"):
            replace(forecast(), p10_temperature_c=np.zeros(3))

    def test_text_of_a_forecast_is_json_of_its_own(self) -> None:
        text = json_of(forecast())
        assert forecast_of(text, "x") == forecast_of(json_of(forecast_of(text, "x")), "x")


class TestObserved:
    def test_hours_join_and_gaps_stay(self, tmp_path: Path) -> None:
        store = FolderStore(tmp_path)
        assert store.keep_observed([hours(ISSUED_S, 5, source="station")]) == 5
        assert store.keep_observed([hours(ISSUED_S + 5 * HOUR_S, 2), hours(ISSUED_S, 3)]) == 2
        assert store.keep_observed([hours(ISSUED_S + 20 * HOUR_S, 4)]) == 4
        assert [len(piece) for piece in store.observed()] == [7, 4]
        assert store.observed()[0].source == "station"

    def test_what_was_kept_stands(self, tmp_path: Path) -> None:
        store = FolderStore(tmp_path)
        store.keep_observed([hours(ISSUED_S, 2, 1.0)])
        store.keep_observed([hours(ISSUED_S, 3, 5.0)])
        assert store.observed()[0].temperature_c.tolist() == [1.0, 1.0, 5.0]

    def test_humidity_is_not_lost_where_some_hours_have_none(self, tmp_path: Path) -> None:
        store = FolderStore(tmp_path)
        store.keep_observed([hours(ISSUED_S, 2, humidity_fraction=np.array([0.5, 0.6]))])
        store.keep_observed([hours(ISSUED_S + 2 * HOUR_S, 2)])
        store.keep_observed([hours(ISSUED_S + 9 * HOUR_S, 1)])
        assert "0.6" in (tmp_path / OBSERVED).read_text()
        assert store.observed()[0].humidity_fraction is None

    def test_many_at_once_lose_nothing(self, tmp_path: Path) -> None:
        def add(day: int) -> int:
            piece = hours(ISSUED_S + day * 86400, 24)
            return FolderStore(tmp_path).keep_observed([piece])

        with ThreadPoolExecutor(8) as pool:
            assert sum(pool.map(add, range(24))) == 24 * 24
        (whole,) = FolderStore(tmp_path).observed()
        assert len(whole) == 24 * 24

    @pytest.mark.parametrize(
        "line", ["2027-03-09T07:00Z,warm,,,,x", "2027-03-09T07:00,1,,,,x", "2027-03-09T07:00Z,1"]
    )
    def test_a_damaged_line_is_passed_over_and_never_overwritten(
        self, tmp_path: Path, line: str
    ) -> None:
        store = FolderStore(tmp_path)
        store.keep_observed([hours(ISSUED_S, 2)])
        path = tmp_path / OBSERVED
        path.write_text(path.read_text() + line + "\n")
        assert len(store.observed()[0]) == 2
        assert "line 4" in store.damaged()[0]
        with pytest.raises(WeatherFileError, match="line 4"):
            store.keep_observed([hours(ISSUED_S + 9 * HOUR_S, 2)])
        assert line in path.read_text()

    def test_a_table_of_another_form_is_left_alone(self, tmp_path: Path) -> None:
        path = tmp_path / OBSERVED
        path.write_text("time,temp (F)\n2027-03-09 01:00,30\n")
        with pytest.raises(WeatherFileError, match="weather import"):
            FolderStore(tmp_path).keep_observed([hours(ISSUED_S, 2)])
        assert path.read_text().endswith("01:00,30\n")
