"""A boil as the log tells it: plain values."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Draw:
    """A draw-off.

    Parameters
    ----------
    at_s : UTC s
    volume_m3, brix : None where it was not said
    since_s : since the draw before, or since the fire was lit
    """

    at_s: float
    volume_m3: float | None
    brix: float | None
    since_s: float


@dataclass(frozen=True)
class Boil:
    """A boil by the log.

    Parameters
    ----------
    burns : whether its fire burns
    lit_s, out_s : UTC s; None where no fire was lit lately, or it was not logged that it went out
    stoked_s : when wood was last put on; None without a fire
    stoke_s : when it is to be put on again, by the house's interval
    draws : since the fire was lit, the oldest first
    drawn_m3 : all of them; one without a volume counts as the house's usual draw
    guessed : how many were counted so
    """

    burns: bool
    lit_s: float | None
    out_s: float | None
    stoked_s: float | None
    stoke_s: float | None
    draws: tuple[Draw, ...]
    drawn_m3: float
    guessed: int
