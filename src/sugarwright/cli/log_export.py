"""``sugarwright log export`` and ``log paper``: tables for a spreadsheet."""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.log_options import FolderOption, book_in
from sugarwright.cli.output import as_json, say, wrapped

if TYPE_CHECKING:
    from sugarwright.plant.house import House


def export(
    file: Annotated[
        str | None,
        typer.Argument(
            metavar="FILE", show_default=False, help="To be written; else the table is printed."
        ),
    ] = None,
    table: Annotated[
        str,
        typer.Option(
            metavar="NAME",
            help="entries, forecasts, observed, plans, houses, knowledge or readings (sensors).",
        ),
    ] = "entries",
    folder: FolderOption = ".",
    json: JsonOption = False,
) -> None:
    """Do I want it in a spreadsheet? Writes a table of the logbook as CSV.

    Of entries all versions are written, with a mark at those that no longer stand. `log import`
    takes each of these files in again, exactly.

    Examples:
      sugarwright log export book.csv
      sugarwright log export --table houses
    """
    from sugarwright.logbook.exporting import write_book, write_file

    house = house_in(folder)
    with book_in(folder, create=False) as book:
        if file is not None:
            done = write_file(Path(file), lambda out: write_book(book, house, table, out), table)
        else:
            text = io.StringIO(newline="")
            write_book(book, house, table, text)
    if file is None:
        _print(text.getvalue())
    elif json:
        say(as_json(done))
    else:
        say(wrapped(f"{done.file} written: {done.rows} lines of {table}."))


def paper(
    file: Annotated[
        str | None,
        typer.Argument(
            metavar="FILE", show_default=False, help="To be written; else the table is printed."
        ),
    ] = None,
    folder: FolderArgument = ".",
    json: JsonOption = False,
) -> None:
    """Was the season written on paper? Makes an empty table of daily totals to fill in.

    One line a day: sap from each gathering, Brix, syrup, wood, hours of fire, notes. Fill in what
    you have, leave the rest empty, and take it in with `log import`.

    Examples:
      sugarwright log paper paper.csv
      sugarwright log import paper.csv
    """
    from sugarwright.logbook.exporting import write_file, write_template

    house = house_in(folder)
    if file is None:
        _print(_template(house))
        return
    done = write_file(Path(file), lambda out: write_template(house, out), "paper")
    if json:
        say(as_json(done))
    else:
        say(wrapped(f"{done.file} written. Fill it in, then `log import {done.file}`."))


def _template(house: House) -> str:
    from sugarwright.logbook.exporting import write_template

    text = io.StringIO(newline="")
    write_template(house, text)
    return text.getvalue()


def _print(text: str) -> None:
    """Print a table as it is; a terminal or pipe ends lines in its own way."""
    sys.stdout.write(text.replace("\r\n", "\n"))
