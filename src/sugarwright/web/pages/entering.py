"""What pages with entry forms have in common: the asks, what was just kept or taken back, bands."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated
from uuid import uuid4

from fastapi import Query, Request

from sugarwright.answering.quick_log import Ask, asks_of
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.lines import Logged, logged
from sugarwright.plant.house import House
from sugarwright.units import VOLUME
from sugarwright.web.rendering import words_of
from sugarwright.web.shed import Shed

MOST_IN_ONE_TEXT = 50
Key = Annotated[str, Query(max_length=70)]


@dataclass(frozen=True)
class Entering:
    """What the entry forms of a page show.

    Parameters
    ----------
    asks : what is often logged there
    kept, undone : what was entered, or taken back, just before this page was shown
    bands : what each tank should hold by now, and how sweet: (place, quantity) -> words
    new_key : makes the key of a form's entry
    back : path of the page to come back to
    """

    asks: tuple[Ask, ...]
    kept: Logged | None
    undone: Logged | None
    bands: dict[tuple[str, str], str]
    new_key: Callable[[], str]
    back: str


def entering(
    shed: Shed,
    book: Logbook,
    entries: Sequence[Entry],
    back: str,
    kept: str = "",
    undone: str = "",
    places: Sequence[str] = (),
) -> Entering:
    """Return what the entry forms of a page show.

    Parameters
    ----------
    shed, book : the folder and its logbook
    entries : the last ones, those that stand, the oldest first
    back : path of the page
    kept, undone : key of what was entered or taken back just before
    places : of the asks wanted; none: all
    """
    house = shed.house()
    asks = asks_of(house, entries)
    return Entering(
        tuple(each for each in asks if not places or each.place in places),
        _said(book, house, kept),
        _said(book, house, undone),
        _bands(shed),
        lambda: uuid4().hex,
        back,
    )


def back_to(request: Request, path: str) -> str:
    """Return the screen to come back to after an entry: the one named, or else the log."""
    return path if any(each.path == path for each in request.app.state.tabs) else "/log"


def _said(book: Logbook, house: House, key: str) -> Logged | None:
    """Return what was kept of one text: its first key, and those that were counted on from it."""
    keys = (key, *(f"{key}-{number}" for number in range(2, MOST_IN_ONE_TEXT)))
    found: list[Entry] = []
    for each in keys if key else ():
        history: Sequence[Entry] = book.history(each)
        if not history:
            break
        found += [entry for entry in history if entry.key == each]
    return logged(found, house) if found else None


def _bands(shed: Shed) -> dict[tuple[str, str], str]:
    report = shed.standing().value
    if report is None:
        return {}
    words = words_of(shed)
    found = {}
    for tank in report.tanks:
        found[tank.place, "volume"] = words.about(tank.volume_m3, VOLUME)
        low, middle, high = (
            f"{each:.1f}" for each in (tank.brix.low, tank.brix.middle, tank.brix.high)
        )
        found[tank.place, "brix"] = f"{middle} Brix ({low} to {high})"
    return found
