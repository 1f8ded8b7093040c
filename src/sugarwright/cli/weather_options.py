"""Options that say which weather to read, shared by the commands that need one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.errors import InputError, WeatherFileError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.weather.hours import HourlyWeather

WEATHER_FILE = "weather.csv"
TEMPERATURE_UNITS = ("C", "F", "K")


@dataclass(frozen=True)
class WeatherTexts:
    """Which weather to read, as typed."""

    weather: Annotated[
        str | None,
        typer.Option(
            "--weather",
            "--forecast",
            metavar="FILE",
            help="Hourly weather: a table with a time and an air temperature, two weeks back or "
            "more so that the trees are known. Left out: weather.csv in the folder.",
        ),
    ] = None
    temperature_unit: Annotated[
        str | None,
        typer.Option(
            metavar="C|F|K", help="Unit of the temperatures, if the file's header states none."
        ),
    ] = None
    station: Annotated[
        str | None, typer.Option(metavar="NAME", help="Which station, if the file holds several.")
    ] = None
    zone: Annotated[
        str | None,
        typer.Option(
            metavar="ZONE",
            help="Time zone of the file's times, if it states none; else the house's.",
        ),
    ] = None
    fill_gaps: Annotated[
        int,
        typer.Option(
            metavar="HOURS", min=0, max=48, help="Draw straight lines across gaps up to this long."
        ),
    ] = 0


def read_weather(folder: str, house: House, texts: WeatherTexts) -> HourlyWeather:
    """Return the weather that the options ask for.

    Parameters
    ----------
    folder : of the house
    house : whose time zone is that of times without one
    texts : the options

    Raises
    ------
    InputError : there is no such file, or something in it cannot be used
    """
    from sugarwright.weather.files import read_weather_csv

    unit = (texts.temperature_unit or "").strip().upper()
    if unit and unit not in TEMPERATURE_UNITS:
        raise InputError(
            "--temperature-unit", texts.temperature_unit, "is no unit known here", "C, F or K"
        )
    path = Path(folder) / WEATHER_FILE if texts.weather is None else Path(texts.weather)
    if texts.weather is None and not path.exists():
        raise WeatherFileError(
            "weather",
            None,
            "no weather was given",
            fix=f"Name a file of hourly air temperatures with --weather, or save it as {path}",
        )
    zone = house.site.timezone if texts.zone is None else texts.zone
    return read_weather_csv(path, zone, unit, texts.station or "", texts.fill_gaps)
