"""A request that is not let through, in words: a page, a part of one, or a document."""

from __future__ import annotations

import html
import math
from collections.abc import Mapping
from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>{title}</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="stylesheet" href="/static/base.css"></head>
<body><main><h1>{title}</h1><p role="alert">{words}</p><p><a href="/">To the first page</a></p></main></body></html>
"""


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
    if wants_page(request):
        title = HTTPStatus(error.status).phrase
        words = html.escape(error.words)
        if is_part(request):
            text = f'<p role="alert">{words}</p>'
        else:
            text = _PAGE.format(title=html.escape(title), words=words)
        return HTMLResponse(text, error.status, error.headers)
    return JSONResponse({"problem": error.words}, error.status, error.headers)


def wants_page(request: Request) -> bool:
    """Tell whether a person will see the answer as it comes."""
    return "text/html" in request.headers.get("accept", "") or is_part(request)


def is_part(request: Request) -> bool:
    """Tell whether the answer goes into a page that is already there."""
    return request.headers.get("hx-request", "").lower() == "true"


def _said(wait_s: float) -> str:
    if wait_s >= 90:
        return f"{math.ceil(wait_s / 60)} minutes"
    seconds = max(1, math.ceil(wait_s))
    return "a second" if seconds == 1 else f"{seconds} seconds"
