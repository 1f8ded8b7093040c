"""A plan made while sap runs knows how much this run gives; of the runs after it, nothing more."""

from __future__ import annotations

import numpy as np
import pytest

from planning_cases import demo_plant, forecast_from, local_s
from sugarwright.planning.weathers import Belief, RunUnderWay, Weathers, make_weathers
from sugarwright.plant.drive import make_drive
from sugarwright.plant.simulate import Drive
from sugarwright.weather.hours import HourlyWeather

NOW = "2015-03-15 13:10"  # sap runs, and the night freezes
HOURS = 48


def weathers_with(weather: HourlyWeather, run: RunUnderWay | None) -> Weathers:
    now_s = local_s(NOW)
    return make_weathers(
        demo_plant(), forecast_from(weather, now_s, HOURS), now_s, HOURS, 3, Belief(run=run)
    )


def come(drive: Drive, hours: slice) -> np.ndarray:
    """Sap of each member in some hours."""
    total: np.ndarray = drive.sap_kg_s[:, hours].sum(axis=(1, 2, 3))
    return total


@pytest.mark.parametrize("scale", [0.5, 1.8])
def test_the_run_under_way_gives_what_was_seen_of_it(
    whately_2015: HourlyWeather, scale: float
) -> None:
    found = weathers_with(whately_2015, RunUnderWay(scale, 0.05))
    plain = weathers_with(whately_2015, None)
    usual = demo_plant().house.trees.yield_factor
    next_hours = slice(0, 4)
    assert come(plain.forecast, next_hours)[0] > 0.0
    ratio = come(found.forecast, next_hours) / come(plain.forecast, next_hours)
    assert ratio[0] == pytest.approx(scale / usual, rel=0.15)  # trees are drawn anew in between
    members = come(found.checked, next_hours)
    assert members.mean() == pytest.approx(come(found.forecast, next_hours)[0], rel=0.35)
    # Those that know nothing of the run differ by that alone already, besides their weather.
    spread = np.std(np.log(members))
    assert spread < np.std(np.log(come(plain.checked, next_hours)))


def test_runs_after_the_next_frost_are_as_they_were(whately_2015: HourlyWeather) -> None:
    found = weathers_with(whately_2015, RunUnderWay(3.0, 0.05))
    plain = weathers_with(whately_2015, None)
    tomorrow = slice(20, 36)
    assert come(plain.forecast, tomorrow)[0] > 0.0
    assert come(found.forecast, tomorrow) == pytest.approx(come(plain.forecast, tomorrow))
    assert np.median(come(found.checked, tomorrow)) == pytest.approx(
        np.median(come(plain.checked, tomorrow)), rel=0.25
    )


def test_a_run_of_the_usual_scale_changes_nothing_of_the_forecast(
    whately_2015: HourlyWeather,
) -> None:
    plant, now_s = demo_plant(), local_s(NOW)
    known = forecast_from(whately_2015, now_s, HOURS)
    begin_s = now_s - now_s % 3600
    air_c = known.temperature_c[np.newaxis]
    plain = make_drive(plant, known.first_s, air_c, begin_s, begin_s + HOURS * 3600)
    found = weathers_with(whately_2015, RunUnderWay(plant.house.trees.yield_factor, 0.0))
    assert come(found.forecast, slice(0, HOURS)) == pytest.approx(
        come(plain, slice(0, HOURS)), rel=0.05
    )
