"""``sugarwright learn trees``: how much sap your trees give, from what you gathered."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.option_groups import with_groups
from sugarwright.cli.output import as_json, say, wrapped
from sugarwright.cli.record import record_in
from sugarwright.cli.weather_options import WeatherTexts, read_weather
from sugarwright.errors import InputError, WeatherFileError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sugarwright.learning.house import TreesLearnt
    from sugarwright.learning.trees import TreeLesson
    from sugarwright.logbook.book import Logbook
    from sugarwright.plant.tree_knowledge import TreeKnowledge
    from sugarwright.weather.hours import HourlyWeather


@with_groups
def trees(
    weather: WeatherTexts,
    folder: FolderArgument = ".",
    gatherings: Annotated[
        str | None,
        typer.Option(
            metavar="FILE",
            help="Table of gatherings: date (or time), volume_gal, and where known taps, flags "
            "(ice, overflow, not emptied) and brix. Left out: those of the logbook.",
        ),
    ] = None,
    taps: Annotated[
        int | None,
        typer.Option(min=1, help="Taps of gatherings that state none; else all of the house."),
    ] = None,
    site: Annotated[
        str | None, typer.Option(metavar="NAME", help="Which site, if the file holds several.")
    ] = None,
    clock: Annotated[
        int, typer.Option(min=0, max=23, metavar="HOUR", help="Hour of days without a time.")
    ] = 16,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be learnt; write nothing.")
    ] = False,
    undo: Annotated[bool, typer.Option("--undo", help="Take back what was learnt last.")] = False,
    json: JsonOption = False,
) -> None:
    """How much sap do my trees give? Learns from what you gathered.

    Give the weather over the season, and from three weeks before it. What is learnt is kept in
    the logbook, beside what was learnt before.

    Examples:
      sugarwright learn trees --gatherings gatherings.csv --weather 2027.csv
      sugarwright learn trees --undo
    """
    house = house_in(folder)
    learnt = (
        _undone(folder, dry_run)
        if undo
        else _learnt(house, folder, gatherings, weather, taps, site or "", clock, dry_run)
    )
    say(as_json(learnt)) if json else say(*_lines(learnt))


def _undone(folder: str, dry_run: bool) -> TreesLearnt:
    from sugarwright.learning.house import TreesLearnt
    from sugarwright.logbook.trees import TREES, document_of, trees_of
    from sugarwright.plant.tree_file import without_newest

    with record_in(folder, make=not dry_run) as book:
        history = trees_of(book.knowledge(TREES))
        left = without_newest(history)
        if not dry_run:
            book.keep_knowledge(TREES, document_of(left), datetime.now().timestamp())
        taken_back = len(history) - len(left)
        return TreesLearnt(str(book.path), not dry_run, len(left), taken_back, (), ())


def _learnt(
    house: House,
    folder: str,
    gatherings: str | None,
    weather: WeatherTexts,
    taps: int | None,
    site: str,
    clock: int,
    dry_run: bool,
) -> TreesLearnt:
    from sugarwright.learning.house import TreesLearnt
    from sugarwright.logbook.trees import TREES, document_of, trees_of

    with record_in(folder, make=not dry_run) as book:
        history = trees_of(book.knowledge(TREES))
        now = int(datetime.now().timestamp())
        if gatherings is None:
            lessons, notes = _of_log(house, folder, weather, book, history, now)
        else:
            lessons, notes = _of_file(
                house, folder, gatherings, weather, book, history, now, taps, site, clock
            )
        history = (*history, *(lesson.after for lesson in lessons))
        if not dry_run:
            book.keep_knowledge(TREES, document_of(history), now)
        file = str(book.path)
    return TreesLearnt(file, not dry_run, len(history), 0, tuple(lessons), tuple(notes))


def _of_log(
    house: House,
    folder: str,
    weather: WeatherTexts,
    book: Logbook,
    history: Sequence[TreeKnowledge],
    now_s: int,
) -> tuple[Sequence[TreeLesson], Sequence[str]]:
    """Learn from the gatherings in the logbook.

    Raises
    ------
    InputError : there is none to learn from
    """
    from sugarwright.learning.everything import Record, learn_trees_of_log

    observed = book.weather.observed()
    hours = _weather(folder, house, weather, observed)
    record = Record(book.entries(kinds=("gather", "tapped")), (), observed, hours, history)
    lessons, _, notes = learn_trees_of_log(house, record, now_s)
    if not lessons:
        problem = "no gathering of the logbook can be learnt from"
        fix = "Log gatherings with `sugarwright log`, or name a table of them with --gatherings"
        raise InputError("gatherings", None, "; ".join([problem, *notes]), fix=fix)
    return lessons, notes


def _of_file(
    house: House,
    folder: str,
    gatherings: str,
    weather: WeatherTexts,
    book: Logbook,
    history: Sequence[TreeKnowledge],
    now_s: int,
    taps: int | None,
    site: str,
    clock: int,
) -> tuple[Sequence[TreeLesson], Sequence[str]]:
    """Learn from a table of gatherings."""
    from sugarwright.learning.gathering_file import read_gatherings
    from sugarwright.learning.house import learn_house

    came = read_gatherings(gatherings, house.site.timezone, clock, site)
    observed = book.weather.observed()
    hours = _weather(folder, house, weather, observed)
    return learn_house(house, came, hours, history, now_s, taps, observed)


def _weather(
    folder: str, house: House, texts: WeatherTexts, observed: Sequence[HourlyWeather]
) -> HourlyWeather | None:
    """Return the weather that the options ask for; None where measured hours are all there is.

    What is kept needs a forecast of the last days to be put together; a season that was measured
    needs none.
    """
    try:
        return read_weather(folder, house, texts, since_s=0)  # a season: all that is kept
    except WeatherFileError:
        if texts.weather is not None or not observed:
            raise
        return None


def _lines(learnt: TreesLearnt) -> list[str]:
    from sugarwright.cli.learn_text import lesson_lines

    lines = [line for lesson in learnt.lessons for line in lesson_lines(lesson)]
    lines += [wrapped(note, "  ") for note in learnt.notes]
    if learnt.taken_back:
        lines.append(f"Taken back: {learnt.taken_back} of what was learnt last.")
    what = "Kept in" if learnt.written else "Nothing written; would be kept in"
    return [*lines, f"{what} {learnt.file} (fits kept: {learnt.fits})."]
