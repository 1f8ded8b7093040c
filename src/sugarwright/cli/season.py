"""``sugarwright season``: when to tap, what is still to run, when to pull."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.answering.season import SEED, SPRINGS, season_known
from sugarwright.cli.charts_option import ChartOption, check_chart, draw_chart
from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.cli.option_groups import with_groups
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.plan import now_s
from sugarwright.cli.simulate import tell_if_building
from sugarwright.cli.weather_options import WeatherTexts, read_weather
from sugarwright.errors import InputError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.weather.hours import HourlyWeather
    from sugarwright.weather.standing import Footing

FEWEST, MOST = 20, 2000


@with_groups
def season(
    weather: WeatherTexts,
    folder: FolderArgument = ".",
    now: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help='Local time to look ahead from: "2026-02-20 08:00". Left out: when the forecast '
            "was issued, if a file says so; else this very moment.",
        ),
    ] = None,
    tap: Annotated[
        list[str] | None,
        typer.Option(
            metavar="DATE",
            help="Day of tapping to compare (2026-02-27); may be given several times. Left out: "
            "today, in a week and in two.",
        ),
    ] = None,
    past: Annotated[
        list[str] | None,
        typer.Option(
            metavar="FILE",
            help="Hourly weather of past springs of your place, to make springs of; may be given "
            "several times. Left out: monthly normals.",
        ),
    ] = None,
    springs: Annotated[
        int, typer.Option(min=FEWEST, max=MOST, help="How many springs to make up.")
    ] = SPRINGS,
    seed: Annotated[
        int,
        typer.Option(
            min=0,
            help="Another number makes up other springs and trees: a figure that moves with it "
            "means nothing. The same number gives the same answer.",
        ),
    ] = SEED,
    chart: ChartOption = None,
    json: JsonOption = False,
) -> None:
    """When to tap, what may still run, when to pull? Looks ahead over the season.

    Lets your trees run through many springs: measured hours, then the forecast, then springs made
    up as your place has them. Once `tapped` in sugarhouse.toml has passed, it tells what is still
    to come. Works without a forecast, less sure.

    Examples:
      sugarwright season my-sugarhouse
      sugarwright season --tap 2026-02-20 --tap 2026-03-06 --chart season.png
    """
    check_chart(chart, as_document=json)
    house = house_as_learnt(folder)
    days = tuple(_day(text) for text in tap or ())
    known = season_known(
        folder, house, lambda file: now_s(house, file, now), weather.wanted(),
        stands_on=lambda footing: _tell_standing(footing, house), tell=note,
    )  # fmt: skip
    histories = [_past(folder, house, weather, file) for file in past or ()]
    tell_if_building()

    from sugarwright.cli.season_text import season_lines
    from sugarwright.planning.season_today import season_today

    outlook = season_today(
        house, known.fits, known.measured, known.forecast, known.begin_s, days, histories,
        springs, seed,
    )  # fmt: skip
    if json:
        say(as_json(outlook))
    else:
        say(*season_lines(outlook))
    if chart is not None:
        from sugarwright.cli.charts_season import season_chart

        draw_chart(chart, lambda: season_chart(outlook))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError("--tap", text, "is no date", "year-month-day, as in 2026-02-27") from None


def _past(folder: str, house: House, weather: WeatherTexts, file: str) -> HourlyWeather:
    """Return a file of past springs, read with the options for weather files."""
    return read_weather(folder, house, replace(weather, weather=file))


def _tell_standing(footing: Footing, house: House) -> None:
    from sugarwright.cli.weather_text import standing_lines

    for line in standing_lines(footing.provenance, house.site.timezone):
        note(line)
