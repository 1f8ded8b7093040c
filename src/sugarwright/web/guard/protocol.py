"""What the application and the gate need of a guard."""

from __future__ import annotations

from collections.abc import Collection
from typing import Protocol

from fastapi import FastAPI
from starlette.requests import Request

from sugarwright.web.guard.visitor import Visitor


class Guard(Protocol):
    """Stands before the pages.

    Parameters
    ----------
    names : host names by which this computer may be asked for
    is_on_network : others than this computer may come
    """

    names: Collection[str]
    is_on_network: bool

    def protect(self, app: FastAPI) -> None:
        """Put the gate before an application, and add the guard's own pages to it."""

    async def check(self, request: Request) -> None:
        """Check what the gate let through against the endpoint that it reached."""

    def visitor(self, request: Request, *, is_secure: bool) -> Visitor:
        """Return whoever asks."""
