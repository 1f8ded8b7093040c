"""``/invented``: what is made up in the demo, how to be rid of it, and how to start one's own."""

from __future__ import annotations

from pathlib import Path

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse

from sugarwright.answering.folder import folder_of
from sugarwright.answering.invented import is_invented
from sugarwright.web.pages.house import may_change
from sugarwright.web.rendering import page, shed_of

router = APIRouter()


@router.get("/invented", include_in_schema=False)
def invented(request: Request) -> HTMLResponse:
    """Tell it, of a folder that is the demo's.

    No button deletes the folder: whoever made the demo's house their own may have a real log in it.
    """
    folder = shed_of(request).folder
    if not is_invented(folder):
        raise HTTPException(404)
    path = Path(folder_of(folder)).absolute()
    return page(request, "invented.html", where=path if may_change(request) else path.name)
