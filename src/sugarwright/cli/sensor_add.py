"""``sugarwright sensor add``, ``token`` and ``remove``."""

from __future__ import annotations

import time
from typing import Annotated

import typer

from sugarwright.cli.folder import JsonOption, folder_of, house_in
from sugarwright.cli.output import as_json, say, wrapped
from sugarwright.cli.record import record_in
from sugarwright.cli.sensor_document import SensorToken

SeriesArgument = Annotated[str, typer.Argument(metavar="SERIES", help="Name of the sensor.")]
FolderOption = Annotated[
    str, typer.Option("--folder", callback=folder_of, help="Folder of the sugarhouse.")
]


def add(
    series: SeriesArgument,
    place: Annotated[str, typer.Option("--place", help="sap, stock, permeate, gathering:NAME ...")],
    measures: Annotated[str, typer.Option("--measures", help="depth, volume, temperature ...")],
    unit: Annotated[str, typer.Option("--unit", help="Of what it sends: mm, in, gal, C ...")],
    sd: Annotated[str, typer.Option("--sd", help='How sure it is, as one would say: "10 mm".')],
    offset: Annotated[
        float,
        typer.Option(help="Added to what it sends, in its unit; from above: height of its face."),
    ] = 0.0,
    from_above: Annotated[
        bool, typer.Option("--from-above", help="It sends the distance down to the liquid.")
    ] = False,
    resolution: Annotated[
        float, typer.Option(help="Smaller steps say nothing, in its unit.")
    ] = 0.0,
    topic: Annotated[str, typer.Option(help="Topic at an MQTT broker.")] = "",
    folder: FolderOption = ".",
    json: JsonOption = False,
) -> None:
    r"""What does this sensor measure? Gives it a token, shown this once.

    Examples:
      sugarwright sensor add sap-level --place sap --measures depth --unit mm \
        --sd "15 mm" --from-above --offset 1100
    """
    from sugarwright.errors import InputError
    from sugarwright.logbook.sensor_register import keep_sensors, sensors_in, with_new_token
    from sugarwright.logbook.sensor_words import described

    house = house_in(folder)
    made = described(
        house, series, place, measures, unit, sd, offset, from_above, resolution, topic
    )
    with record_in(folder) as book:
        known = sensors_in(book)
        if series in known:
            fix = "`sugarwright sensor remove` takes it away first; its readings stay"
            raise InputError("SERIES", series, "is there already", fix=fix)
        made, secret = with_new_token(made)
        keep_sensors(book, {**known, series: made}, time.time())
    _tell(series, secret, json)


def token(series: SeriesArgument, folder: FolderOption = ".", json: JsonOption = False) -> None:
    """Token lost or seen by others? Makes a new one; the older one no longer holds.

    Examples:
      sugarwright sensor token sap-level
    """
    from sugarwright.logbook.sensor_register import (
        keep_sensors,
        sensor_of,
        sensors_in,
        with_new_token,
    )

    with record_in(folder, make=False) as book:
        made, secret = with_new_token(sensor_of(book, series))
        keep_sensors(book, {**sensors_in(book), series: made}, time.time())
    _tell(series, secret, json)


def remove(series: SeriesArgument, folder: FolderOption = ".", json: JsonOption = False) -> None:
    """Sensor gone? It can post no more. What it posted stays.

    Examples:
      sugarwright sensor remove sap-level
    """
    from sugarwright.cli.sensor_document import SensorRemoved
    from sugarwright.logbook.sensor_register import keep_sensors, sensor_of, sensors_in

    with record_in(folder, make=False) as book:
        sensor_of(book, series)
        rest = {name: each for name, each in sensors_in(book).items() if name != series}
        keep_sensors(book, rest, time.time())
    if json:
        say(as_json(SensorRemoved(series)))
    else:
        say(f"{series} posts no more. Its readings stay.")


def _tell(series: str, secret: str, json: bool) -> None:
    if json:
        say(as_json(SensorToken(series, secret)))
        return
    say(f"Token of {series}, shown this once:", secret)
    say(wrapped("Whoever has it can post readings of this sensor, and nothing else."))
