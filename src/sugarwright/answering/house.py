"""The house as learnt: as it is described, with what its log taught."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sugarwright.answering.folder import folder_of, house_in
from sugarwright.answering.record import Tell, record_of, tell_nobody

if TYPE_CHECKING:
    from sugarwright.learning.as_learnt import Standing
    from sugarwright.logbook.book import Logbook
    from sugarwright.planning.report import Learnt
    from sugarwright.plant.house import House
    from sugarwright.plant.tree_knowledge import TreeKnowledge

NEWER_MEMBRANE = "The membrane stands as described: it is newer than what was learnt of it."


def as_learnt_in(folder: str, tell: Tell = tell_nobody) -> tuple[House, tuple[Standing, ...]]:
    """Return the house in a folder with what its log taught, and on which figures it stands.

    Raises
    ------
    InputError : see ``folder.house_in``; the logbook, or what was learnt, cannot be used
    """
    from sugarwright.logbook.connection import LOGBOOK_FILE

    house = house_in(folder)
    if not (Path(folder_of(folder)) / LOGBOOK_FILE).exists():
        return house, ()  # and nothing heavy need be loaded to find that out

    from sugarwright.learning.as_learnt import as_learnt

    found = as_learnt(house, documents_in(folder, tell))
    return found.house, found.standing


def house_as_learnt(folder: str, tell: Tell = tell_nobody) -> House:
    """Return the house in a folder with what its log taught; raises as :func:`as_learnt_in`."""
    return as_learnt_in(folder, tell)[0]


def documents_in(folder: str, tell: Tell = tell_nobody) -> Mapping[str, dict[str, Any]]:
    """Return what was learnt and kept, by name; of an element that was replaced since, nothing."""
    from sugarwright.learning.as_learnt import LEARNABLE

    with record_of(folder, make=False, needed=False, tell=tell) as book:
        found = {name: book.knowledge(name) for name in LEARNABLE}
        membrane = found.get("membrane")
        if membrane is not None:
            since_s = float(membrane.get("until_s", 0.0))
            if book.entries(begin_s=since_s, kinds=("new_membrane",)):
                tell(NEWER_MEMBRANE)
                found["membrane"] = None
    return {name: document for name, document in found.items() if document is not None}


def learnt_in(folder: str, house: House, book: Logbook) -> tuple[Learnt, ...]:
    """Return which parts of the house stand as the log taught them, each with its version.

    Parameters
    ----------
    folder, book : of the sugarhouse
    house : for its spring

    Raises
    ------
    InputError : what was learnt cannot be used
    """
    from sugarwright.logbook.trees import TREES
    from sugarwright.planning.report import Learnt

    _, standing = as_learnt_in(folder)
    learnt_s = {each.name: each.learnt_s for each in standing if each.stands}
    trees = trees_learnt(book, house)
    if trees is not None:
        learnt_s[TREES] = trees.learnt_s
    return tuple(Learnt(name, at_s, _version(book, name)) for name, at_s in learnt_s.items())


def _version(book: Logbook, name: str) -> int:
    """Return which of all versions ever kept stands, from 1 on."""
    kept = enumerate(book.knowledge_versions(name), 1)
    return max(number for number, each in kept if each.taken_back_s is None)


def trees_learnt(book: Logbook, house: House) -> TreeKnowledge | None:
    """Return the trees that the gatherings taught, as they count in the house's spring."""
    from sugarwright.logbook.trees import TREES, trees_of
    from sugarwright.plant.tree_knowledge import knowledge_for

    return knowledge_for(trees_of(book.knowledge(TREES)), house.trees.tapped.year)
