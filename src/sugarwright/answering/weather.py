"""Which weather a folder has: a file that is named, its own file, or what the logbook keeps."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sugarwright.answering.record import Tell, record_of, tell_nobody
from sugarwright.errors import WeatherFileError

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.plant.house import House
    from sugarwright.twin.question import Weather
    from sugarwright.weather.hours import HourlyWeather
    from sugarwright.weather.standing import Footing

WEATHER_FILE = "weather.csv"
USUAL_S = 3 * 86400
StandsOn = Callable[["Footing"], None]


@dataclass(frozen=True)
class WeatherWanted:
    """Which weather is wanted; as it stands, whatever the folder has.

    Parameters
    ----------
    file : path of one; None: ``weather.csv`` in the folder, else what the logbook keeps
    unit : of its temperatures, "C", "F" or "K", if its header states none; else empty
    station : which one, if the file holds several; else empty
    zone : of its times, if it states none; None: the house's
    fill_gaps_h : straight lines are drawn across gaps of so many hours
    """

    file: str | None = None
    unit: str = ""
    station: str = ""
    zone: str | None = None
    fill_gaps_h: int = 0


AS_KEPT = WeatherWanted()


def weather_in(
    folder: str,
    house: House,
    wanted: WeatherWanted = AS_KEPT,
    now_s: int | None = None,
    until_s: int | None = None,
    since_s: int | None = None,
    *,
    stands_on: StandsOn | None = None,
    tell: Tell = tell_nobody,
) -> HourlyWeather:
    """Return the weather that is wanted.

    Parameters
    ----------
    folder : of the house
    house : whose place and time zone those of the weather are
    wanted : which
    now_s : UTC s, for what is kept; left out: this moment
    until_s : UTC s to which it must reach, for what is kept; left out: three days on
    since_s : UTC s from which on kept hours are taken; left out: two weeks back
    stands_on : is told what kept weather stands on
    tell : is told what went wrong beside, and what is doubtful of a file

    Raises
    ------
    InputError : there is no such file, or something in it cannot be used, or nothing is kept
    """
    path = Path(folder) / WEATHER_FILE if wanted.file is None else Path(wanted.file)
    if not is_of_file(folder, wanted):
        from sugarwright.weather.standing import stand

        with record_of(folder, make=False, tell=tell) as book:
            if not book.weather.holds_forecasts():
                raise _no_weather(path)
            begin_s = int(time.time()) if now_s is None else now_s
            footing = stand(
                book.weather, begin_s, until_s or begin_s + USUAL_S, since_s, house.site.timezone
            )
        if stands_on is not None:
            stands_on(footing)
        return footing.weather

    from sugarwright.weather.saved import read_weather_file
    from sugarwright.weather.services.service import Place

    site = house.site
    place = Place(site.latitude_deg, site.longitude_deg, site.elevation_m)
    zone = site.timezone if wanted.zone is None else wanted.zone
    weather = read_weather_file(path, place, zone, wanted.unit, wanted.station, wanted.fill_gaps_h)
    for text in weather.notes:
        tell(f"{path}: {text}")
    return weather


def _no_weather(path: Path) -> WeatherFileError:
    return WeatherFileError(
        "weather",
        None,
        "no weather was given",
        fix="Name a file of hourly air temperatures with --weather, or save it as "
        f"{path}; or get a forecast: `sugarwright weather --help`. "
        "`sugarwright plan --weather none` plans for what is in the tanks alone",
    )


def is_of_file(folder: str, wanted: WeatherWanted = AS_KEPT) -> bool:
    """Tell whether a file says the weather: one that is named, or the folder's own."""
    return wanted.file is not None or (Path(folder) / WEATHER_FILE).exists()


def stands_on_kept(folder: str, wanted: WeatherWanted, book: Logbook) -> bool:
    """Tell whether what is wanted is the weather that the logbook keeps, not a file's."""
    return not is_of_file(folder, wanted) and book.weather.holds_forecasts()


def twin_weather(folder: str, house: House, book: Logbook, tell: Tell = tell_nobody) -> Weather:
    """Return what the folder has of the weather as the twin takes it; tell what is doubtful."""
    from sugarwright.twin.kept_weather import FileWeather, KeptWeather

    if is_of_file(folder):
        return FileWeather(house, weather_in(folder, house, tell=tell))
    return KeptWeather(house, book.weather)
