"""What a browser needs to open pages without a line: a service worker, and a frame for them."""

from __future__ import annotations

import hashlib
import json
from functools import cache

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, Response

from sugarwright.web.rendering import STATIC, page, static_address

FRAME = "/out-of-reach"
_KEPT = {".css", ".js", ".json", ".svg"}
_WORKER = "service-worker.js"
router = APIRouter(include_in_schema=False)


@router.get("/service-worker.js")
def service_worker() -> Response:
    """Return the service worker of this version; at the root, since it rules the whole site."""
    return Response(_worker(), media_type="text/javascript", headers={"cache-control": "no-cache"})


@router.get(FRAME)
def frame(request: Request) -> HTMLResponse:
    """Return the frame in which kept pages are shown; it tells nothing of the house."""
    return page(request, "out_of_reach.html", house=None)


@router.get("/line")
def line() -> Response:
    """Say that there is a line."""
    return Response(status_code=204)


@cache
def _worker() -> str:
    """Return its text with the files that it keeps; another version of any is another worker."""
    files = [static_address(name) for name in _names()]
    text = (STATIC / _WORKER).read_text(encoding="utf-8")
    version = hashlib.sha256((text + "".join(files)).encode()).hexdigest()[:10]
    given = {"VERSION": version, "FILES": files, "FRAME": FRAME}
    head = "".join(f"const {name} = {json.dumps(value)};\n" for name, value in given.items())
    return head + text


def _names() -> list[str]:
    found = (path for path in STATIC.rglob("*") if path.suffix in _KEPT and path.name != _WORKER)
    return sorted(path.relative_to(STATIC).as_posix() for path in found)
