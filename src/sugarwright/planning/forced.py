"""A part of a plan that is already settled: whatever is searched, that part stands."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.planning.choices import Force


@dataclass(frozen=True)
class Settled:
    """A part of a plan that is settled before the search.

    Parameters
    ----------
    force : puts it in the place of whatever a plan has there
    places : starts of it (day and column), which stay even where they lose
    """

    force: Force
    places: frozenset[tuple[int, int]] = frozenset()
