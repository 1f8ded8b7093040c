"""``sugarwright demo``: an invented sugarhouse, and its plan for an invented morning."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path
from typing import Annotated

import typer

from sugarwright.answering.weather import weather_in
from sugarwright.cli.demo_folder import fill_logbook, write_missing
from sugarwright.cli.folder import JsonOption, house_in
from sugarwright.cli.output import heading, say, wrapped
from sugarwright.cli.plan import now_s, plan
from sugarwright.cli.program import program

MORNING = "2026-03-19 05:10"


def demo(
    folder: Annotated[
        str, typer.Argument(metavar="FOLDER", help="Where to put the invented sugarhouse.")
    ] = "demo-sugarhouse",
    no_serve: Annotated[
        bool, typer.Option("--no-serve", help="Print only; do not serve the demo's pages.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """What would I get? An invented sugarhouse with half a season of log, and its day's plan.

    Writes an invented house, its weather and its logbook into FOLDER, and plans its Thursday 19
    March 2026, always that same morning. In a terminal its pages are served then. No other file is
    touched; what you change in the demo's files stays changed. To be rid of it, delete FOLDER.

    Example:
      sugarwright demo
    """
    write_missing(Path(folder))
    house = house_in(folder)
    weather = weather_in(folder, house)
    begin_s = now_s(house, weather, MORNING)
    fill_logbook(folder, house, begin_s)
    if not json:
        about = (
            f"An invented sugarhouse in {folder}: place, people, weather and log are made up, "
            f"and its clock always stands at {MORNING}. Delete that folder to be rid of it."
        )
        say(wrapped(about), "")
    plan(folder=folder, now=MORNING, json=json)
    if json:
        return
    say("")
    heading("What else to try")
    say(*(f"  {line}" for line in _commands(folder)))
    if not no_serve and sys.stdout.isatty():
        from sugarwright.cli.serve import serve

        say("")
        serve(folder, at=MORNING)


def _commands(folder: str) -> list[str]:
    """Return what else shows something, to be typed as it stands."""
    where, at = shlex.quote(folder), f'--at "{MORNING}"'
    return [
        f"{program()} ledger {where}",
        f"{program()} learn {where}",
        f"{program()} log show {where}",
        f"{program()} now {where} {at}",
        f"{program()} plan {where} --if 'home 18:00'",
        f"{program()} serve {where} {at}",
        f"{program()} new my-sugarhouse",
    ]
