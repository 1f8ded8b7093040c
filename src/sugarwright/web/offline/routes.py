"""What a phone asks for that works without the server for hours: its outbox, and what to keep."""

from __future__ import annotations

import time
from typing import Annotated

from fastapi import APIRouter, Header, HTTPException, Request

from sugarwright.errors import LogbookError
from sugarwright.logbook.book import Logbook
from sugarwright.plant.read_house import read_house
from sugarwright.web.offline.arriving import Answer, Desk, Sent

MOST_AT_ONCE = 200

router = APIRouter()
"""Expects ``app.state.shed`` with the ``folder`` that is served."""


@router.post("/entries")
def entries(
    request: Request,
    sent: list[Sent],
    x_phone_clock: Annotated[float | None, Header()] = None,
) -> list[Answer]:
    """Write entries of a phone's outbox into the logbook, each key once, in order."""
    if len(sent) > MOST_AT_ONCE:
        raise HTTPException(413, f"{len(sent)} entries at once; {MOST_AT_ONCE} are taken")
    folder = request.app.state.shed.folder
    house = read_house(f"{folder}/sugarhouse.toml")
    try:
        with Logbook.open(folder) as book:
            return Desk(house, book, time.time(), x_phone_clock).take(sent)
    except LogbookError as problem:
        raise HTTPException(503, str(problem)) from None  # the phone keeps them, and comes again
