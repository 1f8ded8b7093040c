"""Options that say which weather to read, shared by the commands that need one."""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.record import record_in
from sugarwright.errors import InputError, WeatherFileError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.weather.hours import HourlyWeather
    from sugarwright.weather.standing import Footing

WEATHER_FILE = "weather.csv"
USUAL_S = 3 * 86400
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


def read_weather(
    folder: str,
    house: House,
    texts: WeatherTexts,
    now_s: int | None = None,
    until_s: int | None = None,
    since_s: int | None = None,
) -> HourlyWeather:
    """Return the weather that the options ask for: a file, ``weather.csv``, or what is kept.

    Parameters
    ----------
    folder : of the house
    house : whose place and time zone those of the weather are
    texts : the options
    now_s : UTC s, for what is kept; left out: this moment
    until_s : UTC s to which it must reach, for what is kept; left out: three days on
    since_s : UTC s from which on kept hours are taken; left out: two weeks back

    Raises
    ------
    InputError : there is no such file, or something in it cannot be used, or nothing is kept
    """
    unit = read_unit(texts.temperature_unit)
    path = Path(folder) / WEATHER_FILE if texts.weather is None else Path(texts.weather)
    if texts.weather is None and not path.exists():
        from sugarwright.weather.standing import stand

        with record_in(folder, make=False) as book:
            if not book.weather.holds_forecasts():
                raise WeatherFileError(
                    "weather",
                    None,
                    "no weather was given",
                    fix="Name a file of hourly air temperatures with --weather, or save it as "
                    f"{path}; or get a forecast: `sugarwright weather --help`. "
                    "`sugarwright plan --weather none` plans for what is in the tanks alone",
                )
            begin_s = int(time.time()) if now_s is None else now_s
            footing = stand(book.weather, begin_s, until_s or begin_s + USUAL_S, since_s)
        tell_standing(footing, house)
        return footing.weather

    from sugarwright.weather.saved import read_weather_file
    from sugarwright.weather.services.service import Place

    site = house.site
    place = Place(site.latitude_deg, site.longitude_deg, site.elevation_m)
    zone = site.timezone if texts.zone is None else texts.zone
    return read_weather_file(path, place, zone, unit, texts.station or "", texts.fill_gaps)


def stands_on_kept(folder: str, texts: WeatherTexts, book: Logbook) -> bool:
    """Tell whether the options ask for the weather that the logbook keeps, not for a file's."""
    is_file = texts.weather is not None or (Path(folder) / WEATHER_FILE).exists()
    return not is_file and book.weather.holds_forecasts()


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


def stored_footing(folder: str, now_s: int, until_s: int) -> Footing:
    """Return what a plan can stand on of the weather kept in a folder.

    Raises
    ------
    WeatherFileError : nothing kept can carry it; says the ways to get a forecast
    """
    from sugarwright.weather.standing import stand

    with record_in(folder, make=False) as book:
        return stand(book.weather, now_s, until_s)


def tell_standing(footing: Footing, house: House) -> None:
    """Say on stderr which kept forecast something stands on, and how old it is."""
    from sugarwright.cli.weather_text import standing_lines

    for line in standing_lines(footing.provenance, house.site.timezone):
        print(line, file=sys.stderr)
