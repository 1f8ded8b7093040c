"""``sugarwright weather skill`` on invented forecasts about a real spring."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from command_line import make_house, run
from forecast_worlds import forecasts_about, issues
from sugarwright.logbook.store import open_store
from sugarwright.planning.weather_skill import weather_skill
from sugarwright.plant.read_house import read_house
from sugarwright.weather.hours import HourlyWeather
from sugarwright.weather.skill import usual_c, yesterday_c
from sugarwright.weather.verified import Measured


def test_without_forecasts_it_says_so(tmp_path: Path) -> None:
    ran = run("weather", "skill", make_house(tmp_path / "house"))
    assert ran.code == 0
    assert "nothing to judge" in " ".join(ran.out.split())
    document = run("weather", "skill", tmp_path / "house", "--json").document
    assert document["forecasts"] == 0
    assert document["enough"] is False
    assert document["temperature"] == []


def test_forecasts_are_judged_and_beat_the_baselines(
    tmp_path: Path, whately_2015: HourlyWeather
) -> None:
    folder = make_house(tmp_path / "house", trees__tapped="2015-03-05")
    begin_s = whately_2015.first_s + 70 * 86400
    made = forecasts_about(whately_2015, issues(begin_s, 20), 120, seed=1)
    store = open_store(folder).weather
    for each in made:
        assert store.keep(each)
    store.keep_observed([whately_2015.between(begin_s - 40 * 86400, begin_s + 60 * 86400)])
    document = run("weather", "skill", folder, "--days", "730", "--json").document
    assert document["forecasts"] == 0  # issued years ago: outside of --days
    house = read_house(folder / "sugarhouse.toml")
    report = weather_skill(made, store.observed(), house)
    assert report.forecasts == 20
    assert report.enough
    assert [row.lead_day for row in report.temperature] == [1, 2, 3, 4, 5]
    first, last = report.temperature[0], report.temperature[-1]
    assert first.crps_k < last.crps_k < first.climatology_crps_k
    assert first.crps_k < first.persistence_crps_k
    assert first.band_k < last.band_k
    assert report.sap[0].crps_m3 < report.sap[0].climatology_crps_m3
    assert report.sap[0].crps_m3 < report.sap[-1].crps_m3
    few = weather_skill(made[:4], store.observed(), house)
    assert not few.enough
    assert "too few" in few.notes[0]


def test_baselines_do_not_know_the_day_itself() -> None:
    came = Measured(0, np.repeat(np.arange(60.0), 24))  # each day as warm as its number
    time_s = 30 * 86400 + 3600 * np.arange(24)
    usual = usual_c(came, time_s)
    assert set(usual[:, 0]) == {*range(15, 27), *range(34, 46)}
    issued_s = 28 * 86400 + 5 * 3600
    again = yesterday_c(came, time_s, issued_s)
    np.testing.assert_array_equal(again[:5], 28.0)  # hours that were over at five o'clock
    np.testing.assert_array_equal(again[5:], 27.0)
    assert np.isnan(yesterday_c(came, time_s - 30 * 86400, 0)).all()


def test_a_year_is_not_asked_for_in_days_that_none_can_be(tmp_path: Path) -> None:
    assert run("weather", "skill", tmp_path, "--days", "0").code == 2


@pytest.mark.parametrize("words", [("--source", "Nobody")])
def test_an_unknown_source_is_said(tmp_path: Path, words: tuple[str, str]) -> None:
    assert "Nobody" in run("weather", "skill", tmp_path, *words).out
