"""Weather that somebody tells or a service sends, taken in; and the days that are expected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from sugarwright.answering.folder import folder_of
from sugarwright.answering.weather import is_of_file
from sugarwright.errors import WeatherFileError
from sugarwright.logbook.book import Logbook
from sugarwright.plant.house import House
from sugarwright.units import TEMPERATURE, parse
from sugarwright.weather.outlook import WeatherOutlook, outlook
from sugarwright.weather.services.catalogue import Fetched, Settings, fetch_and_keep
from sugarwright.weather.services.polite import PoliteAsker
from sugarwright.weather.services.service import Brought, Place
from sugarwright.weather.standing import Footing, stand
from sugarwright.weather.typed import typed_forecast

ANSWERS = ".weather-answers"
"""Folder of what services answered last, within that of the sugarhouse."""
DAY_S = 86400


def typed_weather(
    house: House,
    lows: Sequence[str],
    highs: Sequence[str],
    now: str | None,
    now_s: int,
    names: tuple[str, str, str] = ("low", "high", "now"),
    unit: str | None = None,
) -> Brought:
    """Return the forecast that a person types.

    Parameters
    ----------
    house : whose weather
    lows, highs : of the coming nights and of the days behind them, as typed
    now : what the thermometer shows, as typed; None: not said
    now_s : UTC s
    names : of the three as the person knows them
    unit : of a number without one; None: there must be one

    Raises
    ------
    InputError : one is no temperature, or they do not fit each other
    """
    site = house.site
    lows_c = [parse(text, TEMPERATURE, names[0], unit) for text in lows]
    highs_c = [parse(text, TEMPERATURE, names[1], unit) for text in highs]
    now_c = None if now is None else parse(now, TEMPERATURE, names[2], unit)
    forecast = typed_forecast(lows_c, highs_c, now_s, site.latitude_deg, site.longitude_deg, now_c)
    return Brought((forecast,), notes=forecast.hours.notes)


def place_of(house: House) -> Place:
    """Return where the weather is wanted."""
    return Place(house.site.latitude_deg, house.site.longitude_deg, house.site.elevation_m)


def asker_of(folder: str, settings: Settings, most_s: float | None = None) -> PoliteAsker:
    """Return what asks services for a folder.

    Parameters
    ----------
    folder : of the sugarhouse
    settings : how they are asked
    most_s : longest time for one document [s]; None: the usual
    """
    manners = settings.manners()
    if most_s is not None:
        manners = replace(manners, timeout_s=min(manners.timeout_s, most_s), total_s=most_s)
    return PoliteAsker(Path(folder_of(folder)) / ANSWERS, manners)


def fetch_weather(
    house: House,
    groups: Sequence[Sequence[str]],
    settings: Settings,
    ask: PoliteAsker,
    now_s: int,
    book: Logbook,
) -> Fetched:
    """Ask services, and keep what comes; what does not come is told in ``problems``.

    Parameters
    ----------
    house : whose weather
    groups : names of services; of each group the first that answers is enough
    settings : how they are asked
    ask : asks them
    now_s : UTC s
    book : keeps what comes

    Raises
    ------
    InputError : a name is none, or something cannot be written
    """
    return fetch_and_keep(groups, settings, place_of(house), book.weather, ask, now_s)


def has_weather(folder: str, now_s: int, book: Logbook) -> bool:
    """Tell whether a plan that is made now would find weather to stand on.

    Parameters
    ----------
    folder : of the sugarhouse
    now_s : UTC s
    book : keeps weather
    """
    return is_of_file(folder) or _footing(now_s, now_s + DAY_S, book) is not None


def weather_ahead(
    folder: str, house: House, now_s: int, days: int, book: Logbook
) -> WeatherOutlook | None:
    """Return what the logbook's weather expects of the coming days.

    Parameters
    ----------
    folder, house : of the sugarhouse
    now_s : UTC s
    days : how many
    book : keeps weather

    Returns
    -------
    None where a file says the weather, or nothing kept can carry these days
    """
    if is_of_file(folder):
        return None
    footing = _footing(now_s, now_s + days * DAY_S, book)
    if footing is None:
        return None
    site = house.site
    return outlook(footing, now_s, site.name, site.timezone, site.units, site.longitude_deg)


def _footing(now_s: int, until_s: int, book: Logbook) -> Footing | None:
    try:
        return stand(book.weather, now_s, until_s)
    except WeatherFileError:
        return None
