"""Past springs of a place, a file a year, for the generator of seasons."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sugarwright.errors import ServiceError
from sugarwright.weather.files import write_weather_csv
from sugarwright.weather.services.catalogue import Settings
from sugarwright.weather.services.open_meteo import ATTRIBUTION, TITLE, fetch_history
from sugarwright.weather.services.service import Asker, Place

HISTORY = "history"
_LAST_DAY = (6, 30)
_LEAST_DAYS = 90


@dataclass(frozen=True)
class Springs:
    """Past springs that were written.

    Parameters
    ----------
    files : their paths
    attribution : what the licence of the data asks to be shown
    """

    files: tuple[str, ...]
    attribution: str


def fetch_springs(
    first: int, last: int, place: Place, folder: Path, ask: Asker, settings: Settings
) -> Springs:
    """Write ``history/YEAR.csv``, January to June, for each year.

    Parameters
    ----------
    first, last : years, both included
    place : of the house
    folder : of the house
    ask : asks the archive
    settings : its address and key

    Returns
    -------
    Springs

    Raises
    ------
    ServiceError : if a year does not come whole as far as May; years before it are written
    WeatherFileError : if a file cannot be written
    """
    (folder / HISTORY).mkdir(exist_ok=True)
    files = []
    for year in range(first, last + 1):
        begin, end = date(year, 1, 1), date(year, *_LAST_DAY)
        where = settings.open_meteo_url, settings.key
        piece = max(fetch_history(place, begin, end, ask, *where), key=len)
        if len(piece) < 24 * _LEAST_DAYS:
            problem = f"has {len(piece) // 24} unbroken days of {year} only"
            raise ServiceError(TITLE, None, problem, f"{_LEAST_DAYS} or more")
        path = folder / HISTORY / f"{year}.csv"
        write_weather_csv(piece, path)
        files.append(str(path))
    return Springs(tuple(files), ATTRIBUTION)
