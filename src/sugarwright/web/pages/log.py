"""``/log``: what happened, in three taps or one line of words, and the newest entries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Annotated

from fastapi import APIRouter, Form, Request
from pydantic import ValidationError
from starlette.responses import HTMLResponse, RedirectResponse, Response

from sugarwright.answering.quick_log import likely_text
from sugarwright.errors import SugarwrightError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.looking import look
from sugarwright.logbook.retell import retell_bare
from sugarwright.plant.house import House
from sugarwright.web.guard.doors import may_log
from sugarwright.web.intake import Answer, Said, take_in
from sugarwright.web.pages.entering import Key, back_to, entering
from sugarwright.web.rendering import page, shed_of
from sugarwright.web.shed import Shed

NEWEST, MANY = 20, 200
LOOK_BACK_S = 60 * 86400.0
NOT_SENT = "This form cannot be used any more. Nothing was kept; say it once more."
Text = Annotated[str, Form(max_length=2000)]
Short = Annotated[str, Form(max_length=100)]
Several = Annotated[Sequence[Short], Form(max_length=12)]
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
    corrects : key of the entry that it was to take the place of
    """

    what: str = ""
    number: str = ""
    unit: str = ""
    text: str = ""
    likely: str = ""
    corrects: str = ""


@router.get("/log", include_in_schema=False)
def log(request: Request, kept: Key = "", undone: Key = "", older: bool = False) -> HTMLResponse:
    """Show what can be logged, and the newest entries; ``older``: many of them."""
    return _page(request, kept=kept, undone=undone, most=MANY if older else NEWEST)


@router.post("/log", include_in_schema=False)
@may_log
def keep(
    request: Request,
    key: Short = "",
    text: Text = "",
    what: Short = "",
    words: Short = "",
    number: Several = (),
    unit: Several = (),
    before: Several = (),
    back: Short = "",
    corrects: Short = "",
    sure: Annotated[bool, Form()] = False,
) -> Response:
    """Keep what a form says: ``text``, or the words of an ask with its numbers and units.

    ``corrects`` is the key of an entry that it takes the place of.
    """
    shed = shed_of(request)
    if not text.strip():
        text = composed(words, before, number, unit)
    answer = _sent(shed, key, text=text, corrects=corrects or None, sure=sure)
    if answer.state in ("kept", "already there"):
        return RedirectResponse(f"{back_to(request, back)}?kept={answer.key}", 303)
    likely = likely_text(text, shed.house(), shed.now_s())
    first_number, first_unit = next(zip(number, unit, strict=False), ("", ""))
    typed = Typed(what, first_number, first_unit, text, likely, corrects)
    return _page(request, 422, answer=answer, typed=typed)


@router.post("/log/undo", include_in_schema=False)
@may_log
def undo(request: Request, key: Short = "", undoes: Short = "", back: Short = "") -> Response:
    """Take back an entry."""
    answer = _sent(shed_of(request), key, undoes=undoes)
    if answer.state in ("kept", "already there"):
        return RedirectResponse(f"{back_to(request, back)}?undone={undoes}", 303)
    return _page(request, 422, answer=answer)


def composed(words: str, before: Sequence[str], number: Sequence[str], unit: Sequence[str]) -> str:
    """Return the text that a form's numbers make: words, then each number behind its own words."""
    parts = [words]
    for said, value, of in zip_longest(before, number, unit, fillvalue=""):
        if value.strip():
            parts += [said, value.strip(), of]
    return " ".join(filter(None, parts))


def _sent(
    shed: Shed,
    key: str,
    text: str = "",
    undoes: str | None = None,
    *,
    corrects: str | None = None,
    sure: bool = False,
) -> Answer:
    try:
        said = Said(key=key, text=text, undoes=undoes, corrects=corrects, sure=sure)
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
    most: int = NEWEST,
) -> HTMLResponse:
    shed = shed_of(request)
    house, now_s = shed.house(), shed.now_s()
    with shed.record() as book:
        entries = book.entries(begin_s=now_s - LOOK_BACK_S, end_s=now_s + 1.0)
        newest = look(book, house, now_s, most=most)
        shown = entering(shed, book, entries, "/log", kept, undone)
        words = dict(_words(book, house, [line.key for line in newest.lines]))
    return page(
        request, "log.html", status,
        entering=shown, lines=tuple(reversed(newest.lines)), older=newest.older,
        answer=answer, typed=typed or Typed(), words=words,
    )  # fmt: skip


def _words(book: Logbook, house: House, keys: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Yield what each entry says in words that can be changed, where there are such words."""
    for key in keys:
        try:
            yield key, retell_bare(book.history(key)[-1], house)
        except SugarwrightError:
            continue  # of a span, or from a table: the command line has ways for those
