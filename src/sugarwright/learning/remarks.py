"""What is told about single entries of the log: the instant, and words without a time."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Remark:
    """What was done with an entry that could not be taken as it is.

    Parameters
    ----------
    at_s : UTC s
    what : a clause, without time
    """

    at_s: float
    what: str


@dataclass(frozen=True)
class Doubt:
    """A reading, or a day, that does not fit the rest.

    Parameters
    ----------
    at_s : UTC s
    what : in words, without time
    chance_fraction : how likely there is a slip
    instead_s : UTC s of other readings that would explain it about as well
    """

    at_s: float
    what: str
    chance_fraction: float
    instead_s: tuple[float, ...] = ()
