"""Real hours that several tests share."""

from __future__ import annotations

from pathlib import Path

import pytest

from sugarwright.weather.files import read_weather_csv
from sugarwright.weather.hours import HourlyWeather

DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="session")
def whately_2015() -> HourlyWeather:
    """Return a field station in Massachusetts, all of 2015 (see tests/data/README.md)."""
    return read_weather_csv(DATA / "whately-hourly-2015.csv")


@pytest.fixture(scope="session")
def newark_file() -> Path:
    """Return the hourly table of Newark airport, 2013 (see tests/data/README.md)."""
    return DATA / "newark-hourly-2013.csv"


@pytest.fixture(scope="session")
def newark_2013(newark_file: Path) -> HourlyWeather:
    """Return Newark airport, 2013; 28 missing hours, at most 5 together, drawn straight."""
    return read_weather_csv(newark_file, temperature_unit="F", station="EWR", fill_gaps_h=5)
