"""``sugarwright season`` on the command line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from command_line import frosty_days, make_house, refused, run
from sugarwright.logbook.store import open_store
from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.forecast import Forecast

FEW = ["--springs", "20"]
AT = ["--now", "2027-03-12 08:00"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = make_house(tmp_path_factory.mktemp("house"))
    (folder / "weather.csv").write_text(frosty_days(20))
    return folder


@pytest.fixture(scope="module")
def document(folder: Path) -> Any:
    ran = run("season", folder, *AT, *FEW, "--json")
    assert ran.code == 0, ran
    return ran.document


def test_the_document_says_what_it_stands_on(document: Any) -> None:
    assert document["count"] == 20
    assert document["tapped_s"] == 1803142800  # 2027-02-20 12:00 in New York, by `date -d`
    assert document["known_since_s"] == 1803859200  # 2027-03-01 00:00Z
    assert document["forecast_to_s"] == 1805587200  # 2027-03-21 00:00Z
    assert any("since tapping is not all known" in text for text in document["notes"])
    assert "measured hours, then the forecast" in document["weather_source"]


def test_the_text_says_the_same_in_80_columns(folder: Path, document: Any) -> None:
    out = run("season", folder, *AT, *FEW).out
    assert max(map(len, out.splitlines())) <= 80
    assert "the season as seen on Friday 12 March 2027" in out
    to_come = next(line for line in out.splitlines() if line.strip().startswith("to come"))
    gallons = document["to_come"]["sap_m3"]["middle"] / 0.003785411784
    assert to_come.split()[2].replace(",", "") == f"{gallons:.0f}"
    for said in ("When to pull", "Ohio State University Extension", "taste the sap"):
        assert said in " ".join(out.split())
    assert "When to tap" not in out


@pytest.mark.parametrize("units", ["us", "metric"])
def test_taps_that_are_not_set_are_a_question(tmp_path: Path, units: str) -> None:
    folder = make_house(tmp_path / "h", site__units=units, trees__tapped="2027-03-20")
    out = run("season", folder, *AT, *FEW, "--chart", "-").out
    assert max(map(len, out.splitlines())) <= 80
    assert "12 Mar today" in out
    assert "20 Mar planned" in out
    assert "There is no forecast in this" in out
    assert (" gal" in out) == (units == "us")
    assert "sap to come, by weeks" in out


def test_days_to_compare_can_be_named(tmp_path: Path) -> None:
    folder = make_house(tmp_path / "h", trees__tapped="2026-02-20")
    words = ["season", folder, *AT, *FEW, "--tap", "2027-03-14", "--tap", "2027-04-04", "--json"]
    assert len(run(*words).document["days"]) == 2
    assert "no date" in refused("season", folder, *AT, "--tap", "soon")
    assert "no day to tap on" in refused("season", folder, *AT, *FEW, "--tap", "2027-03-01")


def test_kept_weather_is_used_when_no_file_is_given(folder: Path, tmp_path: Path) -> None:
    house = make_house(tmp_path / "h")
    weather = read_weather_csv(folder / "weather.csv", "UTC")
    now_s = 1804856400  # 2027-03-12 13:00Z
    store = open_store(house).weather
    store.keep_observed([weather.between(weather.first_s, now_s)])
    ahead = weather.between(now_s, weather.end_s)
    store.keep(Forecast(now_s, now_s, "an invented service", "", 44.1, -71.9, None, ahead))
    document = run("season", house, *AT, *FEW, "--json").document
    assert document["issued_s"] == now_s
    assert document["known_since_s"] == weather.first_s
    assert "an invented service" in document["weather_source"]


def test_past_springs_are_used(folder: Path, newark_file: Path) -> None:
    words = ["--past", newark_file, "--temperature-unit", "F", "--station", "EWR", "--fill-gaps"]
    found = run("season", folder, *AT, *FEW, *words, "6", "--weather", newark_file, "--json")
    assert found.code == 0, found
    assert "2013" in found.document["weather_source"]
    assert any("real spring" in text for text in found.document["notes"])


def test_a_picture(folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "season.svg"
    assert run("season", folder, *AT, *FEW, "--chart", file).code == 0
    text = file.read_text(encoding="utf-8")
    assert "the season as seen on 12 Mar" in text
    assert "seed 1" in text
