"""Tables with gaps, in French, in JSON, in the wrong unit: what is read, and what is said."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from command_line import frosty_days, make_house
from sugarwright.cli.folder import house_in
from sugarwright.cli.weather_options import WeatherTexts, read_weather
from sugarwright.errors import WeatherFileError
from sugarwright.logbook.store import open_store
from sugarwright.weather.files import read_weather_csv, read_weather_pieces
from sugarwright.weather.forecast import Forecast
from sugarwright.weather.hours import HOUR_S, clock_text
from sugarwright.weather.typed import typed_forecast
from weather_loopback import NOW_S, PLACE, met_norway

NEW_YORK = "America/New_York"


def table(folder: Path, text: str, name: str = "table.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "title", ["Date/Heure (HNE)", "date heure hne", "heure de l'obs (HNE)", "timestamp (utc-5)"]
)
def test_french_titles(tmp_path: Path, title: str) -> None:
    text = f"{title};Température (°C)\n2027-03-09 12:00;5,5\n2027-03-09 13:00;6,0\n"
    if title.startswith("heure de l"):
        text = "Date;Heure (HNE);Température (°C)\n2027-03-09;12:00;5,5\n2027-03-09;13:00;6,0\n"
    weather = read_weather_csv(table(tmp_path, text), NEW_YORK)
    assert weather.temperature_c.tolist() == [5.5, 6.0]
    assert clock_text(weather.first_s, NEW_YORK) == "2027-03-09 17:00Z (12:00 EST)"


def test_pieces_between_gaps_are_all_that_was_read(tmp_path: Path) -> None:
    rows = [f"2027-03-09 {hour:02d}:00,{hour},0.5" for hour in (0, 1, 2, 5, 6, 12)]
    path = table(tmp_path, "time_utc,temperature_c,humidity_fraction\n" + "\n".join(rows))
    pieces = read_weather_pieces(path)
    assert [piece.temperature_c.tolist() for piece in pieces] == [[0, 1, 2], [5, 6], [12]]
    assert pieces[1].humidity_fraction is not None
    drawn = read_weather_pieces(path, fill_gaps_h=2)
    assert [len(piece) for piece in drawn] == [7, 1]


def test_a_gap_is_told_on_the_clock_of_the_house_too(tmp_path: Path) -> None:
    path = table(tmp_path, "time,temp_c\n2027-03-09 12:00,1\n2027-03-09 15:00,1\n")
    with pytest.raises(WeatherFileError, match=r"2 hours from 2027-03-09 18:00Z \(13:00 EST\)"):
        read_weather_csv(path, NEW_YORK)


@pytest.mark.parametrize("title", ["tmin (F),tmax (F)", "low,high", "min temp C,max temp C"])
def test_lows_and_highs_of_days_are_told_what_to_do(tmp_path: Path, title: str) -> None:
    path = table(tmp_path, f"date,{title}\n2027-03-09,20,40\n")
    with pytest.raises(WeatherFileError, match="--low 24F --high 45F"):
        read_weather_csv(path)


def spring(scale: float, offset: float, title: str, month: int = 3) -> str:
    """Five invented days of a sap spring: -5 to 8 degrees, in whatever unit."""
    lines = [f"time_utc,{title}"]
    for hour in range(120):
        air_c = 1.5 - 6.5 * np.cos(2.0 * np.pi * (hour - 10) / 24.0)
        stamp = f"2027-{month:02d}-{1 + hour // 24:02d} {hour % 24:02d}:00"
        lines.append(f"{stamp},{scale * air_c + offset:.2f}")
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("text", "doubt"),
    [
        (spring(1.8, 32.0, "temperature_c"), "is the column Fahrenheit"),
        (spring(1.0, 0.0, "temperature_f"), "is the column Celsius"),
        (spring(1.0, 0.0, "temperature_c"), ""),
        (spring(1.8, 32.0, "temperature_f"), ""),
        (spring(1.0, 18.0, "temperature_c", month=7), ""),
    ],
)
def test_a_mixed_up_unit_is_doubted(tmp_path: Path, text: str, doubt: str) -> None:
    notes = " ".join(read_weather_csv(table(tmp_path, text)).notes)
    assert (doubt in notes) if doubt else ("is the column" not in notes)


@pytest.mark.parametrize(
    "document",
    [
        [{"time": "2027-03-09T12:00Z", "temp_c": 1}, {"time": "2027-03-09T13:00Z", "temp_c": 2}],
        {"data": {"time_utc": ["2027-03-09 12:00", "2027-03-09 13:00"], "temp_c": [1, 2]}},
        {"a": [1, 2], "rows": [{"when": "2027-03-09 12:00Z", "temp_f": 33.8},
                               {"when": "2027-03-09 13:00Z", "temp_f": 35.6}]},
    ],
)  # fmt: skip
def test_json_of_any_shape(tmp_path: Path, document: object) -> None:
    weather = read_weather_csv(table(tmp_path, json.dumps(document), "rows.json"))
    assert weather.temperature_c == pytest.approx([1.0, 2.0])


@pytest.mark.parametrize("text", ["{", "[]", '{"a": 1}', '[{"x": 1}]', "[1, 2]", "[" * 99999])
def test_json_without_a_table(tmp_path: Path, text: str) -> None:
    with pytest.raises(WeatherFileError):
        read_weather_csv(table(tmp_path, text, "rows.json"))


def test_weather_takes_json_saved_from_a_service(tmp_path: Path) -> None:
    house = house_in(str(make_house(
        tmp_path / "house",
        site__latitude=str(PLACE.latitude_deg),
        site__longitude=str(PLACE.longitude_deg),
    )))  # fmt: skip
    saved = table(tmp_path, json.dumps(met_norway()), "saved.json")
    weather = read_weather(str(tmp_path), house, WeatherTexts(weather=str(saved)))
    assert weather.source == "MET Norway"
    assert weather.issued_s is not None
    assert len(weather) > 150


def test_a_file_of_the_folder_stands_before_what_is_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = make_house(tmp_path / "house")
    house = house_in(str(folder))
    with pytest.raises(WeatherFileError, match="weather --help"):
        read_weather(str(folder), house, WeatherTexts())
    open_store(folder).weather.keep(typed_forecast([-4.0, -3.0], [7.0, 5.0], NOW_S, 44.0, -72.5))
    kept = read_weather(str(folder), house, WeatherTexts(), NOW_S, NOW_S + 86400)
    assert "typed" in kept.source
    assert "Stands on: typed" in capsys.readouterr().err
    (folder / "weather.csv").write_text(frosty_days(3))
    assert read_weather(str(folder), house, WeatherTexts()).source == "weather.csv"


def test_a_typed_forecast_begins_with_its_hour() -> None:
    forecast: Forecast = typed_forecast([-4.0], [7.0], NOW_S, 44.0, -72.5)
    assert forecast.hours.first_s == NOW_S - NOW_S % HOUR_S
