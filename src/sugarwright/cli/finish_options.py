"""What the commands of the finish bench have in common: options, and in which terms they ask."""

from __future__ import annotations

import re
from typing import Annotated

import typer

from sugarwright.answering.bench_terms import Terms
from sugarwright.errors import InputError

FolderOption = Annotated[
    str | None,
    typer.Argument(
        metavar="FOLDER",
        show_default=False,
        help="Folder with sugarhouse.toml, for elevation, units and finish; needed for nothing.",
    ),
]
UnitsOption = Annotated[
    str | None,
    typer.Option(
        metavar="us|metric", help="Units to show. Left out: the folder's, or those you typed."
    ),
]
WaterOption = Annotated[
    str | None,
    typer.Option(
        metavar="TEMP", help="What the same thermometer showed in boiling water today; the best."
    ),
]
BarometerOption = Annotated[
    str | None,
    typer.Option(metavar="PRESSURE", help="Pressure of the air where you are, not at sea level."),
]
SeaLevelOption = Annotated[
    str | None,
    typer.Option(
        metavar="PRESSURE", help="Pressure as a weather report gives it; with --elevation."
    ),
]
ElevationOption = Annotated[
    str | None, typer.Option(metavar="HEIGHT", help="Of the sugarhouse above the sea.")
]
InvertOption = Annotated[
    str,
    typer.Option(
        metavar="SHARE", help="Invert sugar in the solids: some 1 % early, several % late."
    ),
]
LawOption = Annotated[
    str | None,
    typer.Option(metavar="PLACE", help="Whose limits apply: us, canada, vermont, maine, ..."),
]

_METRIC = re.compile(r"[0-9.,]\s*(?:°?\s*c|celsius|m?l|hl|lit\w*|k?g|kpa|hpa|m?bar|m)\b", re.I)
_NAMED = {"check": "finish check", "boil": "finish boil", "folder": "a FOLDER", "place": "PLACE"}


def option(name: str) -> str:
    """Return what a person calls a field: an option, with a few exceptions."""
    return _NAMED.get(name, f"--{name}")


def terms_of(folder: str | None, units: str | None, *typed: str | None) -> Terms:
    """Return how one asks: in the units asked for, else the folder's, else those that were typed.

    Raises
    ------
    InputError : no such units, or the folder cannot be read
    """
    if units is not None and units.strip().casefold() not in ("us", "metric"):
        raise InputError("--units", units, "is no system of units", "us, metric")
    asked = None if units is None else units.strip().casefold()
    if folder is not None:
        from sugarwright.cli.folder import house_in

        house = house_in(folder)
        system = asked or house.site.units
        return Terms(system, option, house.site.elevation_m, house.pan.finish_brix)
    is_metric = any(text is not None and _METRIC.search(text) for text in typed)
    return Terms(asked or ("metric" if is_metric else "us"), option)
