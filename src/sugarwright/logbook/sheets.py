"""CSV as spreadsheets write and read it: cells out that start no formula, any table in.

A cell that a spreadsheet would take for a formula gets an apostrophe before it, which reading
takes away again; so does one that begins with an apostrophe itself. Numbers are left alone.
"""

from __future__ import annotations

import contextlib
import csv
import io
import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from sugarwright.errors import InputError
from sugarwright.weather.decoding import text_of

MOST_BYTES = 64 * 2**20
_STARTS_FORMULA = tuple("=+-@\t\r")
_APOSTROPHE = "'"
_FORMAT = "a table with its titles in the first line, saved as CSV"
MOST_TOLD = 40


class SheetProblemsError(InputError):
    """Cells of a table that cannot be used; ``problems`` has each with its place."""

    def __init__(self, problems: Sequence[InputError]) -> None:
        self.problems = tuple(problems)
        first = self.problems[0]
        super().__init__(
            first.field, first.value, first.problem, first.allowed, first.fix, first.place
        )

    def __str__(self) -> str:
        told = [str(problem) for problem in self.problems[:MOST_TOLD]]
        left = len(self.problems) - len(told)
        more = [f"... and {left} more."] if left else []
        return "\n".join([*told, *more, "Nothing was taken in."])


@dataclass(frozen=True)
class Row:
    """One line of a table, counted from 1 as a spreadsheet does."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """A table read from a file.

    Parameters
    ----------
    name : of the file, for messages
    titles : as they stand, without white space around them
    rows : those in which anything stands
    decimal_comma : cells are parted by semicolons, so "1,200" may be one and a fifth
    """

    name: str
    titles: tuple[str, ...]
    rows: tuple[Row, ...]
    decimal_comma: bool

    def cell(self, row: Row, column: int) -> str:
        """Return a cell; empty where the line is too short."""
        return row.cells[column] if column < len(row.cells) else ""

    def problem(self, row: Row, column: int | None, error: InputError) -> InputError:
        """Return an error with its line and column, and the cell as it stands."""
        place = f"{self.name} line {row.line}"
        if column is None:
            told = error.field, error.value, error.problem, error.allowed, error.fix
            return InputError(*told, place)
        cell = self.cell(row, column)
        title = self.titles[column]
        place += f", column {column_letter(column)}"
        return InputError(title, cell, error.problem, error.allowed, error.fix, place)


def safe_cell(text: str) -> str:
    """Return a text that no spreadsheet runs as a formula.

    >>> safe_cell("=1+1"), safe_cell("filter leaks"), safe_cell("'=x")
    ("'=1+1", 'filter leaks', "''=x")
    """
    first = text[:1]
    guarded = first in _STARTS_FORMULA or (
        first == _APOSTROPHE and text[1:2] in (*_STARTS_FORMULA, _APOSTROPHE, "")
    )
    return _APOSTROPHE + text if first and guarded else text


def plain_cell(cell: str) -> str:
    """Return the text that :func:`safe_cell` made a cell of."""
    if cell[:1] == _APOSTROPHE and cell[1:2] in (*_STARTS_FORMULA, _APOSTROPHE):
        return cell[1:]
    return cell


def write_rows(file: TextIO, titles: Sequence[str], rows: Iterable[Sequence[str]]) -> int:
    """Write a table, comma between cells, lines ended as RFC 4180 asks; return the rows."""
    writer = csv.writer(file)
    writer.writerow(titles)
    count = 0
    for row in rows:
        writer.writerow(row)
        count += 1
    return count


@contextlib.contextmanager
def cells_up_to(most_letters: int) -> Iterator[None]:
    """Let the cells of tables be so long for a while: the limit is the whole process's."""
    before = csv.field_size_limit(most_letters)
    try:
        yield
    finally:
        csv.field_size_limit(before)


def read_sheet(path: str | Path, most_bytes: int = MOST_BYTES) -> Sheet:
    """Read a table: UTF-8 with or without its mark, UTF-16, or what Windows saves.

    Raises
    ------
    InputError : no such file, no text, no titles, a title twice, or too large
    """
    name = Path(path).name
    text = _text(Path(path), str(path), most_bytes)
    delimiter = _delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        with cells_up_to(most_bytes):
            titles, first_line = _titles(reader, name)
            rows = tuple(_rows(reader, first_line))
    except csv.Error as problem:
        place = f"{name} line {reader.line_num}"
        fix = "Look for a quotation mark that is not closed"
        raise InputError("row", None, f"is no row of a table ({problem})", "", fix, place) from None
    return Sheet(name, titles, rows, delimiter == ";")


def titles_of(path: str | Path) -> tuple[str, ...]:
    """Return the titles of a table alone, however large it is."""
    with Path(path).open("r", encoding="utf-8-sig", errors="replace", newline="") as file:
        line = file.readline(1_000_000)
    return tuple(
        title.strip() for title in next(csv.reader([line], delimiter=_delimiter(line)), [])
    )


def column_letter(column: int) -> str:
    """Return how a spreadsheet names a column (counted from 0): A, B, ... AA.

    >>> column_letter(0), column_letter(25), column_letter(26)
    ('A', 'Z', 'AA')
    """
    before, last = divmod(column, 26)
    return (column_letter(before - 1) if before else "") + chr(ord("A") + last)


def _titles(reader: Iterator[list[str]], name: str) -> tuple[tuple[str, ...], int]:
    for line, cells in enumerate(reader, 1):
        if any(cell.strip() for cell in cells):
            titles = [cell.strip() for cell in cells]
            while titles and not titles[-1]:
                titles.pop()
            seen = {title.casefold() for title in titles}
            if len(seen) < len(titles):
                twice = next(t for i, t in enumerate(titles) if t.casefold() in
                             {each.casefold() for each in titles[:i]})  # fmt: skip
                fix = "Give each column a title of its own"
                place = f"{name} line {line}"
                raise InputError("title", twice, "stands over two columns", "", fix, place)
            return tuple(titles), line
    raise InputError("file", name, "is empty", _FORMAT)


def _rows(reader: Iterator[list[str]], first_line: int) -> Iterator[Row]:
    """Yield the rows in which anything stands, by the line on which each begins."""
    at = first_line
    for cells in reader:
        begin = at + 1
        at = getattr(reader, "line_num", begin)
        if any(cell.strip() for cell in cells):
            yield Row(begin, tuple(cells))


def _delimiter(text: str) -> str:
    """Return what parts the cells: what stands most often in the line of titles, quotes aside."""
    first = next((line for line in itertools.islice(text.splitlines(), 50) if line.strip()), "")
    bare = "".join(first.split('"')[::2])
    return max(",;\t", key=bare.count)


def _text(path: Path, name: str, most_bytes: int) -> str:
    try:
        if not path.is_file():
            problem = "is no file" if path.exists() else "is not there"
            raise InputError("FILE", name, problem)
        if path.stat().st_size > most_bytes:
            size = f"{path.stat().st_size / 2**20:.0f} MB"
            fix = "Cut it into several"
            raise InputError("FILE", name, f"is too large ({size})", f"{most_bytes >> 20} MB", fix)
        content = path.read_bytes()
    except (OSError, ValueError) as problem:
        raise InputError("FILE", name, f"cannot be read ({problem})") from None
    text = text_of(content)
    if text is None:
        raise InputError("FILE", name, "is no text", _FORMAT, "Save it as CSV")
    return text
