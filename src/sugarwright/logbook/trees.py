"""What was learnt of the trees, as a document of the logbook, and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from sugarwright.errors import InputError
from sugarwright.plant.tree_knowledge import Shape, TreeKnowledge

TREES = "trees"
"""Name of the knowledge; a version of it holds every fit, the oldest first."""


def document_of(history: Sequence[TreeKnowledge]) -> dict[str, Any]:
    """Return fits as a document."""
    return {"fits": [asdict(fit) for fit in history]}


def trees_of(document: dict[str, Any] | None) -> tuple[TreeKnowledge, ...]:
    """Return the fits in a document, the oldest first; none of none.

    Raises
    ------
    InputError : it holds what no fit can be
    """
    if document is None:
        return ()
    try:
        return tuple(
            TreeKnowledge(**(fit | {"shapes": tuple(Shape(**each) for each in fit["shapes"])}))
            for fit in document["fits"]
        )
    except (LookupError, TypeError) as problem:
        raise InputError(TREES, None, f"what was learnt cannot be read ({problem})") from None
