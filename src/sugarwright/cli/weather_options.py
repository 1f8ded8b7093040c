"""Options that say which weather to read, shared by the commands that need one."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.answering.weather import WEATHER_FILE, WeatherWanted, weather_in
from sugarwright.cli.output import note
from sugarwright.cli.record import record_in
from sugarwright.errors import InputError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.weather.hours import HourlyWeather
    from sugarwright.weather.standing import Footing

__all__ = [
    "WEATHER_FILE", "WeatherTexts", "read_unit", "read_weather", "stored_footing", "tell_standing",
]  # fmt: skip
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
            "more so that the trees are known; or JSON of a weather service. Left out: weather.csv "
            "in the folder, else what `sugarwright weather` keeps there.",
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

    def wanted(self) -> WeatherWanted:
        """Return what is meant.

        Raises
        ------
        InputError : the unit is none
        """
        unit = read_unit(self.temperature_unit)
        return WeatherWanted(self.weather, unit, self.station or "", self.zone, self.fill_gaps)


def read_weather(
    folder: str,
    house: House,
    texts: WeatherTexts,
    now_s: int | None = None,
    until_s: int | None = None,
    since_s: int | None = None,
) -> HourlyWeather:
    """Return the weather that the options ask for, and say on stderr what kept one stands on.

    Parameters
    ----------
    folder, house : of the sugarhouse
    texts : the options
    now_s, until_s, since_s : as ``answering.weather.weather_in`` takes them

    Raises
    ------
    InputError : there is no such file, or something in it cannot be used, or nothing is kept
    """
    return weather_in(
        folder, house, texts.wanted(), now_s, until_s, since_s,
        stands_on=lambda footing: tell_standing(footing, house), tell=note,
    )  # fmt: skip


def read_unit(text: str | None) -> str:
    """Return the unit typed after ``--temperature-unit``; empty when it was left out.

    Raises
    ------
    InputError : it is none
    """
    unit = (text or "").strip().upper()
    if unit and unit not in TEMPERATURE_UNITS:
        raise InputError("--temperature-unit", text, "is no unit known here", "C, F or K")
    return unit


def stored_footing(folder: str, now_s: int, until_s: int, zone: str) -> Footing:
    """Return what a plan can stand on of the weather kept in a folder, by whose clocks.

    Raises
    ------
    WeatherFileError : nothing kept can carry it; says the ways to get a forecast
    """
    from sugarwright.weather.standing import stand

    with record_in(folder, make=False) as book:
        return stand(book.weather, now_s, until_s, None, zone)


def tell_standing(footing: Footing, house: House) -> None:
    """Say on stderr which kept forecast something stands on, and how old it is."""
    from sugarwright.cli.weather_text import standing_lines

    for line in standing_lines(footing.provenance, house.site.timezone):
        print(line, file=sys.stderr)
