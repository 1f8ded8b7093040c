"""``/log``: what happened, in three taps or one line of words, and the newest entries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated
from uuid import uuid4

from fastapi import APIRouter, Form, Query, Request
from pydantic import ValidationError
from starlette.responses import HTMLResponse, RedirectResponse, Response

from sugarwright.answering.quick_log import asks_of, likely_text
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.logbook.lines import Logged, logged
from sugarwright.logbook.looking import look
from sugarwright.plant.house import House
from sugarwright.units import VOLUME
from sugarwright.web.guard.doors import may_log
from sugarwright.web.intake import Answer, Said, take_in
from sugarwright.web.rendering import page, shed_of, words_of
from sugarwright.web.shed import Shed

NEWEST = 20
LOOK_BACK_S = 60 * 86400.0
MOST_IN_ONE_TEXT = 50
NOT_SENT = "This form cannot be used any more. Nothing was kept; say it once more."
Key = Annotated[str, Query(max_length=70)]
Text = Annotated[str, Form(max_length=2000)]
Short = Annotated[str, Form(max_length=100)]
router = APIRouter()


@dataclass(frozen=True)
class Typed:
    """What stood in a form that was not kept, so that it need not be typed again.

    Parameters
    ----------
    what : name of the ask; empty for words
    number, unit : as typed
    text : the whole, in words
    likely : what was probably meant, in words; may be empty
    """

    what: str = ""
    number: str = ""
    unit: str = ""
    text: str = ""
    likely: str = ""


@router.get("/log", include_in_schema=False)
def log(request: Request, kept: Key = "", undone: Key = "") -> HTMLResponse:
    """Show what can be logged, and the newest entries."""
    return _page(request, kept=kept, undone=undone)


@router.post("/log", include_in_schema=False)
@may_log
def keep(
    request: Request,
    key: Short = "",
    text: Text = "",
    what: Short = "",
    words: Short = "",
    number: Short = "",
    unit: Short = "",
    sure: Annotated[bool, Form()] = False,
) -> Response:
    """Keep what a form says: ``text``, or the words of an ask with number and unit."""
    shed = shed_of(request)
    if not text.strip():
        text = " ".join(filter(None, (words, *((number.strip(), unit) if number.strip() else ()))))
    answer = _sent(shed, key, text=text, sure=sure)
    if answer.state in ("kept", "already there"):
        return RedirectResponse(f"/log?kept={answer.key}", 303)
    likely = likely_text(text, shed.house(), shed.now_s())
    typed = Typed(what, number, unit, text, likely)
    return _page(request, 422, answer=answer, typed=typed)


@router.post("/log/undo", include_in_schema=False)
@may_log
def undo(request: Request, key: Short = "", undoes: Short = "") -> Response:
    """Take back an entry."""
    answer = _sent(shed_of(request), key, undoes=undoes)
    if answer.state in ("kept", "already there"):
        return RedirectResponse(f"/log?undone={undoes}", 303)
    return _page(request, 422, answer=answer)


def _sent(
    shed: Shed, key: str, text: str = "", undoes: str | None = None, *, sure: bool = False
) -> Answer:
    try:
        said = Said(key=key, text=text, undoes=undoes, sure=sure)
    except ValidationError:
        return Answer(key, "refused", NOT_SENT)
    try:
        return take_in(shed, [said])[0]
    finally:
        shed.changed()


def _page(
    request: Request,
    status: int = 200,
    *,
    answer: Answer | None = None,
    typed: Typed | None = None,
    kept: str = "",
    undone: str = "",
) -> HTMLResponse:
    shed = shed_of(request)
    house, now_s = shed.house(), shed.now_s()
    with shed.record() as book:
        entries = book.entries(begin_s=now_s - LOOK_BACK_S, end_s=now_s + 1.0)
        newest = look(book, house, now_s, most=NEWEST)
        said = _said(book, house, kept)
        taken = _said(book, house, undone)
    return page(
        request, "log.html", status,
        asks=asks_of(house, entries),
        lines=tuple(reversed(newest.lines)), older=newest.older,
        answer=answer, typed=typed or Typed(), kept=said, undone=taken,
        bands=_bands(shed), new_key=lambda: uuid4().hex,
    )  # fmt: skip


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
    """Say what each tank should hold by now, and how sweet: (place, quantity) -> words."""
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
