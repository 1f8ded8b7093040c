"""``sugarwright weather fetch``: ask a weather service."""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import Annotated

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.record import record_in
from sugarwright.errors import InputError


def fetch(
    folder: FolderArgument = ".",
    service: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME",
            help="nws, met-norway, open-meteo or open-meteo-ensemble; may be given several times. "
            "Left out: the US National Weather Service where it reaches, else MET Norway; and "
            "Open-Meteo too where there is a key.",
        ),
    ] = None,
    contact: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS",
            help="Mail address or web page that is sent along, so that a service can reach you. "
            "MET Norway wants one. Else SUGARWRIGHT_CONTACT.",
        ),
    ] = None,
    key: Annotated[
        str | None,
        typer.Option(metavar="KEY", help="Of Open-Meteo. Else SUGARWRIGHT_OPEN_METEO_KEY."),
    ] = None,
    model: Annotated[
        str | None, typer.Option(metavar="NAME", help="Which of Open-Meteo's ensembles.")
    ] = None,
    history: Annotated[
        str | None,
        typer.Option(
            metavar="YEARS",
            help='Instead: past springs ("2015-2024", January to June) from Open-Meteo\'s archive '
            "into history/, for generated seasons.",
        ),
    ] = None,
    json: JsonOption = False,
) -> None:
    """What do the weather services forecast? Asks one, and keeps its answer.

    Sends where the house is, and nothing else of it. Asked again within the hour, a service's last
    answer serves. Exit code 2 only if nothing came and nothing kept reaches over the coming hours.

    Examples:
      sugarwright weather fetch my-sugarhouse --contact you@example.org
      sugarwright weather fetch --service open-meteo --service open-meteo-ensemble
      sugarwright weather fetch --history 2015-2024
    """
    house = house_in(folder)

    from sugarwright.answering.weather_told import asker_of, fetch_weather, place_of
    from sugarwright.cli.weather_text import fetched_lines
    from sugarwright.weather.services.catalogue import Settings, reaches, usual_services

    place = place_of(house)
    settings = Settings.from_environment(os.environ, contact=contact, key=key, model=model)
    now_s = int(time.time())
    groups = tuple((name,) for name in service or ()) or usual_services(place, settings)
    with asker_of(folder, settings) as ask:
        if history is not None:
            from sugarwright.weather.services.history import fetch_springs

            springs = fetch_springs(*_years(history), place, Path(folder), ask, settings)
            say(as_json(springs)) if json else say(*(f"written: {path}" for path in springs.files))
            return
        with record_in(folder) as book:
            fetched = fetch_weather(house, groups, settings, ask, now_s, book)
            if not fetched.forecasts:
                _tell_nothing(fetched.problems, reaches(book.weather, now_s))
    if json:
        say(as_json(fetched))
    else:
        say(*fetched_lines(fetched, house.site.timezone, now_s))


def _tell_nothing(problems: tuple[str, ...], is_there_another: bool) -> None:
    """Say that nothing came, and whether that matters. Raises InputError when it does."""
    if not is_there_another:
        why = "; ".join(each.rstrip(".") for each in problems) or "no service was asked"
        fix = "Type what the radio says: `sugarwright weather import --low 24F --high 45F`"
        raise InputError(
            "weather", None, f"nothing came, and nothing kept reaches on: {why}", fix=fix
        )
    note("nothing came; the newest forecast kept still stands (`sugarwright weather show`)")


def _years(text: str) -> tuple[int, int]:
    first, _, last = text.replace(" ", "").partition("-")
    try:
        years = int(first), int(last or first)
    except ValueError:
        years = (0, 0)
    if not 1940 <= years[0] <= years[1] <= 2100 or years[1] - years[0] >= 60:
        raise InputError(
            "--history", text, "is no span of years", "such as 2015-2024, from 1940 on"
        )
    return years
