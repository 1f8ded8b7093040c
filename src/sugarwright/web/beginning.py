"""A folder without a description: the first page asks for it, then the folder's pages are served.

One application in the place of the other, on the same address: the browser stays where it is.
"""

from __future__ import annotations

import threading
import time

from fastapi import FastAPI
from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Receive, Scope, Send

from sugarwright.answering.beginning import is_undescribed
from sugarwright.web.app import answer_problems, build, mount_static
from sugarwright.web.guard import ThisComputer
from sugarwright.web.pages import first_run
from sugarwright.web.shed import Clock, Shed


class Beginning:
    """Serves the questions until the house is described, and its pages from then on.

    For whoever sits at this computer alone.

    Parameters
    ----------
    folder : where the description will be
    clock : tells UTC s
    plans : whether work is done unasked, as :class:`Shed` takes it
    """

    def __init__(self, folder: str, clock: Clock = time.time, *, plans: bool = True) -> None:
        self.folder = folder
        self._clock = clock
        self._plans = plans
        self._lock = threading.Lock()
        self.shed: Shed | None = None
        self._app: ASGIApp = _asking(self)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the application that stands now answer."""
        await self._app(scope, receive, send)

    def begin(self) -> bool:
        """Go over to the folder's pages if it is described by now; tell whether it is.

        Raises
        ------
        InputError : its description cannot be used
        """
        with self._lock:
            if self.shed is None and not is_undescribed(self.folder):
                shed = Shed(self.folder, self._clock, plans=self._plans)
                self._app, self.shed = build(shed), shed
            return self.shed is not None

    def close(self) -> None:
        """End what runs beside."""
        with self._lock:
            if self.shed is not None:
                self.shed.close()


def _asking(beginning: Beginning) -> FastAPI:
    """Return the application that asks the questions."""
    app = FastAPI(title="Sugarwright", docs_url=None, redoc_url=None, openapi_url=None)
    app.state.beginning = beginning
    mount_static(app)  # before the questions, to which all other addresses lead
    app.include_router(first_run.router)
    app.add_middleware(GZipMiddleware, minimum_size=600)
    answer_problems(app)
    ThisComputer().protect(app)
    return app
