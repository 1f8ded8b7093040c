"""``sugarwright simulate``: a day, a week or a season under the habitual way of working."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from sugarwright.cli.charts_option import ChartOption, check_chart, draw_chart
from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt, with_trees_learnt
from sugarwright.cli.levels_options import LevelTexts, read_levels
from sugarwright.cli.option_groups import with_groups
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.simulate_season import SeasonTexts, refuse_mixture, simulate_seasons
from sugarwright.cli.weather_options import WeatherTexts, read_weather
from sugarwright.errors import InputError


@with_groups
def simulate(
    weather: WeatherTexts,
    levels: LevelTexts,
    seasons: SeasonTexts,
    folder: FolderArgument = ".",
    from_: Annotated[
        str | None,
        typer.Option(
            "--from", metavar="DATE", help="First day (2026-03-16). Left out: the day of tapping."
        ),
    ] = None,
    to: Annotated[
        str | None,
        typer.Option(
            metavar="DATE", help="Last day. Left out: the weather's end, ten weeks at most."
        ),
    ] = None,
    trace: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write every five minutes of it to a table (CSV)."),
    ] = None,
    chart: ChartOption = None,
    json: JsonOption = False,
) -> None:
    """What does my usual way of working bring? Runs a day, a week or a season.

    Lets your trees run through the weather and works as [habit] in sugarhouse.toml says. Shows
    each day, and where every pound of water and sugar went. Levels say how the tanks stand at the
    beginning; they are empty when left out.

    With --season and no weather file it makes up springs of your place and shows how widely your
    seasons go.

    Examples:
      sugarwright simulate my-sugarhouse --weather spring-2026.csv
      sugarwright simulate --from 2026-03-16 --to 2026-03-22 --sap "212 gal"
      sugarwright simulate --from 2026-03-16 --to 2026-03-22 --chart week.png
      sugarwright simulate my-sugarhouse --season --seasons 200 --warming "1.5 K"
    """
    check_chart(chart, as_document=json)
    house = with_trees_learnt(folder, house_as_learnt(folder))
    first_day, last_day = _day("--from", from_), _day("--to", to)
    start_levels = read_levels(house, levels)
    refuse_mixture(seasons, {"--weather": weather.weather, "--trace": trace, "--chart": chart})
    if seasons.season:
        tell_if_building()
        simulate_seasons(house, weather, start_levels, seasons, first_day, last_day, json)
        return
    hours = read_weather(folder, house, weather, since_s=0)  # a season: all that is kept
    tell_if_building()

    from sugarwright.cli.simulate_text import show_summary
    from sugarwright.planning.choices import habit_rows
    from sugarwright.plant.assemble import assemble
    from sugarwright.plant.season import choose_span, day_cuts, drive_over, run_by_day
    from sugarwright.plant.state import start_state
    from sugarwright.plant.summary import summarise
    from sugarwright.plant.trace_file import write_trace_csv

    span = choose_span(house, hours, first_day, last_day)
    plant = assemble(house)
    start = start_state(plant, start_levels)
    drive = drive_over(plant, hours, span)
    habit = habit_rows(plant, len(day_cuts(drive)) - 1)
    run, ends = run_by_day(plant, drive, habit, start)
    found = summarise(plant, drive, span, start, run, ends, "habit", hours.source)
    if trace is not None:
        write_trace_csv(run, trace, house.site.timezone)
    if json:
        say(as_json(found))
    else:
        show_summary(found)
    if chart is not None:
        from sugarwright.cli.charts_simulate import run_chart

        draw_chart(chart, lambda: run_chart(plant, drive, run, found, hours.issued_s))


def tell_if_building() -> None:
    """Say so when the simulator must be compiled first, since that takes a while."""
    from sugarwright.plant.jit import is_warm

    if not is_warm():
        note("building the simulator for this machine, once: about half a minute")


def _day(option: str, text: str | None) -> date | None:
    if text is None:
        return None
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(option, text, "is no date", "year-month-day, as in 2026-03-16") from None
    if not 1990 <= day.year <= 2100:
        raise InputError(option, text, "is no season of ours", "1990-01-01 to 2100-12-31")
    return day
