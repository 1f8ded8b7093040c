"""The gate before all pages: what isn't let through reaches none of them."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from sugarwright.errors import SugarwrightError
from sugarwright.web.guard.addresses import is_private
from sugarwright.web.guard.doors import SAFE, has_own_key, is_open
from sugarwright.web.guard.headers import secured
from sugarwright.web.guard.origin import host_of, is_loopback, is_own_host, is_own_origin
from sugarwright.web.guard.protocol import Guard
from sugarwright.web.guard.refused import RefusedError, answer, is_part, wants_page
from sugarwright.web.guard.visitor import Visitor

LARGEST_BYTES = 2_000_000
_NOBODY = Visitor(None, "", is_secure=False, signed_in=False)


class Gate:
    """Middleware that checks each request, and adds the headers of each answer.

    Parameters
    ----------
    app : behind the gate
    guard : who knows names and passphrases
    """

    def __init__(self, app: ASGIApp, guard: Guard) -> None:
        self._app = app
        self._guard = guard

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "http":
            await self._http(scope, receive, send)
        else:  # no page uses web sockets
            await send({"type": "websocket.close", "code": 1008})

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope)
        host = host_of(request.headers.get("host", ""))
        is_secure = scope["scheme"] == "https" or is_loopback(host)

        async def send_secured(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers: Any = list(message.get("headers", ()))
                ours = secured(headers, scope["path"], is_secure=is_secure)
                message = {**message, "headers": ours}
            await send(message)

        request.state.visitor = _NOBODY
        response = self._refusal(request, is_secure)
        await (response or self._app)(scope, receive, send_secured)

    def _refusal(self, request: Request, is_secure: bool) -> Response | None:
        """Return the answer to what isn't let through; set who asks for what is."""
        try:
            self._check_way(request)
            visitor = self._guard.visitor(request, is_secure=is_secure)
        except RefusedError as error:
            return answer(request, error)
        except SugarwrightError as error:  # a damaged file of keys lets nobody in
            return answer(request, RefusedError(503, str(error)))
        request.state.visitor = visitor
        path = request.url.path
        if visitor.role or is_open(path) or has_own_key(request.method, path):
            return None
        return _to_login(request)

    def _check_way(self, request: Request) -> None:
        """Check where a request comes from, where it goes to, and how large it is."""
        guard, headers = self._guard, request.headers
        if not is_own_host(headers.get("host", ""), guard.names, at_home=guard.is_on_network):
            words = "This computer goes by another name here: open the address that it shows."
            raise RefusedError(421, words)
        if guard.is_on_network and not is_private(request.client.host if request.client else ""):
            raise RefusedError(403, "These pages are for your own network alone.")
        if request.method not in SAFE and not is_own_origin(headers, request.url.scheme):
            raise RefusedError(403, "Another site asked for this, so it was not done.")
        _check_size(request)


def _check_size(request: Request) -> None:
    """Refuse what is too large, or doesn't say beforehand how large it will be."""
    length = request.headers.get("content-length")
    if length is None:
        if "transfer-encoding" in request.headers:
            raise RefusedError(411, "Say beforehand how much is sent (Content-Length).")
        return
    if not length.isascii() or not length.isdigit():
        raise RefusedError(400, "Content-Length is no number.")
    if int(length[:12]) > LARGEST_BYTES:
        allowed = f"{LARGEST_BYTES // 1_000_000} MB"
        raise RefusedError(413, f"That is too large; allowed: {allowed}. Send it in parts.")


def _to_login(request: Request) -> Response:
    """Send whoever isn't signed in to the page for that, or tell a script so."""
    if is_part(request):
        return answer(request, RefusedError(401, "Sign in again.", {"hx-redirect": "/login"}))
    if wants_page(request) and request.method in SAFE:
        whole = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"/login?next={quote(whole, safe='')}", 303)
    return answer(request, RefusedError(401, "Sign in first: open these pages in a browser."))
