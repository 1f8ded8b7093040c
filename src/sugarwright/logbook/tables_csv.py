"""The other tables of the logbook as CSV, column by column as they are kept, and back exactly.

Forecasts, plans, house versions, knowledge, sensor readings: instants in UTC seconds, documents as
their text. However long a table is, one row at a time is in memory.
"""

from __future__ import annotations

import csv
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TextIO

from sugarwright.errors import InputError
from sugarwright.logbook.connection import LOGBOOK_FILE, connect, plainly, writing
from sugarwright.logbook.sheets import (
    SheetProblemsError,
    cells_up_to,
    column_letter,
    plain_cell,
    safe_cell,
    titles_of,
)
from sugarwright.logbook.taking import TakenIn

ENTRIES = "entries"
_INSIDE = ("alembic_version", "measures", "series", "states", "taken_in", "sqlite_sequence")
"""What is part of another table, can be made again, or is the database's own."""
_LONGEST_CELL = 64 * 2**20
_MOST_PROBLEMS = 1000


@dataclass(frozen=True)
class _Column:
    name: str
    is_text: bool
    is_whole: bool
    may_lack: bool
    in_key: bool
    named_in: str = ""
    """Table whose line it is the number of; the CSV has that line's name instead."""


@dataclass(frozen=True)
class _Shape:
    """A table: its columns without the serial number, which a new line gets anew.

    ``refers`` is the column that names the serial of another line of the same table.
    """

    name: str
    columns: tuple[_Column, ...]
    has_serial: bool
    refers: str

    @property
    def titles(self) -> list[str]:
        """The titles of its CSV."""
        serial = ["serial"] if self.refers else []
        return [*serial, *(each.name for each in self.columns)]


def table_names(folder: str | Path) -> list[str]:
    """Return the tables of a folder's logbook that go out as CSV, entries first."""
    with closing(connect(Path(folder) / LOGBOOK_FILE)) as connection:
        return _names(connection)


def write_table(folder: str | Path, name: str, file: TextIO) -> int:
    """Write a table other than entries; return its lines.

    Raises
    ------
    InputError : there is no such table
    """
    path = Path(folder) / LOGBOOK_FILE
    with plainly(path), closing(connect(path)) as connection:
        shape = _shape(connection, name)
        writer = csv.writer(file)
        writer.writerow(shape.titles)
        order = "serial" if shape.has_serial else ", ".join(_key_of(shape))
        asked = f"SELECT {_selected(shape)} FROM {shape.name} ORDER BY {order}"
        count = 0
        for row in connection.execute(asked):
            writer.writerow([_cell(value) for value in row])
            count += 1
        return count


def table_of_titles(folder: str | Path, path: str | Path) -> str | None:
    """Return the table whose export a file is, by its titles; None for any other file."""
    titles = list(titles_of(path))
    if not (Path(folder) / LOGBOOK_FILE).exists():
        return None
    with closing(connect(Path(folder) / LOGBOOK_FILE)) as connection:
        shapes = [_shape(connection, each) for each in _names(connection) if each != ENTRIES]
    return next((each.name for each in shapes if each.titles == titles), None)


def take_in_table(
    folder: str | Path, path: str | Path, name: str, *, dry_run: bool = False
) -> TakenIn:
    """Take the lines of an export in that are not there yet: all of them or none.

    Raises
    ------
    SheetProblemsError : cells that cannot be used; nothing was taken in
    InputError : no such table, or other titles than its export has
    """
    database = Path(folder) / LOGBOOK_FILE
    with plainly(database), closing(connect(database)) as connection:
        shape = _shape(connection, name)
        problems: list[InputError] = []
        rows = new = 0
        try:
            with writing(connection):
                serials: dict[str, int] = {}
                for line, cells in _lines(Path(path), shape):
                    rows += 1
                    values = _values(shape, cells, line, Path(path).name, problems, serials)
                    if values is not None:
                        try:
                            new += _insert(connection, shape, cells, values, serials)
                        except sqlite3.IntegrityError:
                            problem = "is there already with other values"
                            place = f"{Path(path).name} line {line}"
                            _note(problems, InputError("line", None, problem, place=place))
                if problems or dry_run:
                    raise _RollBackError
        except _RollBackError:
            pass
    if problems:
        raise SheetProblemsError(problems)
    return TakenIn(str(path), name, rows, new, rows - new, not dry_run)


class _RollBackError(Exception):
    """Nothing of what was done so far is to stay."""


def _names(connection: sqlite3.Connection) -> list[str]:
    asked = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
    names = [name for (name,) in connection.execute(asked)]
    others = [name for name in names if name not in (*_INSIDE, ENTRIES)]
    return [ENTRIES, *others]


