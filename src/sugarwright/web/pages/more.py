"""``/more``: the screens that a phone's bar has no room for, and how the pages look."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from sugarwright.web.rendering import page

router = APIRouter()


@router.get("/more", include_in_schema=False)
def more(request: Request) -> HTMLResponse:
    """Show them."""
    return page(request, "more.html")
