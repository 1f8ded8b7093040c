"""``sugarwright now``: where the tanks stand, by the log."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.learnt import house_as_learnt
from sugarwright.cli.moment import read_moment_s
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.record import record_in

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.plant.house import House
    from sugarwright.twin.now import Progress, Weather
    from sugarwright.twin.report import NowReport

TOLD_EVERY = 20  # entries


def now(
    folder: FolderArgument = ".",
    at: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help='Local time to tell of: "14:30" of today, or "2026-03-19 14:30"; entries after '
            "it are left out. Left out: this very moment.",
        ),
    ] = None,
    again: Annotated[
        bool,
        typer.Option("--again", help="Follow the whole log anew, whatever was kept of it."),
    ] = False,
    json: JsonOption = False,
) -> None:
    """Where do tanks, membrane and pan stand now, and how sure is that?

    Your house is run forward from what you logged, many times with a little chance in it, and
    corrected by each reading. A reading that cannot be is told, and not believed at once.

    Examples:
      sugarwright now
      sugarwright now my-sugarhouse --at 16:30 --json
    """
    house = house_as_learnt(folder)
    with record_in(folder, make=False) as book:
        report = report_of(folder, house, moment_s(house, at), book, again=again)
    if json:
        say(as_json(report))
        return
    from sugarwright.cli.now_text import now_lines

    say(*now_lines(report))


def moment_s(house: House, text: str | None) -> float:
    """Return the UTC s that is meant; now where nothing was typed."""
    if text is None:
        return time.time()
    return read_moment_s("--at", text, house.site.timezone, time.time())


def report_of(
    folder: str, house: House, now_s: float, book: Logbook, *, again: bool = False
) -> NowReport:
    """Return where everything stands by a folder's logbook."""
    from sugarwright.logbook.trees import TREES, trees_of
    from sugarwright.planning.plan_store import plan_under_way
    from sugarwright.plant.tree_knowledge import knowledge_for
    from sugarwright.twin.now import Question
    from sugarwright.twin.now import now as ask
    from sugarwright.twin.report import Planned

    trees = knowledge_for(trees_of(book.knowledge(TREES)), house.trees.tapped.year)
    found = plan_under_way(book.plans, house, int(now_s))
    plan = None if found is None else Planned(*found)
    entries = book.entries(end_s=now_s + 1.0)
    question = Question(house, entries, now_s, _weather(folder, house, book), trees, plan)
    return ask(question, book, again=again, progress=_progress(again))


def _weather(folder: str, house: House, book: Logbook) -> Weather:
    """Return what the folder has of the weather: its file, or what the logbook keeps."""
    from sugarwright.cli.weather_options import WEATHER_FILE, WeatherTexts, read_weather
    from sugarwright.twin.kept_weather import FileWeather, KeptWeather

    if (Path(folder) / WEATHER_FILE).exists():
        return FileWeather(house, read_weather(folder, house, WeatherTexts()))
    return KeptWeather(house, book.weather)


def _progress(again: bool) -> Progress | None:
    """Return what tells how far a long way through the log has come; on a terminal alone."""
    if not (again or sys.stderr.isatty()):
        return None

    def tell(done: int, of: int) -> None:
        if done % TOLD_EVERY == 0:
            note(f"followed {done} of {of} entries")

    return tell
