"""``sugarwright learn membrane``: how the membrane does, from its running readings."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.answering.readings import readings
from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.output import as_json, say
from sugarwright.cli.record import record_in
from sugarwright.errors import InputError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.learning.membrane_lesson import MembraneLearnt


def membrane(
    folder: FolderArgument = ".",
    keep: Annotated[
        bool,
        typer.Option("--keep", help="Keep it: plans and simulations then stand on it."),
    ] = False,
    undo: Annotated[bool, typer.Option("--undo", help="Take back what was kept last.")] = False,
    json: JsonOption = False,
) -> None:
    """How does my membrane do, and when do I wash it? Learns from the readings you logged.

    Log temperature, pressure, both flows and the sap's Brix while it runs; rinses, washes and
    clean-water tests with their times. All is carried to 25 C and to the net pressure through the
    membrane model, so that days can be compared.

    Examples:
      sugarwright learn membrane my-sugarhouse
      sugarwright learn membrane --keep
    """
    if keep and undo:
        raise InputError("--undo", None, "cannot be had together with --keep", "one of them")
    house = house_in(folder)
    learnt = _undone(folder) if undo else _learnt(house, folder, keep)
    if json:
        say(as_json(learnt))
        return
    from sugarwright.cli.learn_membrane_text import learnt_lines

    say(*learnt_lines(learnt, house))


def _undone(folder: str) -> MembraneLearnt:
    from sugarwright.learning.membrane_lesson import MembraneLearnt

    with record_in(folder, make=False) as book:
        book.undo_knowledge("membrane", time.time())
        return MembraneLearnt(str(book.path), "taken back", None)


def _learnt(house: House, folder: str, keep: bool) -> MembraneLearnt:
    from sugarwright.cli.learnt import tell_corrections
    from sugarwright.learning.as_learnt import implausible
    from sugarwright.learning.membrane import learn_membrane
    from sugarwright.learning.membrane_lesson import MembraneLearnt

    if house.membrane is None:
        raise InputError("membrane", None, "is not in sugarhouse.toml", fix="Add [membrane] first.")
    tell_corrections(folder, house)
    with record_in(folder, make=keep) as book:
        now_s = time.time()
        lesson = learn_membrane(house, readings(book), int(now_s))
        if keep:
            for figure in lesson.kept.figures:
                if problem := implausible(house, "membrane", figure):
                    fix = "Read it again. If it is so, say it in sugarhouse.toml"
                    raise InputError(figure.key, f"{figure.value:.3g}", problem, fix=fix)
            book.keep_knowledge("membrane", lesson.kept.document(), now_s)
        return MembraneLearnt(str(book.path), "kept" if keep else "shown", lesson)
