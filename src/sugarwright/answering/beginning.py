"""A new sugarhouse: answers to the questions, checked, and the description written from them.

The terminal and the first page ask the same questions (``plant/questions.py``).
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sugarwright.answering.folder import HOUSE_FILE
from sugarwright.errors import InputError
from sugarwright.plant.fields import spec_at
from sugarwright.plant.house import House
from sugarwright.plant.questions import is_asked, questions
from sugarwright.plant.read_house import HouseProblemsError
from sugarwright.plant.specs import Spec
from sugarwright.plant.write_house import house_toml
from sugarwright.weather.keeping import put_whole


def name_of(folder: str) -> str:
    """Return what a house is called when nobody says: as its folder."""
    name = Path(folder).absolute().name.replace("-", " ").replace("_", " ").strip()
    spec = spec_at(House, ("site", "name")) or Spec()
    try:
        return str(spec.read(name[:1].upper() + name[1:], "site.name"))
    except InputError:  # a folder's name may have letters that no house's may
        return "Sugarhouse"


def see_that_free(folder: str) -> None:
    """Refuse what cannot become a new sugarhouse, before any question is asked.

    Raises
    ------
    InputError : the folder is a file, has a description already, or cannot be looked into
    """
    path = Path(folder)
    try:
        if path.exists() and not path.is_dir():
            raise InputError("folder", folder, "is a file", fix="Choose another name")
        taken = (path / HOUSE_FILE).exists() or (path / HOUSE_FILE).is_symlink()
    except (OSError, ValueError) as problem:
        raise _unwritable(folder, problem) from None
    if taken:
        raise InputError(
            "folder",
            folder,
            f"has a {HOUSE_FILE} already, which is not overwritten",
            fix="Choose another folder, or edit the file that is there",
        )


def is_undescribed(folder: str) -> bool:
    """Tell whether a new sugarhouse may begin in a folder: there is none, or no description in it.

    Raises
    ------
    InputError : the folder cannot be looked into
    """
    path = Path(folder)
    try:
        if path.name == HOUSE_FILE or (path.exists() and not path.is_dir()):
            return False
        return not ((path / HOUSE_FILE).exists() or (path / HOUSE_FILE).is_symlink())
    except (OSError, ValueError) as problem:
        raise _unwritable(folder, problem) from None


def description_from(typed: Mapping[str, str]) -> str:
    """Return the description that typed answers make; one left empty is taken at its default.

    Parameters
    ----------
    typed : key path of a question -> what was typed; of questions that this house is not asked,
        nothing is taken

    Raises
    ------
    HouseProblemsError : an answer cannot be read or is missing, or they contradict each other:
        all of it, each with its question's path as the field
    """
    answers: dict[str, Any] = {}
    problems: list[InputError] = []
    for question in questions():
        if not is_asked(question, answers):
            continue
        text, system = typed.get(question.path, "").strip(), str(answers.get("site.units", "us"))
        if text:
            try:
                answers[question.path] = question.read(text, system)
            except InputError as problem:
                problems.append(problem)
        elif question.default is None:
            allowed = question.spec.said(system)
            problems.append(InputError(question.path, None, "is needed", allowed))
        else:
            answers[question.path] = question.spec.shown(question.default, system)
    if problems:
        raise HouseProblemsError(problems)
    return house_toml(answers)


def write_description(folder: str, text: str) -> None:
    """Write a new description in one step, so that no half of it is ever there.

    Raises
    ------
    InputError : there is one already, or it cannot be written
    """
    see_that_free(folder)
    path = Path(folder) / HOUSE_FILE
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        put_whole(path, text)
    except (OSError, ValueError) as problem:
        raise _unwritable(folder, problem) from None


def _unwritable(folder: str, problem: Exception) -> InputError:
    reason = getattr(problem, "strerror", None) or str(problem)
    return InputError("folder", folder, f"cannot be written to: {reason}")
