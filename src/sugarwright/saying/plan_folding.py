"""A day's actions as they are shown: six at most are read at a glance, so a fire takes its end in.

Nothing is left out: the last wood keeps its hour, gauge and number, and stands with its fire.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

MOST_SHOWN = 6
END = "let the fire go"
FIRES = ("light the fire", "keep the fire", "light the fire again", "fire at need")
Shown = TypeVar("Shown")


def folded(
    shown: Sequence[Shown], kind_of: Callable[[Shown], str]
) -> list[tuple[Shown, Shown | None]]:
    """Return what is shown of a day, each with the end that stands in its entry.

    Parameters
    ----------
    shown : its actions in order of time, as whoever shows them has them
    kind_of : tells the kind of one

    Returns
    -------
    Pairs; the second is None where nothing is taken in, and everywhere on a day of few actions.
    """
    if len(shown) <= MOST_SHOWN:
        return [(each, None) for each in shown]
    return with_ends(shown, kind_of)


def with_ends(
    shown: Sequence[Shown], kind_of: Callable[[Shown], str]
) -> list[tuple[Shown, Shown | None]]:
    """Return what is shown of a day, each fire with its end however few they are.

    Parameters
    ----------
    shown, kind_of : as :func:`folded` takes them
    """
    found: list[tuple[Shown, Shown | None]] = []
    lit: int | None = None  # place of the fire that has no end yet
    for each in shown:
        if kind_of(each) == END and lit is not None:
            found[lit] = (found[lit][0], each)
            lit = None
            continue
        if kind_of(each) in FIRES:
            lit = len(found)
        found.append((each, None))
    return found
