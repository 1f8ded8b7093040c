"""``sugarwright weather import``: weather from a file, or as the radio tells it."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Annotated

import typer

from sugarwright.cli.folder import JsonOption, house_in
from sugarwright.cli.output import as_json, say
from sugarwright.cli.record import record_in
from sugarwright.cli.weather_options import read_unit
from sugarwright.errors import InputError


def import_(
    file: Annotated[
        str | None,
        typer.Argument(
            metavar="FILE",
            show_default=False,
            help="A table (CSV or JSON), or JSON saved from a weather service. With --low: the "
            "FOLDER.",
        ),
    ] = None,
    folder: Annotated[
        str | None,
        typer.Argument(
            metavar="FOLDER",
            show_default=False,
            help="Folder with sugarhouse.toml in it; the folder you stand in when left out.",
        ),
    ] = None,
    low: Annotated[
        list[str] | None,
        typer.Option(
            "--low",
            "--tonight",
            metavar="TEMP",
            help="Low of the coming night (24F); again for the nights after it.",
        ),
    ] = None,
    high: Annotated[
        list[str] | None,
        typer.Option(
            "--high",
            "--tomorrow",
            metavar="TEMP",
            help="High of the day after that night (45F); again for the days after it.",
        ),
    ] = None,
    now: Annotated[
        str | None,
        typer.Option(metavar="TEMP", help="With --low: what the thermometer shows now (31F)."),
    ] = None,
    temperature_unit: Annotated[
        str | None,
        typer.Option(metavar="C|F|K", help="Unit of the table, if its header states none."),
    ] = None,
    station: Annotated[
        str | None, typer.Option(metavar="NAME", help="Which station, if there are several.")
    ] = None,
    zone: Annotated[
        str | None,
        typer.Option(
            metavar="ZONE", help="Time zone of a table that states none; else the house's."
        ),
    ] = None,
    fill_gaps: Annotated[
        int,
        typer.Option(
            metavar="HOURS", min=0, max=48, help="Draw straight lines across gaps up to this long."
        ),
    ] = 0,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Say what would be taken in; write nothing.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """What do my thermometer, a file or the radio say? Takes it in.

    Both are kept in the logbook; measured hours that stand there already are not altered. A
    table is a forecast when it goes on behind this hour or has a line "# issued: TIME" above it.

    Examples:
      sugarwright weather import logger.csv --dry-run
      sugarwright weather import saved-forecast.json my-sugarhouse
      sugarwright weather import --low 24F --high 45F --low 28F --high 50F
    """
    typed = bool(low or high or now)
    no_folder = file is not None and not Path(file).is_dir()
    if typed and (folder is not None or no_folder):
        fix = 'Give one of them; a temperature is one word (24F) or in quotes ("24 F")'
        raise InputError("FILE", file, "cannot be read together with --low", fix=fix)
    if not typed and file is None:
        raise InputError("FILE", None, "is needed, or --low", fix="See `weather import --help`")
    where = (file if typed else folder) or "."
    house = house_in(where)
    now_s = int(time.time())
    if typed:
        from sugarwright.answering.weather_told import typed_weather

        names = ("--low", "--high", "--now")
        brought = typed_weather(house, low or [], high or [], now, now_s, names)
    else:
        from sugarwright.answering.weather_told import place_of
        from sugarwright.weather.saved import read_saved

        brought = read_saved(
            file or "",
            place_of(house),
            now_s,
            house.site.timezone if zone is None else zone,
            read_unit(temperature_unit),
            station or "",
            fill_gaps,
        )

    from sugarwright.weather.taking_in import take_in

    if dry_run:
        imported = take_in(brought, None)
    else:
        with record_in(where) as book:
            imported = take_in(brought, book.weather)
    if json:
        say(as_json(imported))
        return

    from sugarwright.cli.weather_text import imported_lines

    say(*imported_lines(imported, house.site.timezone))
