"""``/help``: cautions in one place, and how the pages are used."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from sugarwright.bench import cautions as at_the_bench
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.web.rendering import page

router = APIRouter()
WHERE = (
    ("Fire and pan", (CAUTIONS["fire"], CAUTIONS["burn-down"], at_the_bench.BOILING)),
    ("Membrane", (CAUTIONS["membrane"], CAUTIONS["wash"])),
    ("Syrup, hot", (at_the_bench.THINNING, at_the_bench.PACKING, at_the_bench.TOO_COOL)),
    ("Tanks and frost", (CAUTIONS["spoiled"], CAUTIONS["frost"])),
    ("Selling", (at_the_bench.LAW,)),
)
"""Where it can hurt -> the cautions, as they stand beside each act."""


@router.get("/help", include_in_schema=False)
def help_page(request: Request) -> HTMLResponse:
    """Show them."""
    return page(request, "help.html", where=WHERE)
