"""``sugarwright log correct`` and ``log undo``: what was written wrong."""

from __future__ import annotations

import time
from typing import Annotated

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.log_options import FolderOption, SureOption, book_in, text_of
from sugarwright.cli.output import as_json, say
from sugarwright.errors import InputError

_ALL = 10**9


def correct(
    key: Annotated[
        str,
        typer.Argument(metavar="KEY", show_default=False, help="First letters of the entry's key."),
    ],
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="WORDS...",
            show_default=False,
            help='How it was; or only "at 6:30" or "by Ann"; or "nothing".',
        ),
    ],
    folder: FolderOption = ".",
    sure: SureOption = False,
    json: JsonOption = False,
) -> None:
    """Was an entry wrong? Writes how it was; the old one stays in the book.

    Without a time the old entry's stays. With the one word "nothing" no entry stands for it.

    Examples:
      sugarwright log correct 3fa9 sap 15in 1.9
      sugarwright log correct 3fa9 at 6:40
      sugarwright log correct 3fa9 nothing
    """
    text = text_of(words)
    house = house_in(folder)

    from sugarwright.logbook.lines import find_entry, logged
    from sugarwright.logbook.undoing import correction

    now_s = time.time()
    with book_in(folder, create=False) as book:
        old = book.history(find_entry(book.newest(_ALL), key).key)[-1]  # as it stands now
        new = correction(old, text, house, now_s, sure=sure)
        book.add([new])
    written = logged([new], house, [old])
    if json:
        say(as_json(written))
        return

    from sugarwright.cli.log_text import logged_lines

    say(*logged_lines(written, house, now_s))


def undo(folder: FolderArgument = ".", json: JsonOption = False) -> None:
    """Was the last entry wrong? Takes back what was entered last.

    What one command entered is taken back together. Again: what was entered before that. Nothing
    is lost: `log show --all` shows it.

    Example:
      sugarwright log undo
    """
    house = house_in(folder)

    from sugarwright.logbook.lines import Undone, line_of
    from sugarwright.logbook.undoing import undoing, what_was_last

    now_s = time.time()
    with book_in(folder, create=False) as book:
        last = what_was_last(book.newest(_ALL))
        if not last:
            raise InputError("logbook", str(book.path), "has no entry left to take back")
        new = [undoing(each, book.history(each.key), now_s) for each in last]
        book.add(new)
    again = [each for each in new if each.kind != "withdrawn"]
    taken = Undone(
        tuple(line_of(each, house, stands=False) for each in last),
        tuple(line_of(each, house) for each in again),
    )
    if json:
        say(as_json(taken))
        return

    from sugarwright.cli.log_text import taken_back_lines

    say(*taken_back_lines(taken, house, now_s))
