"""``GET /events``: that something changed, for pages that are open.

Server-sent events named "changed", with the revision as id and data. The first comes at once, so
that a page that lost its line for a while learns what it missed.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator

from fastapi import APIRouter, Request
from fastapi.responses import StreamingResponse

from sugarwright.web.rendering import shed_of
from sugarwright.web.shed import Shed

STILL_THERE_S = 20.0
AGAIN_MS = 3000
router = APIRouter()


@router.get("/events", include_in_schema=False)
async def events(request: Request) -> StreamingResponse:
    """Tell of changes as long as the page listens."""
    headers = {"cache-control": "no-store", "x-accel-buffering": "no"}
    changes = _changes(shed_of(request), request)
    return StreamingResponse(changes, media_type="text/event-stream", headers=headers)


async def _changes(shed: Shed, request: Request) -> AsyncIterator[str]:
    loop, news = asyncio.get_running_loop(), asyncio.Event()
    end = shed.changes.subscribe(lambda _: loop.call_soon_threadsafe(news.set))
    try:
        yield f"retry: {AGAIN_MS}\n{_event(shed.revision)}"
        while not shed.is_closed and not await request.is_disconnected():
            try:
                await asyncio.wait_for(news.wait(), STILL_THERE_S)
            except TimeoutError:
                yield ": still there\n\n"
                continue
            news.clear()
            if not shed.is_closed:
                yield _event(shed.revision)
    finally:
        end()


def _event(revision: int) -> str:
    return f"id: {revision}\nevent: changed\ndata: {revision}\n\n"
