"""``/``: what to do today, how the tanks stand, and what would change it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from sugarwright.web.rendering import page, shed_of

router = APIRouter()


@router.get("/", include_in_schema=False)
def today(request: Request) -> HTMLResponse:
    """Show today."""
    shed = shed_of(request)
    return page(request, "today.html", standing=shed.standing(), plan=shed.plan())


@router.post("/plan", include_in_schema=False)
def plan_again(request: Request) -> RedirectResponse:
    """Let a new plan be made."""
    shed_of(request).plan_again()
    return RedirectResponse("/", 303)
