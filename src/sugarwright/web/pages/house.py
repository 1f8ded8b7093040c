"""``/house``: the sugarhouse as it was understood, and its description to be changed."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, RedirectResponse, Response

from sugarwright.answering.description import (
    checked,
    keep_description,
    mark_of,
    problems_in,
)
from sugarwright.answering.folder import description_in, house_in
from sugarwright.errors import SugarwrightError
from sugarwright.plant.read_house import parse_house
from sugarwright.web.rendering import page, shed_of

router = APIRouter()
NOT_YOURS = "Your passphrase is for the log. Changing the house needs the other one."


@router.get("/house", include_in_schema=False)
def house(request: Request, kept: bool = False) -> HTMLResponse:
    """Show the house as it was understood."""
    found = checked(house_in(shed_of(request).folder))
    return page(request, "house.html", found=found, kept=kept, may_change=may_change(request))


@router.get("/house/change", include_in_schema=False)
def change(request: Request) -> HTMLResponse:
    """Show its description, to be changed."""
    _refuse_who_may_not(request)
    text = description_in(shed_of(request).folder)
    return _editor(request, text, mark_of(text))


@router.post("/house/change", include_in_schema=False)
def keep(
    request: Request,
    text: Annotated[str, Form()] = "",
    began_from: Annotated[str, Form()] = "",
    do: Annotated[str, Form()] = "check",
) -> Response:
    """Check a changed description, or keep it."""
    _refuse_who_may_not(request)
    shed = shed_of(request)
    text = text.replace("\r\n", "\n")
    problems = problems_in(text)
    if problems or do != "keep":
        return _editor(request, text, began_from, problems, was_checked=True)
    try:
        keep_description(shed.folder, text, began_from, shed.now_s())
    except SugarwrightError as problem:
        return _editor(request, text, began_from, (str(problem),))
    shed.changed()
    return RedirectResponse("/house?kept=true", 303)


def may_change(request: Request) -> bool:
    """Tell whether whoever asks may change the house."""
    visitor = getattr(request.state, "visitor", None)
    return visitor is None or bool(visitor.may_change_house)


def _refuse_who_may_not(request: Request) -> None:
    if not may_change(request):
        raise HTTPException(403, NOT_YOURS)


def _editor(
    request: Request,
    text: str,
    began_from: str,
    problems: tuple[str, ...] = (),
    *,
    was_checked: bool = False,
) -> HTMLResponse:
    found = checked(parse_house(text)) if was_checked and not problems else None
    return page(
        request, "house_change.html", 422 if problems else 200,
        text=text, began_from=began_from, problems=problems, found=found,
    )  # fmt: skip
