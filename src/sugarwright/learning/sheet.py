"""A small table that a person keeps: a header, and rows that know their line."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from sugarwright.errors import InputError
from sugarwright.weather.headers import Column, Columns, words_of
from sugarwright.weather.table import Row, Table
from sugarwright.weather.times import read_times

_MOST_BYTES = 16 * 1024 * 1024
_LAYOUT = "a table with a header such as: date,volume_gal,taps,flags,brix"
_NO_READING = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "."})


@dataclass(frozen=True)
class Sheet:
    """A file's columns (by their words, in lower case) and rows."""

    name: str
    columns: dict[str, Column]
    rows: list[Row]

    def have(self, *titles: str) -> str | None:
        """Return the first of some titles that the header has, alone or with words behind it."""
        for wanted in titles:
            for title in self.columns:
                if title == wanted:
                    return title
        for wanted in titles:
            for title in self.columns:
                if title.startswith(f"{wanted} "):
                    return title
        return None

    def need(self, *titles: str) -> str:
        """Return the title that the header has, or refuse.

        Raises
        ------
        InputError : it has none of them
        """
        found = self.have(*titles)
        if found is None:
            there = ", ".join(column.title for column in self.columns.values())[:60]
            problem = f'no column "{titles[0]}" is named there'
            raise InputError("header", there, problem, _LAYOUT, place=f"{self.name} line 1")
        return found

    def cell(self, row: Row, title: str) -> str:
        """Return a cell, empty where it says that there is no reading."""
        text = row.cell(self.columns[title])
        return "" if text.lower() in _NO_READING else text

    def number(self, row: Row, name: str, least: float, greatest: float) -> float | None:
        """Return a cell's number, None where there is none.

        Raises
        ------
        InputError : it is no number, or none that it can be
        """
        title = self.have(name)
        text = self.cell(row, title) if title else ""
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            raise self.error(row, title, "is no number") from None
        if not least <= value <= greatest:
            raise self.error(row, title, "cannot be", f"{least:g} to {greatest:g}")
        return value

    @property
    def time_title(self) -> str:
        """Title of the column that holds the day."""
        return self.have("date") or self.need("time", "datetime", "when")

    def times(self, zone: str, clock_h: int) -> list[int]:
        """Return the instant of each row, UTC s; a day alone is taken at ``clock_h`` local time.

        Raises
        ------
        InputError : a time cannot be read
        """
        day = self.columns[self.time_title]
        clock = self.columns.get("time") if self.have("date") else None
        stamps = []
        for row in self.rows:
            text = row.cell(day)
            hour = row.cell(clock) if clock else ""
            if hour and hour.lower() not in _NO_READING:
                text = f"{text} {hour}"
            elif not re.search(r"\d[T ]+\d", text):
                text = f"{text} {clock_h:02d}:00"
            stamps.append(Row(row.line, [text]))
        column = Column(0, day.title)
        table = Table(self.name, Columns((column,)), stamps, {}, False, ())
        return read_times(table, stamps, zone)

    def error(
        self, row: Row | None, title: str | None, problem: str, allowed: str = "", fix: str = ""
    ) -> InputError:
        """Return an error that names file, line and column, and quotes the cell."""
        column = self.columns.get(title or "")
        place = self.name + (f" line {row.line}" if row else "")
        place += f", column {column.index + 1}" if column else ""
        value = row.cell(column) if row and column else None
        return InputError(
            column.title if column else "gatherings", value, problem, allowed, fix, place
        )


def read_sheet(path: str | Path) -> Sheet:
    """Read a table with its header in the first line that is no remark.

    Raises
    ------
    InputError : there is no such text, or no row in it
    """
    name = str(path)
    lines = _text(Path(path), name).splitlines()
    numbered = [
        (at, line)
        for at, line in enumerate(lines, 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if len(numbered) < 2:
        raise InputError("gatherings", name, "there is no row in it", _LAYOUT)
    header = numbered[0][1]
    delimiter = max(",;\t", key=header.count)
    titles = next(csv.reader([header], delimiter=delimiter))
    columns = {
        " ".join(words_of(title)): Column(i, title.strip()) for i, title in enumerate(titles)
    }
    rows = [Row(at, next(csv.reader([line], delimiter=delimiter))) for at, line in numbered[1:]]
    return Sheet(name, columns, rows)


def _text(path: Path, name: str) -> str:
    try:
        if not path.is_file():
            raise InputError("gatherings", name, "there is no such file")
        if path.stat().st_size > _MOST_BYTES:
            problem = "is too large for a list of gatherings"
            raise InputError("gatherings", name, problem, f"{_MOST_BYTES >> 20} MB")
        content = path.read_bytes()
    except (OSError, ValueError) as problem:
        raise InputError("gatherings", name, f"cannot be read ({problem})") from None
    if b"\0" in content:
        raise InputError("gatherings", name, "is no text", _LAYOUT, "Save it as CSV")
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise InputError("gatherings", name, "is no text", _LAYOUT, "Save it as CSV")
