"""``sugarwright demo``: an invented sugarhouse, and its plan for an invented morning."""

from __future__ import annotations

import shlex
from dataclasses import fields
from importlib.resources import files
from pathlib import Path
from typing import Annotated

import typer

from sugarwright.answering.plan import USUAL_HOURS, Basis, Known
from sugarwright.answering.weather import WEATHER_FILE, weather_in
from sugarwright.cli.folder import HOUSE_FILE, JsonOption, house_in
from sugarwright.cli.levels_options import LevelTexts, read_levels
from sugarwright.cli.output import heading, say, wrapped
from sugarwright.cli.plan import now_s
from sugarwright.cli.plan_print import print_plan
from sugarwright.cli.program import program
from sugarwright.errors import InputError

MARK = "invented"  # in the first line of each file of the demo, by which it knows its own
MORNING = "2026-03-19 05:10"
LEVELS = LevelTexts(
    sap="212 gal",
    sap_brix="1.9",
    sap_age="14 h",
    stock="31 gal",
    stock_brix="5.8",
    permeate="140 gal",
    pan_brix="13",
    wood="2.3 cords",
)
"""What an invented maker read off the tanks that morning."""


def demo(
    folder: Annotated[
        str, typer.Argument(metavar="FOLDER", help="Where to put the invented sugarhouse.")
    ] = "demo-sugarhouse",
    no_serve: Annotated[
        bool, typer.Option("--no-serve", help="Print only. This version has nothing else to show.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """What would I get? Plans a day of an invented sugarhouse.

    Writes an invented house and two invented weeks of weather with a week's forecast into FOLDER,
    and plans its Thursday 19 March 2026, always that same morning. No other file is touched; what
    you change in the demo's files stays changed.

    Example:
      sugarwright demo
    """
    from sugarwright.planning.weathers import Belief

    _write_missing(Path(folder))
    house = house_in(folder)
    weather = weather_in(folder, house)
    known = Known(weather, now_s(house, weather, MORNING), USUAL_HOURS, Belief())
    basis = Basis(house, known, read_levels(house, LEVELS))
    if not json:
        about = (
            f"An invented sugarhouse in {folder}: place, people, weather and levels are made up, "
            f"and its clock always stands at {MORNING}."
        )
        say(wrapped(about), "")
    print_plan(basis, as_document=json)
    if not json:
        say("")
        heading("The same by hand, and what else to try")
        say(*(f"  {line}" for line in _commands(folder)))


def _write_missing(folder: Path) -> None:
    """Put the demo's files where they are missing; refuse where another's would be meant."""
    try:
        if folder.exists() and not folder.is_dir():
            raise InputError("folder", str(folder), "is a file", fix="Name another: demo FOLDER")
        for name in (HOUSE_FILE, WEATHER_FILE):
            if (folder / name).exists() and not _is_own(folder / name):
                raise InputError(
                    "folder",
                    str(folder),
                    f"has a {name} that is not the demo's, which is left alone",
                    fix="Name another folder: sugarwright demo FOLDER",
                )
        folder.mkdir(parents=True, exist_ok=True)
        for name in (HOUSE_FILE, WEATHER_FILE):
            if not (folder / name).exists():
                shipped = files("sugarwright") / "demo" / name
                (folder / name).write_bytes(shipped.read_bytes())
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or str(problem)
        raise InputError("folder", str(folder), f"cannot be written to: {reason}") from None


def _is_own(path: Path) -> bool:
    with path.open("rb") as file:
        return MARK.encode() in file.readline(200)


def _commands(folder: str) -> list[str]:
    """Return commands that give the same plan, and others, to be typed as they stand."""
    where = shlex.quote(folder)
    options = [
        f"--{field.name.replace('_', '-')} {shlex.quote(getattr(LEVELS, field.name))}"
        for field in fields(LEVELS)
        if isinstance(getattr(LEVELS, field.name), str)
    ]
    lines, line = [], f"{program()} plan {where}"
    for option in options:
        if len(line) + len(option) > 72:
            lines.append(f"{line} \\")
            line = "   "
        line += f" {option}"
    return [
        *lines,
        line,
        f"{program()} check {where}",
        f"{program()} simulate {where} --from 2026-03-19",
        f"{program()} new my-sugarhouse",
    ]
