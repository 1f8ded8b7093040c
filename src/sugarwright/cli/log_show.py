"""``sugarwright log show``: the book."""

from __future__ import annotations

import time
from typing import Annotated

import typer

from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.log_options import book_in
from sugarwright.cli.output import as_json, say


def show(
    folder: FolderArgument = ".",
    begin: Annotated[
        str | None,
        typer.Option("--from", metavar="DAY", help='First day or moment: "17 March", yesterday.'),
    ] = None,
    end: Annotated[
        str | None, typer.Option("--to", metavar="DAY", help="Last day, or a moment.")
    ] = None,
    kind: Annotated[
        list[str] | None,
        typer.Option(metavar="KIND", help="Such entries alone: draw, gather. May be repeated."),
    ] = None,
    place: Annotated[
        list[str] | None,
        typer.Option(metavar="PLACE", help="Of that place alone: sap, north. May be repeated."),
    ] = None,
    all_: Annotated[
        bool, typer.Option("--all", help="All entries, and what was corrected or taken back.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """What is in the logbook? Shows it, the newest entries last.

    Without --from and --all the last forty entries. The letters before each are its key, for
    `log correct`.

    Examples:
      sugarwright log show
      sugarwright log show --from "17 March" --kind draw
      sugarwright log show --all --json
    """
    house = house_in(folder)

    from sugarwright.logbook.looking import look

    with book_in(folder, create=False) as logbook:
        book = look(
            logbook,
            house,
            time.time(),
            begin=begin,
            end=end,
            kinds=kind or (),
            places=place or (),
            all_versions=all_,
            most=None if all_ else 40,
        )
    if json:
        say(as_json(book))
        return

    from sugarwright.cli.log_text import book_lines

    say(*book_lines(book, house))
