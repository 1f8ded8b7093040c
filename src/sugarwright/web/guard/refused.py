"""A request that is not let through, in words: a page, a part of one, or a document."""

from __future__ import annotations

import html
import math
from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from sugarwright.web.rendering import problem_page


class RefusedError(Exception):
    """A request that the guard does not let through.

    Parameters
    ----------
    status : of the answer
    words : what is wrong and what to do, in one or two sentences
    headers : further headers of the answer
    """

    def __init__(self, status: int, words: str, headers: Mapping[str, str] | None = None) -> None:
        self.status = status
        self.words = words
        self.headers = dict(headers or {})
        super().__init__(words)


def must_wait(wait_s: float) -> RefusedError:
    """Return the refusal of one try too many."""
    words = f"Too many wrong tries. Wait {_said(wait_s)}, then try again."
    return RefusedError(429, words, {"retry-after": str(max(1, math.ceil(wait_s)))})


def answer(request: Request, error: RefusedError) -> Response:
    """Return a refusal in the form that was asked for."""
    if is_part(request):
        text = f'<p role="alert">{html.escape(error.words)}</p>'
        return HTMLResponse(text, error.status, error.headers)
    if not wants_page(request):
        return JSONResponse({"problem": error.words}, error.status, error.headers)
    response = problem_page(request, error.status, error.words)
    response.headers.update(error.headers)
    return response


def wants_page(request: Request) -> bool:
    """Tell whether a person will see the answer as it comes."""
    return "text/html" in request.headers.get("accept", "")


def is_part(request: Request) -> bool:
    """Tell whether the answer goes into a page that is already there."""
    return request.headers.get("hx-request", "").lower() == "true"


def _said(wait_s: float) -> str:
    if wait_s >= 90:
        return f"{math.ceil(wait_s / 60)} minutes"
    seconds = max(1, math.ceil(wait_s))
    return "a second" if seconds == 1 else f"{seconds} seconds"
