"""What the season may still bring: what ``sugarwright season`` asks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sugarwright.answering.house import house_as_learnt
from sugarwright.answering.record import Tell, record_of, tell_nobody
from sugarwright.answering.weather import (
    AS_KEPT,
    StandsOn,
    WeatherWanted,
    is_of_file,
    weather_in,
)
from sugarwright.errors import WeatherFileError

if TYPE_CHECKING:
    from sugarwright.planning.season_report import SeasonOutlook
    from sugarwright.plant.house import House
    from sugarwright.plant.tree_knowledge import TreeKnowledge
    from sugarwright.weather.hours import HourlyWeather
    from sugarwright.weather.store import WeatherStore

SPRINGS = 300
SEED = 1


@dataclass(frozen=True)
class SeasonKnown:
    """What is known of a season.

    Parameters
    ----------
    measured : hours that came
    forecast : the best one, with the hours before it; None without one
    begin_s : UTC s to look ahead from
    fits : of the trees
    """

    measured: tuple[HourlyWeather, ...]
    forecast: HourlyWeather | None
    begin_s: int
    fits: tuple[TreeKnowledge, ...]


def season_in(folder: str, now_s: float) -> SeasonOutlook:
    """Look ahead over the season from what a folder holds.

    Parameters
    ----------
    folder : of the sugarhouse
    now_s : UTC s

    Raises
    ------
    InputError : the description or the weather cannot be used
    """
    from sugarwright.planning.season_today import season_today

    house = house_as_learnt(folder)
    known = season_known(folder, house, lambda _: int(now_s))
    return season_today(
        house, known.fits, known.measured, known.forecast, known.begin_s, (), [], SPRINGS, SEED
    )


def season_known(
    folder: str,
    house: House,
    begins: Callable[[HourlyWeather | None], int],
    wanted: WeatherWanted = AS_KEPT,
    *,
    stands_on: StandsOn | None = None,
    tell: Tell = tell_nobody,
) -> SeasonKnown:
    """Return measured hours, the forecast, the instant to look ahead from, fits of the trees.

    Parameters
    ----------
    folder, house : of the sugarhouse
    begins : tells UTC s to look ahead from, by a file's weather; None where none is read
    wanted : which weather
    stands_on : is told what kept weather stands on
    tell : is told what went wrong beside
    """
    from sugarwright.logbook.trees import TREES, trees_of

    with record_of(folder, make=False, tell=tell) as book:
        measured = book.weather.observed()
        fits = trees_of(book.knowledge(TREES))
        if is_of_file(folder, wanted):
            forecast = weather_in(folder, house, wanted, tell=tell)
            return SeasonKnown(measured, forecast, begins(forecast), fits)
        begin_s = begins(None)
        kept = _kept_forecast(book.weather, begin_s, stands_on, tell)
        return SeasonKnown(measured, kept, begin_s, fits)


def _kept_forecast(
    store: WeatherStore, begin_s: int, stands_on: StandsOn | None, tell: Tell
) -> HourlyWeather | None:
    """Return the best forecast kept with the hours before it; None without one."""
    newest = store.newest(begin_s)
    if newest is None or newest.end_s <= begin_s:
        return None
    from sugarwright.weather.standing import stand

    try:
        footing = stand(store, begin_s, newest.end_s)
    except WeatherFileError as problem:
        tell(f"the kept forecast cannot be used: {problem}")
        return None
    if stands_on is not None:
        stands_on(footing)
    return footing.weather
