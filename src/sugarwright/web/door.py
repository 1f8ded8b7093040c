"""Who may come in: what the application needs of a guard, and the one for this computer alone."""

from __future__ import annotations

from typing import Protocol

from fastapi import FastAPI
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

NAMES = ("localhost", "127.0.0.1", "[::1]")
CONTENT_POLICY = (
    "default-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'"
)
_SAFE = ("GET", "HEAD", "OPTIONS")


class Guard(Protocol):
    """Stands before the pages."""

    def protect(self, app: FastAPI) -> None:
        """Put middlewares before an application, and add the guard's own pages to it.

        Each request that is let through may carry ``request.state.visitor`` with ``token`` (sent
        along by each form), ``may_change_house``, ``missing`` and ``signed_in``.
        """


class ThisComputer:
    """Lets in whoever sits at this computer, and no page of another site."""

    def protect(self, app: FastAPI) -> None:
        """Put the check before an application."""
        app.add_middleware(_OwnPagesOnly)


class _OwnPagesOnly:
    """Refuses what another site makes a browser ask, by a name of its own or by a form."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        host = headers.get("host", "").lower()
        if host.rpartition(":")[0] not in NAMES and host not in NAMES:
            words = "These pages are for this computer alone: open them as localhost.\n"
            await PlainTextResponse(words, 421)(scope, receive, send)
            return
        origin = headers.get("origin")
        if scope["method"] not in _SAFE and origin not in (None, f"{scope['scheme']}://{host}"):
            await PlainTextResponse("Another site asked for this.\n", 403)(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                ours = MutableHeaders(scope=message)
                ours["content-security-policy"] = CONTENT_POLICY
                ours["x-content-type-options"] = "nosniff"
                ours["referrer-policy"] = "same-origin"
            await send(message)

        await self.app(scope, receive, send_with_headers)
