"""``sugarwright log WORDS``: what happened."""

from __future__ import annotations

import time
from typing import Annotated

import typer

from sugarwright.cli.folder import JsonOption, house_in
from sugarwright.cli.log_options import FolderOption, SureOption, book_in, keep_house, text_of
from sugarwright.cli.output import as_json, say


def words(
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="WORDS...", show_default=False, help="What happened."),
    ] = None,
    folder: FolderOption = ".",
    sure: SureOption = False,
    json: JsonOption = False,
) -> None:
    """What happened? Writes it into the logbook.

    Example:
      sugarwright log sap 14in 1.9
    """
    text = text_of(words or ())
    house = house_in(folder)

    from sugarwright.logbook.lines import logged
    from sugarwright.logbook.words import understand

    now_s = time.time()
    understood = understand(text, house, now_s, sure=sure)
    with book_in(folder) as book:
        book.add(understood.entries)
        keep_house(book, folder)
    written = logged(understood.entries, house)
    if json:
        say(as_json(written))
        return

    from sugarwright.cli.log_text import logged_lines

    say(*logged_lines(written, house, now_s))
