"""Options that the commands of the logbook share, and the house and book they work on."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.answering.folder import description_in, folder_of
from sugarwright.cli.output import note
from sugarwright.cli.program import program
from sugarwright.errors import InputError

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook

FolderOption = Annotated[
    str,
    typer.Option(
        "--folder",
        metavar="FOLDER",
        callback=folder_of,
        show_default=False,
        help="Folder with sugarhouse.toml in it; the folder you stand in when left out.",
    ),
]
SureOption = Annotated[
    bool, typer.Option("--sure", help="It is so, though it looks impossible; kept as doubtful.")
]


@contextmanager
def book_in(folder: str, create: bool = True) -> Iterator[Logbook]:
    """Open the logbook of a folder; tell what went wrong beside."""
    from sugarwright.logbook.book import Logbook

    with Logbook.open(folder, create=create) as book:
        yield book
        for trouble in book.troubles:
            note(f"What was entered is kept, but: {trouble}")


def text_of(words: Sequence[str]) -> str:
    """Return the words of a command line as one text; refuse an option that is none.

    Words are taken as they come ("-2C"), so that nobody else refuses it. A note may hold anything.
    """
    for word in words:
        if word.casefold().startswith("note"):
            break
        if word.startswith("--"):
            fix = f"`{program()} log words --help` lists them all"
            raise InputError(word, None, "is no option here", fix=fix)
    return " ".join(words)


def keep_house(book: Logbook, folder: str) -> None:
    """Keep the description of the house as it is now, if it changed."""
    book.keep_house(description_in(folder), time.time())
