"""Where sensors post their readings: a token of their own, no session.

POST /sensors/SERIES    Authorization: Bearer TOKEN
{"value": 14.2, "unit": "in", "at": "2027-03-09T06:10:00Z"}, or a list of such
"""

from __future__ import annotations

import time
from collections import defaultdict, deque
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse
from starlette.concurrency import run_in_threadpool

from sugarwright.errors import InputError, LogbookError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.sensor_intake import MOST_BYTES, readings_in, take_in
from sugarwright.logbook.sensor_register import sensors_in

MOST_POSTS, IN_S = 60, 60.0
_NOT_WRITTEN = (
    "The logbook of this sugarhouse cannot be written now: nothing of this was kept. "
    "Send it again; any command on its computer tells what is wrong."
)
"""Whoever posts here has shown no token yet: where the folder lies is none of their business."""
_NOT_ADMITTED = "This token is not that of this sensor. `sugarwright sensor token` makes a new one."


class Pace:
    """How often each sender may post; the oldest senders are forgotten when there are many."""

    def __init__(self, most: int = MOST_POSTS, in_s: float = IN_S, senders: int = 1000) -> None:
        self.most, self.in_s, self.senders = most, in_s, senders
        self._times: defaultdict[str, deque[float]] = defaultdict(deque)

    def allows(self, sender: str, now_s: float) -> bool:
        """Count one post, and tell whether it is not one too many."""
        if sender not in self._times and len(self._times) >= self.senders:
            self._times.pop(next(iter(self._times)))
        times = self._times[sender]
        while times and times[0] <= now_s - self.in_s:
            times.popleft()
        if len(times) >= self.most:
            return False
        times.append(now_s)
        return True


router = APIRouter()


@router.post("/sensors/{series}")
async def post(series: str, request: Request) -> JSONResponse:
    """Take readings in, with a token of the sensor's own."""
    state = request.app.state
    if not hasattr(state, "sensor_pace"):
        state.sensor_pace = Pace()
    sender = request.client.host if request.client else ""
    if not state.sensor_pace.allows(f"{sender} {series}", time.monotonic()):
        return _refuse(429, "Too many posts: send what gathered in one list.")
    body = await _body(request)
    if body is None:
        return _refuse(413, f"Too long: up to {MOST_BYTES} bytes at once.")
    token = request.headers.get("authorization", "").removeprefix("Bearer ").strip()
    return await run_in_threadpool(_take, state.shed.folder, series, token, body)


async def _body(request: Request) -> bytes | None:
    """Return the body; None, and no more of it is read, where it is too long."""
    held = bytearray()
    async for part in request.stream():
        held += part
        if len(held) > MOST_BYTES:
            return None
    return bytes(held)


def _take(folder: str | Path, series: str, token: str, body: bytes) -> JSONResponse:
    try:
        with Logbook.open(folder, create=False) as book:
            sensor = sensors_in(book).get(series)
            if sensor is None or not sensor.admits(token):
                return _refuse(401, _NOT_ADMITTED)
            answer = take_in(book, sensor, readings_in(body), time.time())
    except LogbookError:
        return _refuse(503, _NOT_WRITTEN)
    except InputError as problem:
        return _refuse(422, str(problem))
    document: dict[str, Any] = {
        "series": answer.series,
        "sent": answer.sent,
        "kept": answer.kept,
        "said_before": answer.said_before,
        "refused_count": answer.refused_count,
        "refused": [{"number": each.number, "why": each.why} for each in answer.refused],
    }
    return JSONResponse(document, 422 if answer.refused_count == answer.sent > 0 else 200)


def _refuse(status: int, why: str) -> JSONResponse:
    headers = {"WWW-Authenticate": "Bearer"} if status == 401 else {}
    return JSONResponse({"why": why}, status, headers)
