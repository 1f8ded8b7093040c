"""``sugarwright log check``, ``backup`` and ``restore``: that nothing is lost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption
from sugarwright.cli.log_options import book_in
from sugarwright.cli.output import as_json, say, wrapped
from sugarwright.cli.program import program


@dataclass(frozen=True)
class BackedUp:
    """A backup that was written and checked.

    Parameters
    ----------
    file : where it lies
    """

    file: str


def check(folder: FolderArgument = ".", json: JsonOption = False) -> None:
    """Is my logbook sound? Reads it from end to end and looks for damage.

    Changes nothing. Exit code 1 when anything is wrong with it.

    Example:
      sugarwright log check
    """
    from sugarwright.logbook.checking import check_logbook

    found = check_logbook(folder)
    if json:
        say(as_json(found))
    else:
        sound = "sound" if not found.problems else "damaged"
        say(wrapped(f"{found.file} is {sound}: {found.entries} lines written."))
        say(*(wrapped(problem, "  ! ") for problem in found.problems))
        if found.problems:
            say(wrapped("`log restore` brings back a backup.", "  "))
    if found.problems:
        raise typer.Exit(1)


def backup(folder: FolderArgument = ".", json: JsonOption = False) -> None:
    """Do I want a copy now? Writes one beside the daily ones, and checks it.

    It lies in the folder backups/ and stays until you delete it. Copy it to another disk too.

    Example:
      sugarwright log backup
    """
    with book_in(folder, create=False) as book:
        done = BackedUp(str(book.back_up()))
    say(as_json(done)) if json else say(f"{done.file} written and checked.")


@dataclass(frozen=True)
class PutBack:
    """A backup that was put in the place of the logbook.

    Parameters
    ----------
    backup : its file
    aside : folder in which the former file lies; null when there was none
    salvaged : entries that only the former file had, and that are in the logbook again
    unread : later entries of the former file that could not be read; null: it does not tell
    entries : lines that the logbook has now
    """

    backup: str
    aside: str | None
    salvaged: int
    unread: int | None
    entries: int


def restore(
    folder: FolderArgument = ".",
    backup: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="A file of backups/; else the fullest sound one."),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Is my logbook damaged? Puts a backup in its place, with what the damaged file still gives.

    The damaged file is kept aside, and nothing of it is thrown away.

    Example:
      sugarwright log restore
    """
    from sugarwright.logbook.restore import restore as put_back

    found = put_back(folder, backup)
    aside = None if found.aside is None else str(found.aside)
    done = PutBack(str(found.backup), aside, found.salvaged, found.unread, found.entries)
    if json:
        say(as_json(done))
        return
    say(wrapped(f"{done.backup} stands in the place of the logbook."))
    if aside is not None:
        say(
            wrapped(f"The former file lies in {aside}; {done.salvaged} entries were saved from it.")
        )
    if done.unread:
        say(
            wrapped(
                f"{done.unread} later entries could not be read. Look at your notes of that day."
            )
        )
    elif aside is not None and done.unread is None:
        say(wrapped("How many more it held cannot be read. Look at your notes of the last days."))
    say(wrapped(f"The logbook holds {done.entries} lines now; `{program()} log show` shows them."))
