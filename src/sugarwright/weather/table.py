"""From a file on disk to a header that is understood and rows of cells that know their line."""

from __future__ import annotations

import csv
import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sugarwright.errors import WeatherFileError
from sugarwright.weather.decoding import text_of
from sugarwright.weather.headers import Column, Columns, recognise, words_of
from sugarwright.weather.json_table import table_of_json

MOST_BYTES = 64 * 1024 * 1024  # three centuries of hours; a mistake in the name is likelier
_LINES_ABOVE_HEADER = 25
_EXTREMES = frozenset({"min", "max", "minimum", "maximum", "low", "high", "tmin", "tmax"})
_DAILY = (
    "Lows and highs of days are not enough for a past spring: ask its source for hourly values. "
    "For the days to come, type them: `sugarwright weather import --low 24F --high 45F`"
)
_FORMAT = "a table with a header such as: time_utc,temperature_c"


@dataclass(frozen=True)
class Row:
    """The cells of one line of the file (counted from 1)."""

    line: int
    cells: list[str]

    def cell(self, column: Column) -> str:
        """Return a column's cell, white space tidied; empty where the line is too short."""
        return " ".join(self.cells[column.index].split()) if column.index < len(self.cells) else ""


@dataclass(frozen=True)
class Table:
    """A file's header, rows and remarks."""

    name: str
    columns: Columns
    rows: list[Row]
    remarks: dict[str, str]
    decimal_comma: bool
    notes: tuple[str, ...]

    def error(
        self, row: Row | None, column: Column | None, problem: str, allowed: str = "", fix: str = ""
    ) -> WeatherFileError:
        """Return an error that names file, line and column, and quotes the cell."""
        place = self.name
        if row is not None:
            place += f" line {row.line}"
        if column is not None:
            place += f", column {column.index + 1}"
        value = row.cell(column) if row is not None and column is not None else None
        field = column.title if column is not None and column.title else "weather"
        return WeatherFileError(field, value, problem, allowed, fix, place)


def read_table(path: str | Path) -> Table:
    """Read a delimited text file as far as its header is understood.

    Parameters
    ----------
    path : cells parted by comma, semicolon or tab; blank lines and lines that begin with # are
        passed over

    Returns
    -------
    Table with one row or more

    Raises
    ------
    WeatherFileError : if there is no such text file, no header that can be understood, or no row
    """
    name = str(path)
    lines = (
        _as_table(_text(Path(path), name), name)
        .replace("\r\n", "\n")
        .replace("\r", "\n")
        .split("\n")
    )
    remarks = dict(_remarks(lines))
    lines = ["" if line.lstrip().startswith("#") else line for line in lines]
    if not any(line.strip() for line in lines):
        raise WeatherFileError("weather", None, "the file is empty", _FORMAT, place=name)
    at, delimiter, columns = _find_header(lines, name)
    rows = list(_rows(lines, at, delimiter, name))
    if not rows:
        problem = "there is a header and no row below it"
        raise WeatherFileError("weather", None, problem, place=f"{name} line {at + 1}")
    above = sum(1 for line in lines[:at] if line.strip())
    notes = (f"{above} lines above the header were not read",) if above else ()
    return Table(name, columns, rows, remarks, delimiter != ",", notes)


def _as_table(text: str, name: str) -> str:
    """Return a table's text, made of JSON rows or columns where the file holds those."""
    return table_of_json(text, name) if text.lstrip()[:1] in ("[", "{") else text


def _text(path: Path, name: str) -> str:
    try:
        if not path.is_file():
            problem = "is no file" if path.exists() else "there is no such file"
            raise WeatherFileError("weather file", name, problem)
        size = path.stat().st_size
        if size > MOST_BYTES:
            problem = f"is too large for hourly weather ({size / 2**20:.0f} MB)"
            raise WeatherFileError("weather file", name, problem, f"{MOST_BYTES >> 20} MB")
        content = path.read_bytes()
    except (OSError, ValueError) as problem:  # ValueError: a NUL in the name
        raise WeatherFileError("weather file", name, f"cannot be read ({problem})") from None
    text = text_of(content)
    if text is None:
        what = "is no text (a spreadsheet or a picture, perhaps)"
        raise WeatherFileError("weather file", name, what, _FORMAT, "Save it as CSV")
    return text


def _remarks(lines: list[str]) -> Iterator[tuple[str, str]]:
    """Yield what lines such as "# source: own logger" say, by key."""
    for line in lines:
        key, colon, value = line.strip().removeprefix("#").partition(":")
        if line.lstrip().startswith("#") and colon:
            yield key.strip().lower(), value.strip()


def _find_header(lines: list[str], name: str) -> tuple[int, str, Columns]:
    """Return the first line that names a time and a temperature, and what parts its cells."""
    candidates = ((at, line) for at, line in enumerate(lines) if line.strip())
    nearest: tuple[int, str, Columns] | None = None
    first = next(at for at, line in enumerate(lines) if line.strip())
    for at, line in itertools.islice(candidates, _LINES_ABOVE_HEADER):
        for delimiter in ",;\t":
            columns = recognise(_cells(line, delimiter))
            if columns.time and columns.found["temperature_c"]:
                return at, delimiter, columns
            if nearest is None and (columns.time or columns.found["temperature_c"]):
                nearest = at, delimiter, columns
    at, delimiter, columns = nearest or (first, ",", Columns(()))
    lacking = "time" if not columns.time else "air temperature"
    fix = f"Name the column of the {lacking} in the first line"
    if columns.time and _EXTREMES & set(words_of(lines[at])):
        fix = _DAILY
    raise WeatherFileError(
        "header",
        lines[at].strip()[:60],
        f"no column for the {lacking} is named there",
        _FORMAT,
        fix,
        f"{name} line {at + 1}",
    )


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return []


def _rows(lines: list[str], header_at: int, delimiter: str, name: str) -> Iterator[Row]:
    reader = csv.reader(lines[header_at + 1 :], delimiter=delimiter)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield Row(header_at + 1 + reader.line_num, cells)
    except csv.Error as problem:
        place = f"{name} line {header_at + 1 + reader.line_num}"
        fix = "Look for a quotation mark that is not closed"
        raise WeatherFileError(
            "row", None, f"is no row of a table ({problem})", "", fix, place
        ) from (None)
