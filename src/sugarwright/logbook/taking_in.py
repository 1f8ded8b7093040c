"""What a sugarhouse folder kept in files is taken into its logbook: once, and without loss.

Forecasts in ``forecasts/``, plans in ``plans/``, measured hours in ``observed.csv``, what was
learnt of the trees in ``trees.toml``. The files are only read and stay where they are. One that
comes or changes later is taken in then; what the logbook holds already stands.
"""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sugarwright.errors import InputError
from sugarwright.logbook import kept
from sugarwright.logbook.open_file import OpenFile
from sugarwright.logbook.seen_files import (
    FORECASTS,
    OBSERVED,
    PLANS,
    TREES_FILE,
    facts_seen,
    note_seen,
)

HOUSE_FILE = "sugarhouse.toml"


@dataclass(frozen=True)
class _Found:
    """A file that holds what belongs into the logbook: where, its name there, size, last change."""

    path: Path
    name: str
    size_bytes: int
    changed_ns: int


def holds_files(folder: Path) -> bool:
    """Tell whether a folder holds files that belong into its logbook."""
    return next(_files(folder), None) is not None


def take_in(file: OpenFile) -> None:
    """Take in what the folder holds and the logbook has not seen, all of it or nothing.

    A file that cannot be read is noted with its problem (``WeatherBook.damaged`` tells it) and
    looked at again when it changes.

    Raises
    ------
    LogbookError : the logbook cannot be written
    """
    with file.reading() as connection:
        is_anything_new = bool(_unseen(connection, file.folder)) or _is_new_house(connection, file)
    if not is_anything_new:
        return
    now_s = file.clock()
    with file.writing() as connection:
        house = _house_text(file.folder)
        if house is not None:
            kept.keep_house(connection, house, now_s)
        for each in _unseen(connection, file.folder):  # again: somebody else may have been here
            problem = _taken(connection, each, now_s)
            note_seen(connection, each.name, (each.size_bytes, each.changed_ns), now_s, problem)


def _unseen(connection: sqlite3.Connection, folder: Path) -> list[_Found]:
    seen = facts_seen(connection)
    return [
        each for each in _files(folder) if seen.get(each.name) != (each.size_bytes, each.changed_ns)
    ]


def _is_new_house(connection: sqlite3.Connection, file: OpenFile) -> bool:
    text = _house_text(file.folder)
    return text is not None and text != kept.house_at(connection, file.clock())


def _files(folder: Path) -> Iterator[_Found]:
    for name in (OBSERVED, TREES_FILE):
        with contextlib.suppress(OSError):
            yield _found(folder / name, name)
    for room in (FORECASTS, PLANS):
        with contextlib.suppress(OSError):
            for name in sorted(os.listdir(folder / room)):  # noqa: PTH208  glob hides errors
                if name.endswith(".json") and not name.startswith("."):
                    yield _found(folder / room / name, f"{room}/{name}")


def _found(path: Path, name: str) -> _Found:
    facts = path.stat()
    return _Found(path, name, facts.st_size, facts.st_mtime_ns)


def _taken(connection: sqlite3.Connection, found: _Found, now_s: float) -> str:
    """Take in a file; return what is wrong with it, or an empty text."""
    try:
        if found.name == OBSERVED:
            return _take_observed(connection, found.path)
        if found.name == TREES_FILE:
            _take_trees(connection, found.path, now_s)
        elif found.name.startswith(FORECASTS):
            _take_forecast(connection, found)
        else:
            _take_plan(connection, found.path)
    except InputError as problem:
        return str(problem)
    except OSError as problem:
        return f"{found.name}: cannot be read ({problem.strerror})."
    return ""


def _take_observed(connection: sqlite3.Connection, path: Path) -> str:
    from sugarwright.logbook.forecasts import keep_hours
    from sugarwright.weather.observed import read_observed

    found = read_observed(path)
    keep_hours(connection, found.rows)
    return " ".join(found.problems)


def _take_trees(connection: sqlite3.Connection, path: Path, now_s: float) -> None:
    from sugarwright.logbook.trees import TREES, document_of
    from sugarwright.plant.tree_file import read_trees

    document = document_of(read_trees(path))
    kept.keep_knowledge(connection, TREES, document, now_s)


def _take_forecast(connection: sqlite3.Connection, found: _Found) -> None:
    from sugarwright.logbook.forecasts import keep_forecast
    from sugarwright.weather.forecast_json import forecast_of

    keep_forecast(connection, forecast_of(found.path.read_bytes(), found.name))


def _take_plan(connection: sqlite3.Connection, path: Path) -> None:
    """Take in a plan as it is; one that cannot be read says nothing to anybody."""
    from sugarwright.logbook.plans import insert_plan

    with contextlib.suppress(ValueError, LookupError, TypeError):
        document = json.loads(path.read_text(encoding="utf-8"))
        insert_plan(connection, float(document["begin_s"]), document)


def _house_text(folder: Path) -> str | None:
    try:
        return (folder / HOUSE_FILE).read_text(encoding="utf-8")
    except (OSError, ValueError):
        return None
