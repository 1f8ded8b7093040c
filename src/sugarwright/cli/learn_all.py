"""``sugarwright learn``: all that the log teaches, kept or taken back."""

from __future__ import annotations

import time
from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.answering.readings import readings
from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.option_groups import with_groups
from sugarwright.cli.output import as_json, say
from sugarwright.cli.record import record_in
from sugarwright.cli.weather_options import WeatherTexts, read_weather
from sugarwright.errors import InputError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.cli.learn_told import History, TakenBack, Told
    from sugarwright.learning.everything import Record
    from sugarwright.logbook.book import Logbook

TREES = "trees"
EVERYTHING = "all"


@with_groups
def everything(
    weather: WeatherTexts,
    folder: FolderArgument = ".",
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep what was learnt: plans stand on it from now on.")
    ] = False,
    sure: Annotated[
        bool, typer.Option("--sure", help="Keep figures that jump, too: you have looked at them.")
    ] = False,
    undo: Annotated[
        str | None,
        typer.Option(
            metavar="WHAT",
            help="Take back what was kept last of the pan, wood, trees, membrane or instruments; "
            "or of all.",
        ),
    ] = None,
    history: Annotated[
        bool, typer.Option("--history", help="Show all that was ever kept, and taken back.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """What does my log teach? Pan, wood, trees, lines, forecast, instruments, all at once.

    Tells what changed, by how much and how sure it is, which readings don't fit, and which reading
    would teach most. Nothing is kept unless you say --keep, and everything kept can be taken back.

    Examples:
      sugarwright learn
      sugarwright learn all my-sugarhouse --keep
      sugarwright learn --undo pan
    """
    house = house_in(folder)
    if undo is not None:
        taken = _undone(folder, undo)
        say(as_json(taken)) if json else say(f"Taken back: {', '.join(taken.taken_back)}.")
        return
    if history:
        versions = _versions(folder)
        from sugarwright.cli.learn_all_text import history_lines

        say(as_json(versions)) if json else say(*history_lines(versions.versions, house))
        return
    told = _learnt(house, folder, weather, keep=keep, sure=sure)
    from sugarwright.cli.learn_all_text import everything_lines

    say(as_json(told)) if json else say(*everything_lines(told, house))


def _learnt(house: House, folder: str, texts: WeatherTexts, *, keep: bool, sure: bool) -> Told:
    from sugarwright.cli.learn_told import Told
    from sugarwright.cli.simulate import tell_if_building
    from sugarwright.learning.everything import learn_everything
    from sugarwright.learning.membrane import membrane_kept
    from sugarwright.logbook.trees import document_of
    from sugarwright.planning.choices import habit_rows

    tell_if_building()
    made_s = time.time()  # to the fraction: what was kept together is taken back together
    now_s = int(made_s)
    with record_in(folder, make=keep) as book:
        record = _record(house, folder, texts, book)
        membrane = membrane_kept(house, readings(book), now_s)
        others = () if membrane is None else (membrane,)
        learnt = learn_everything(house, record, now_s, habit_rows, others)
        doubtful = {each.name for each in learnt.changes if each.doubt and not sure}
        names = [each.name for each in learnt.fits if each.name not in doubtful]
        if keep:
            for fit in learnt.fits:
                if fit.name in names:
                    book.keep_knowledge(fit.name, fit.document(), made_s)
            if learnt.trees:
                book.keep_knowledge(TREES, document_of(learnt.tree_history(record.trees)), made_s)
                names.append(TREES)
    return Told(learnt, tuple(names) if keep else (), tuple(sorted(doubtful)))


def _record(house: House, folder: str, texts: WeatherTexts, book: Logbook) -> Record:
    """Return what there is to learn from."""
    from pathlib import Path

    from sugarwright.cli.weather_options import WEATHER_FILE
    from sugarwright.learning.as_learnt import LEARNABLE
    from sugarwright.learning.everything import Record
    from sugarwright.logbook.trees import trees_of

    weather = None
    if texts.weather is not None or (Path(folder) / WEATHER_FILE).exists():
        weather = read_weather(folder, house, texts)
    documents = {name: book.knowledge(name) for name in LEARNABLE}
    return Record(
        entries=book.entries(),
        forecasts=book.weather.between(0.0, time.time() + 1.0),
        observed=book.weather.observed(),
        weather=weather,
        trees=trees_of(book.knowledge(TREES)),
        kept={name: each for name, each in documents.items() if each is not None},
    )


def _undone(folder: str, what: str) -> TakenBack:
    """Take back the newest version of one thing, or of everything that was kept last."""
    from sugarwright.cli.learn_told import TakenBack
    from sugarwright.learning.as_learnt import LEARNABLE

    names = [*LEARNABLE, TREES]
    if what not in (*names, EVERYTHING):
        raise InputError("--undo", what, "is nothing that is learnt", ", ".join([*names, "all"]))
    with record_in(folder, make=False) as book:
        newest = {name: _newest_s(book, name) for name in names}
    last_s = max((each for each in newest.values() if each is not None), default=None)
    if last_s is None or (what != EVERYTHING and newest[what] is None):
        raise InputError("--undo", what, "holds nothing that could be taken back")
    chosen = [what] if what != EVERYTHING else [n for n, each in newest.items() if each == last_s]
    with record_in(folder) as book:
        for name in chosen:
            book.undo_knowledge(name, time.time())
    return TakenBack(tuple(chosen))


def _newest_s(book: Logbook, name: str) -> float | None:
    standing = [each for each in book.knowledge_versions(name) if each.taken_back_s is None]
    return standing[-1].made_s if standing else None


def _versions(folder: str) -> History:
    from sugarwright.cli.learn_told import History, Version
    from sugarwright.learning.as_learnt import LEARNABLE

    with record_in(folder, make=False) as book:
        versions = [
            Version(name, **asdict(each))
            for name in (*LEARNABLE, TREES)
            for each in book.knowledge_versions(name)
        ]
    return History(tuple(versions))
