"""From a house and the weather known to the outlook over its season."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from sugarwright.planning.season_outlook import Asked, season_outlook, spring_year
from sugarwright.planning.season_report import SeasonOutlook
from sugarwright.planning.season_trees import make_bush, season_trees
from sugarwright.planning.season_weather import possible_springs
from sugarwright.plant.drive import tree_parameters
from sugarwright.plant.house import House
from sugarwright.plant.seasons import source_of
from sugarwright.plant.tree_knowledge import TreeKnowledge, knowledge_for
from sugarwright.weather.hours import HourlyWeather
from sugarwright.weather.seasons import generate


def season_today(
    house: House,
    fits: Sequence[TreeKnowledge],
    measured: Sequence[HourlyWeather],
    forecast: HourlyWeather | None,
    now_s: int,
    days: tuple[date, ...] = (),
    past: Sequence[HourlyWeather] = (),
    count: int = 300,
    seed: int = 1,
) -> SeasonOutlook:
    """Look ahead over the season of a house.

    Parameters
    ----------
    house : as described
    fits : what was learnt of its trees, the oldest first
    measured, forecast : see :func:`~sugarwright.planning.season_weather.possible_springs`
    now_s : UTC s
    days : of tapping to compare; empty: today, in a week and in two
    past : hourly weather of past springs to make springs of; empty: monthly normals
    count : how many springs
    seed : of springs, trees and runs

    Returns
    -------
    SeasonOutlook

    Raises
    ------
    InputError : past weather without a full spring, no normals, days that cannot be
    """
    source = source_of(house, past)
    year = spring_year(now_s, house.site.timezone)
    first, last = (date(year, 1, 1) + timedelta(days=day) for day in source.held)
    springs = possible_springs(
        generate(source, count, seed, first, last),
        measured,
        forecast,
        now_s,
        seed,
        house.site.longitude_deg / 15.0,
    )
    knowledge = knowledge_for(fits, year)
    trees = season_trees(tree_parameters(house.trees), knowledge, count, seed)
    asked = Asked(
        now_s=now_s,
        days=days,
        seed=seed,
        issued_s=None if forecast is None else forecast.issued_s,
        trees_source=_trees_words(knowledge),
    )
    return season_outlook(make_bush(house, springs, trees, seed), asked)


def _trees_words(knowledge: TreeKnowledge | None) -> str:
    if knowledge is None:
        return "trees as bushes differ, about the yield and Brix in sugarhouse.toml"
    return (
        f"yield and Brix learnt from {knowledge.gatherings} gatherings, the rest as bushes differ"
    )