def _shape(connection: sqlite3.Connection, name: str) -> _Shape:
    names = _names(connection)
    if name not in names:
        raise InputError("--table", name, "is no table of the logbook", ", ".join(names))
    facts = list(connection.execute(f"PRAGMA table_info({name})"))
    links = list(connection.execute(f"PRAGMA foreign_key_list({name})"))
    refers = next((link[3] for link in links if link[2] == name and link[4] == "serial"), "")
    named = {link[3]: str(link[2]) for link in links if link[4] == "id"}
    columns = [
        _Column(
            fact[1],
            fact[1] in named or fact[2].upper().startswith(("TEXT", "VARCHAR", "CHAR")),
            fact[2].upper().startswith("INT"),
            not fact[3] and not fact[5],
            bool(fact[5]),
            named.get(fact[1], ""),
        )
        for fact in facts
    ]
    has_serial = any(each.name == "serial" for each in columns)
    kept = tuple(each for each in columns if each.name != "serial")
    return _Shape(name, kept, has_serial, refers)


def _key_of(shape: _Shape) -> list[str]:
    return [each.name for each in shape.columns if each.in_key] or [shape.columns[0].name]


def _selected(shape: _Shape) -> str:
    """Return what is selected: the columns, where one is the number of a named thing its name."""
    own = [
        f"(SELECT name FROM {each.named_in} WHERE id = {shape.name}.{each.name})"
        if each.named_in
        else each.name
        for each in shape.columns
    ]
    return ", ".join([*(["serial"] if shape.refers else []), *own])


def _number_of(connection: sqlite3.Connection, table: str, name: str) -> int:
    """Return the number of a named thing, which is made where there is none."""
    connection.execute(f"INSERT INTO {table} (name) VALUES (?) ON CONFLICT DO NOTHING", (name,))
    found = connection.execute(f"SELECT id FROM {table} WHERE name = ?", (name,)).fetchone()
    return int(found[0])


def _cell(value: Any) -> str:
    if value is None:
        return ""
    return safe_cell(value) if isinstance(value, str) else repr(value)


def _lines(path: Path, shape: _Shape) -> Iterator[tuple[int, list[str]]]:
    """Yield the lines of a file one by one, blank ones left out."""
    try:
        with (
            cells_up_to(_LONGEST_CELL),
            path.open("r", encoding="utf-8-sig", newline="") as file,
        ):
            reader = csv.reader(file, strict=True)
            titles = [title.strip() for title in next(reader, [])]
            if titles != shape.titles:
                wanted = ", ".join(shape.titles)
                raise InputError(
                    "titles", ", ".join(titles), f"are not those of {shape.name}", wanted
                )
            at = reader.line_num
            for cells in reader:
                begin, at = at + 1, reader.line_num
                if any(cells):
                    yield begin, cells
    except (OSError, ValueError, csv.Error) as problem:
        raise InputError("FILE", str(path), f"cannot be read ({problem})") from None


def _values(
    shape: _Shape,
    cells: Sequence[str],
    line: int,
    name: str,
    problems: list[InputError],
    serials: dict[str, int],
) -> list[Any] | None:
    """Return the values of a line; None, and its problems noted, when one cannot be used."""
    before = len(problems)
    place = f"{name} line {line}"
    if len(cells) != len(shape.titles):
        problem = f"has {len(cells)} cells"
        _note(
            problems, InputError("line", None, problem, f"{len(shape.titles)} cells", place=place)
        )
        return None
    own = cells[1:] if shape.refers else cells
    values: list[Any] = []
    for at, (column, cell) in enumerate(zip(shape.columns, own, strict=True)):
        try:
            values.append(_value(column, cell, shape, serials))
        except ValueError as problem:
            where = f"{place}, column {column_letter(at + bool(shape.refers))}"
            _note(problems, InputError(column.name, cell, str(problem), place=where))
    return values if len(problems) == before else None


def _value(column: _Column, cell: str, shape: _Shape, serials: dict[str, int]) -> Any:
    if not cell and column.may_lack:
        return None
    if column.name == shape.refers:
        if cell not in serials:
            raise ValueError("is the serial of no line above")
        return serials[cell]
    if column.is_text:
        return plain_cell(cell)
    try:
        return int(cell) if column.is_whole else float(cell)
    except ValueError:
        raise ValueError("is no number") from None


def _insert(
    connection: sqlite3.Connection,
    shape: _Shape,
    cells: Sequence[str],
    values: list[Any],
    serials: dict[str, int],
) -> bool:
    """Add a line unless one that says the same is there; tell whether it was new."""
    names = [each.name for each in shape.columns]
    for at, column in enumerate(shape.columns):
        if column.named_in:
            name = f"{column.named_in} {values[at]}"
            if name not in serials:
                serials[name] = _number_of(connection, column.named_in, values[at])
            values[at] = serials[name]
    same = " AND ".join(f"{name} IS ?" for name in names)
    what = "serial" if shape.has_serial else "1"
    there = connection.execute(f"SELECT {what} FROM {shape.name} WHERE {same}", values).fetchone()
    if there is None:
        marks = ", ".join("?" * len(names))
        done = connection.execute(
            f"INSERT INTO {shape.name} ({', '.join(names)}) VALUES ({marks})", values
        )
        there = (done.lastrowid,)
        is_new = True
    else:
        is_new = False
    if shape.refers:
        serials[cells[0]] = int(there[0])
    return is_new


def _note(problems: list[InputError], problem: InputError) -> None:
    if len(problems) < _MOST_PROBLEMS:
        problems.append(problem)
