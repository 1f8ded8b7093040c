"""The description of the house as a text that a person changes: checked before it is kept."""

from __future__ import annotations

import hashlib
import stat
from dataclasses import dataclass
from pathlib import Path

from sugarwright.answering.folder import HOUSE_FILE, description_in, folder_of
from sugarwright.answering.record import record_of
from sugarwright.errors import InputError, SugarwrightError
from sugarwright.plant.house import House
from sugarwright.plant.house_notes import describe, warnings
from sugarwright.plant.read_house import HouseProblemsError, parse_house
from sugarwright.weather.keeping import put_whole


@dataclass(frozen=True)
class Checked:
    """A sugarhouse as it was understood.

    Parameters
    ----------
    house : every key, in SI
    understood : the same in sentences
    warnings : what is possible but odd, in sentences
    """

    house: House
    understood: tuple[str, ...]
    warnings: tuple[str, ...]


def checked(house: House) -> Checked:
    """Return a house with what there is to say of it."""
    return Checked(house, describe(house), warnings(house))


def mark_of(text: str) -> str:
    """Return what tells one text from another."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def problems_in(text: str) -> tuple[str, ...]:
    """Return what is wrong with a description, each with its line; empty when it can be used."""
    try:
        parse_house(text)
    except HouseProblemsError as error:
        return tuple(str(problem) for problem in error.problems)
    except SugarwrightError as error:
        return (str(error),)
    return ()


def keep_description(folder: str, text: str, began_from: str, now_s: float) -> Checked:
    """Put a changed description in the place of the last, which the logbook keeps.

    Parameters
    ----------
    folder : of the sugarhouse
    text : the whole new description
    began_from : ``mark_of`` the text that was changed
    now_s : UTC s

    Raises
    ------
    HouseFileError : the new text cannot be used; the last one stands
    InputError : the file was changed by somebody else in the meantime, or cannot be written
    LogbookError : the logbook cannot be written; the last one stands
    """
    found = checked(parse_house(text))
    last = description_in(folder)
    if mark_of(last) != began_from:
        raise InputError(
            "description", None, "was changed by somebody else since you opened it", "",
            "copy what you typed, open the page again and put it into the newer text",
        )  # fmt: skip
    with record_of(folder, make=True) as book:
        book.keep_house(last, now_s)
        _write(Path(folder_of(folder)) / HOUSE_FILE, text)
        book.keep_house(text, now_s)
    return found


def _write(path: Path, text: str) -> None:
    try:
        put_whole(path, text, stat.S_IMODE(path.stat().st_mode))
    except OSError as problem:
        words = f"cannot be written: {problem.strerror}; the last description stands"
        fix = "see whether the disk is full or the folder may only be read"
        raise InputError(HOUSE_FILE, None, words, fix=fix) from None
