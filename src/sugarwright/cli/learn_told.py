"""What ``sugarwright learn`` found and did, as one value for text and document."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sugarwright.learning.everything import Everything


@dataclass(frozen=True)
class Told:
    """What `learn` found and did.

    Parameters
    ----------
    learnt : all that was learnt
    kept : names of what was kept now
    held_back : names of what was not, since a figure jumps: ``--sure`` keeps it
    """

    learnt: Everything
    kept: tuple[str, ...]
    held_back: tuple[str, ...]


@dataclass(frozen=True)
class Version:
    """One version of what was kept.

    Parameters
    ----------
    name : of what: "pan", "wood", "membrane", "trees"
    made_s : UTC s of keeping it
    taken_back_s : UTC s of taking it back; null while it was not
    document : what was learnt
    """

    name: str
    made_s: float
    taken_back_s: float | None
    document: dict[str, Any]


@dataclass(frozen=True)
class History:
    """All that was ever kept.

    Parameters
    ----------
    versions : the oldest of each name first
    """

    versions: tuple[Version, ...]


@dataclass(frozen=True)
class TakenBack:
    """What `learn --undo` took back.

    Parameters
    ----------
    taken_back : names
    """

    taken_back: tuple[str, ...]
