"""The folder that a command works on."""

from __future__ import annotations

from typing import Annotated

import typer

from sugarwright.answering.folder import HOUSE_FILE, folder_of, house_in

__all__ = ["HOUSE_FILE", "FolderArgument", "JsonOption", "folder_of", "house_in"]

FolderArgument = Annotated[
    str,
    typer.Argument(
        metavar="FOLDER",
        callback=folder_of,
        show_default=False,
        help="Folder with sugarhouse.toml in it; the folder you stand in when left out.",
    ),
]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print one JSON document in SI units instead of text.")
]
