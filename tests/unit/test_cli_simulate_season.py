"""simulate --season: many generated springs on an invented house."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from command_line import make_house, refused, run

NORMALS = """
[site.normals]  # invented
highs = ["30 F", "33 F", "42 F", "55 F", "67 F"]
lows = ["11 F", "13 F", "22 F", "33 F", "44 F"]
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_house(tmp_path_factory.mktemp("house"))


@pytest.fixture(scope="module")
def document(folder: Path) -> Any:
    ran = run("simulate", folder, "--season", "--seasons", "12", "--json")
    assert ran.code == 0, ran
    return ran.document


def typed_normals(folder: Path, text: str = NORMALS) -> Path:
    house = make_house(folder)
    file = house / "sugarhouse.toml"
    file.write_text(file.read_text(encoding="utf-8") + text, encoding="utf-8")
    return house


def test_the_spread_is_that_of_the_seasons(document: Any) -> None:
    seasons = document["seasons"]
    assert len(seasons) == document["count"] == 12
    for name, spread in document["spread"].items():
        values = sorted(season[name] for season in seasons)
        assert values[0] <= spread["low"] <= spread["middle"] <= spread["high"] <= values[-1]
        assert spread["middle"] == pytest.approx((values[5] + values[6]) / 2)
    assert len({season["sap_m3"] for season in seasons}) == 12
    assert document["begin_s"] == 1803099600  # 2027-02-20 00:00 in New York, the day of tapping


def test_a_season_is_what_its_weather_file_would_bring(folder: Path, tmp_path: Path) -> None:
    """The same house in one spring, read from a file, by the other way through the program."""
    from sugarwright.plant.read_house import read_house
    from sugarwright.plant.seasons import springs_of
    from sugarwright.weather.files import write_weather_csv

    house = read_house(folder / "sugarhouse.toml")
    write_weather_csv(springs_of(house, 1, 1).weather(0), tmp_path / "one.csv")
    single = run("simulate", folder, "--weather", tmp_path / "one.csv", "--json").document
    many = run("simulate", folder, "--season", "--seasons", "1", "--json").document
    # One member's run factors are all 1 (their mean over members is), so nothing differs.
    for name, value in many["seasons"][0].items():
        assert value == pytest.approx(single["total"][name], rel=1e-9, abs=1e-9), name
    assert many["net_money"]["middle"] == pytest.approx(single["net_money"], rel=1e-9)


def test_the_same_seed_the_same_seasons(folder: Path, document: Any) -> None:
    again = run("simulate", folder, "--season", "--seasons", "12", "--seed", "1", "--json").document
    assert again == document
    other = run("simulate", folder, "--season", "--seasons", "12", "--seed", "2", "--json").document
    assert other["spread"] != document["spread"]


def test_warmth_shows(folder: Path, document: Any) -> None:
    """6 K on every hour, from 20 February on: tap holes age, frosts are few, less sap runs."""
    warm = run("simulate", folder, "--season", "--seasons", "12", "--warming", "6 K", "--json")
    assert "+6 K" in warm.document["weather_source"]
    assert warm.document["spread"]["sap_m3"]["middle"] < document["spread"]["sap_m3"]["middle"]


def test_text_names_the_guess_and_fits(folder: Path) -> None:
    ran = run("simulate", folder, "--season", "--seasons", "3")
    assert ran.code == 0
    assert "a guess from" in " ".join(ran.out.split())
    assert "3 springs made up" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80


def test_typed_normals_are_used(tmp_path: Path) -> None:
    ran = run("simulate", typed_normals(tmp_path / "house"), "--season", "--seasons", "3", "--json")
    assert "[site.normals]" in ran.document["weather_source"]
    assert not any("guess" in note for note in ran.document["notes"])


def test_a_low_above_its_high_is_refused_by_name(tmp_path: Path) -> None:
    house = typed_normals(tmp_path / "house", NORMALS.replace('"22 F"', '"45 F"'))
    assert "March" in refused("check", house)
    assert "March" in refused("simulate", house, "--season")


def test_past_springs_are_read(folder: Path) -> None:
    data = Path(__file__).parents[1] / "data" / "whately-hourly-2015.csv"
    ran = run("simulate", folder, "--season", "--seasons", "3", "--past", data, "--json")
    assert ran.code == 0, ran
    assert "2015" in ran.document["weather_source"]
    assert any("Only 1 real spring" in note for note in ran.document["notes"])


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--season", "--weather", "x.csv"), "--weather"),
        (("--season", "--trace", "x.csv"), "--trace"),
        (("--season", "--seasons", "0"), "--seasons"),
        (("--season", "--warming", "80 F"), "--warming"),
        (("--season", "--warming", "warm"), "--warming"),
        (("--season", "--past", "nowhere.csv"), "nowhere.csv"),
        (("--season", "--to", "2027-07-01"), "January to May"),
        (("--seasons", "5"), "--seasons"),
        (("--seed", "5"), "--seed"),
        (("--warming", "1 K"), "--warming"),
        (("--past", "x.csv"), "--past"),
    ],
)
def test_what_does_not_go_together_is_refused(
    folder: Path, words: tuple[str, ...], named: str
) -> None:
    assert named in refused("simulate", folder, *words)


def test_taps_in_summer_are_refused(tmp_path: Path) -> None:
    house = make_house(tmp_path / "summer", trees__tapped="2027-07-02")
    assert "January to May" in refused("simulate", house, "--season")
