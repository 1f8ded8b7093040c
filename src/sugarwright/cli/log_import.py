"""``sugarwright log import``: a table taken into the logbook."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.log_options import book_in, keep_house
from sugarwright.cli.output import as_json, say, wrapped

if TYPE_CHECKING:
    from sugarwright.logbook.taking import TakenIn


def import_(
    file: Annotated[
        str, typer.Argument(metavar="FILE", show_default=False, help="A table, saved as CSV.")
    ],
    folder: FolderArgument = ".",
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Look at everything; write nothing.")
    ] = False,
    sure: Annotated[
        bool, typer.Option("--sure", help="Values that look impossible are so; kept as doubtful.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Have I a table already? Takes it in: entries, a season on paper, or a `log export`.

    Every cell that cannot be used is told at once, with line and column, and then nothing is taken
    in. The same file taken in twice adds nothing. Titles carry the unit, as in "volume (gal)", or
    each cell does.

    Examples:
      sugarwright log import paper.csv --dry-run
      sugarwright log import entries.csv my-sugarhouse
    """
    house = house_in(folder)

    from pathlib import Path

    from sugarwright.logbook.connection import LOGBOOK_FILE
    from sugarwright.logbook.tables_csv import table_of_titles, take_in_table
    from sugarwright.logbook.taking import take_in

    now_s = time.time()
    table = table_of_titles(folder, file) if Path(file).is_file() else None
    if dry_run and not (Path(folder) / LOGBOOK_FILE).exists():
        taken = take_in(file, house, now_s, None, sure=sure, dry_run=True)
    else:
        with book_in(folder) as book:
            if table is None:
                taken = take_in(file, house, now_s, book, sure=sure, dry_run=dry_run)
            else:
                taken = take_in_table(folder, file, table, dry_run=dry_run)
            if not dry_run:
                keep_house(book, folder)
    say(as_json(taken)) if json else say(wrapped(_told(taken)))


def _told(taken: TakenIn) -> str:
    what = {"paper": "daily totals", "entries": "entries"}.get(taken.table, taken.table)
    new = f"{taken.new} new"
    if taken.corrected:
        new += f" ({taken.corrected} in the place of another total of that day)"
    there = f", {taken.repeated} there already" if taken.repeated else ""
    if taken.overruled:
        there += f" ({taken.overruled} corrected or taken back since: that stays)"
    done = "Taken in" if taken.written else "Nothing written; would be taken in"
    return f"{done}: {new}{there} ({what}, {taken.rows} lines of {taken.file})."
