"""Real hours that several tests share."""

from __future__ import annotations

import os
from pathlib import Path

import hypothesis
import pytest

from sugarwright.cli.main import BLAS

for _library in BLAS:  # before NumPy is loaded, as the command line does it
    os.environ.setdefault(_library, "1")

from sugarwright.weather.files import read_weather_csv  # noqa: E402
from sugarwright.weather.hours import HourlyWeather  # noqa: E402

hypothesis.settings.register_profile("without a time limit", deadline=None)
hypothesis.settings.load_profile("without a time limit")

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
