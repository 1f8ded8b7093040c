"""``sugarwright simulate --season``: many generated springs instead of one weather file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.levels_options import read_within
from sugarwright.cli.output import as_json, say
from sugarwright.cli.weather_options import WeatherTexts, read_weather
from sugarwright.errors import InputError
from sugarwright.plant.house import House
from sugarwright.units import TEMPERATURE_DIFFERENCE

if TYPE_CHECKING:
    from sugarwright.plant.state import Levels

USUAL_SEASONS = 100
MOST_SEASONS = 2000
MOST_WARMING_K = 10.0


@dataclass(frozen=True)
class SeasonTexts:
    """Which springs to make up, as typed."""

    season: Annotated[
        bool,
        typer.Option("--season", help="Make up springs of your place instead of reading one."),
    ] = False
    seasons: Annotated[
        int | None,
        typer.Option(metavar="N", help=f"With --season: how many. Left out: {USUAL_SEASONS}."),
    ] = None
    seed: Annotated[
        int | None,
        typer.Option(metavar="N", help="With --season: another number, other springs. Else 1."),
    ] = None
    warming: Annotated[
        str | None,
        typer.Option(
            metavar="DIFFERENCE", help='With --season: every hour so much warmer: "1.5 K", "3 F".'
        ),
    ] = None
    past: Annotated[
        list[str] | None,
        typer.Option(
            metavar="FILE",
            help="With --season: hourly weather of past springs of your place, to make them of; "
            "may be given again. Else [site.normals] in sugarhouse.toml, or a guess.",
        ),
    ] = None


def refuse_mixture(texts: SeasonTexts, single: Mapping[str, str | None]) -> None:
    """Refuse options that belong to one weather together with those of many, and the reverse.

    Parameters
    ----------
    texts : options of many
    single : options of one weather, as typed

    Raises
    ------
    InputError
    """
    if texts.season:
        for option, value in single.items():
            if value is not None:
                problem = "goes with one weather, and --season makes up many"
                raise InputError(option, value, problem, fix="Leave one of the two out")
        return
    for option in ("seasons", "seed", "warming", "past"):
        value = getattr(texts, option)
        if value is not None:
            raise InputError(f"--{option}", value, "goes with --season", fix="Add --season")


def simulate_seasons(
    house: House,
    weather: WeatherTexts,
    levels: Levels,
    texts: SeasonTexts,
    first_day: date | None,
    last_day: date | None,
    json: bool,
) -> None:
    """Run and print many generated seasons; ``weather`` says how the past's files are written."""
    count = USUAL_SEASONS if texts.seasons is None else texts.seasons
    if not 1 <= count <= MOST_SEASONS:
        raise InputError("--seasons", count, "is no number of seasons", f"1 to {MOST_SEASONS}")
    warming_k = read_within(
        "--warming",
        texts.warming,
        TEMPERATURE_DIFFERENCE,
        -MOST_WARMING_K,
        MOST_WARMING_K,
        0.0,
        house.site.units,
    )
    past = [read_weather(".", house, replace(weather, weather=file)) for file in texts.past or ()]

    from sugarwright.cli.simulate_season_text import show_seasons
    from sugarwright.planning.choices import habit_rows
    from sugarwright.plant.assemble import assemble
    from sugarwright.plant.seasons import run_seasons, springs_of
    from sugarwright.plant.state import start_state

    seed = 1 if texts.seed is None else texts.seed
    plant = assemble(house)
    springs = springs_of(house, count, seed, warming_k, past)
    start, row = start_state(plant, levels), habit_rows(plant, 1)[0]
    found = run_seasons(plant, springs, row, start, seed, first_day, last_day)
    if json:
        say(as_json(found))
    else:
        show_seasons(found)
