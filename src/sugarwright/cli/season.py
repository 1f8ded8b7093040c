"""``sugarwright season``: when to tap, what is still to run, when to pull."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.charts_option import ChartOption, check_chart, draw_chart
from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.cli.option_groups import with_groups
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.plan import now_s
from sugarwright.cli.record import record_in
from sugarwright.cli.simulate import tell_if_building
from sugarwright.cli.weather_options import WEATHER_FILE, WeatherTexts, read_weather
from sugarwright.errors import InputError, WeatherFileError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.plant.tree_knowledge import TreeKnowledge
    from sugarwright.weather.hours import HourlyWeather
    from sugarwright.weather.store import WeatherStore

FEWEST, USUAL, MOST = 20, 300, 2000


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
    ] = USUAL,
    seed: Annotated[
        int,
        typer.Option(
            min=0,
            help="Another number makes up other springs and trees: a figure that moves with it "
            "means nothing. The same number gives the same answer.",
        ),
    ] = 1,
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
    measured, forecast, begin_s, fits = _known(folder, house, weather, now)
    histories = [_past(folder, house, weather, file) for file in past or ()]
    tell_if_building()

    from sugarwright.cli.season_text import season_lines
    from sugarwright.planning.season_today import season_today

    outlook = season_today(house, fits, measured, forecast, begin_s, days, histories, springs, seed)
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


def _known(
    folder: str, house: House, texts: WeatherTexts, now: str | None
) -> tuple[tuple[HourlyWeather, ...], HourlyWeather | None, int, tuple[TreeKnowledge, ...]]:
    """Return measured hours, the forecast, the instant to look ahead from, fits of the trees."""
    from sugarwright.logbook.trees import TREES, trees_of

    with record_in(folder, make=False) as book:
        measured = book.weather.observed()
        fits = trees_of(book.knowledge(TREES))
        if texts.weather is not None or (Path(folder) / WEATHER_FILE).exists():
            forecast = read_weather(folder, house, texts)
            return measured, forecast, now_s(house, forecast, now), fits
        begin_s = now_s(house, None, now)
        return measured, _kept_forecast(book.weather, house, begin_s), begin_s, fits


def _kept_forecast(store: WeatherStore, house: House, begin_s: int) -> HourlyWeather | None:
    """Return the best forecast kept with the hours before it; None without one."""
    newest = store.newest(begin_s)
    if newest is None or newest.end_s <= begin_s:
        return None
    from sugarwright.cli.weather_text import standing_lines
    from sugarwright.weather.standing import stand

    try:
        footing = stand(store, begin_s, newest.end_s)
    except WeatherFileError as problem:
        note(f"the kept forecast cannot be used: {problem}")
        return None
    for line in standing_lines(footing.provenance, house.site.timezone):
        note(line)
    return footing.weather
