"""The folder of a sugarhouse, and the house described in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sugarwright.errors import InputError

if TYPE_CHECKING:
    from sugarwright.plant.house import House

HOUSE_FILE = "sugarhouse.toml"


def folder_of(text: str) -> str:
    """Return the folder meant; who names the file in it means the folder."""
    path = Path(text)
    return str(path.parent) if path.name == HOUSE_FILE else text


def house_in(folder: str) -> House:
    """Return the house described in a folder.

    Raises
    ------
    InputError : there is no such folder, no description in it, or something wrong with it
    """
    from sugarwright.plant.read_house import read_house  # not before a folder is named

    path = Path(folder_of(folder))
    fix = "`sugarwright new FOLDER` makes one"
    try:
        is_there, is_folder = path.exists(), path.is_dir()
        has_file = (path / HOUSE_FILE).exists()
    except (OSError, ValueError) as problem:  # a name too long, a character no name may have
        reason = getattr(problem, "strerror", None) or str(problem)
        raise InputError("folder", folder, f"cannot be looked into: {reason}") from None
    if not is_there:
        raise InputError("folder", folder, "is not there", fix=fix)
    if not is_folder:
        raise InputError("folder", folder, "is a file", "a folder with sugarhouse.toml in it", fix)
    if not has_file:
        raise InputError("folder", folder, f"has no {HOUSE_FILE} in it", fix=fix)
    return read_house(path / HOUSE_FILE)


def description_in(folder: str) -> str:
    """Return the text of a folder's description, as the logbook keeps it.

    Raises
    ------
    InputError : it cannot be read
    """
    try:
        return (Path(folder_of(folder)) / HOUSE_FILE).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as problem:
        fix = "look after the file on the computer that holds it"
        raise InputError(HOUSE_FILE, None, f"cannot be read: {problem}", fix=fix) from None
