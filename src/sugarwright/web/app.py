"""The application: the one place where pages, addresses and the guard are put together."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib import import_module

from fastapi import Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import JSONResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from sugarwright.errors import SugarwrightError
from sugarwright.web import events, intake, sensors_in
from sugarwright.web.guard import Guard, ThisComputer
from sugarwright.web.offline import out_of_reach
from sugarwright.web.pages import invented
from sugarwright.web.rendering import STATIC, Tab, problem_page
from sugarwright.web.shed import Shed

SCREENS: dict[str, Tab] = {
    "today": Tab("/", "Today", "today", on_bar=True),
    "log": Tab("/log", "Log", "log", on_bar=True),
    "boil": Tab("/boil", "Boil", "boil", on_bar=True),
    "membrane": Tab("/membrane", "Membrane", "membrane"),
    "season": Tab("/season", "Season", "season"),
    "ledger": Tab("/ledger", "Ledger", "ledger"),
    "bench": Tab("/bench", "Bench", "bench"),
    "weather": Tab("/weather", "Weather", "weather"),
    "house": Tab("/house", "House", "house"),
    "help": Tab("/help", "Help and cautions", "help"),
    "more": Tab("/more", "More", "more", on_bar=True),
}
"""Module in ``pages`` -> how bar and rail name it, in their order."""
OTHERS = (events, intake, out_of_reach, sensors_in, invented)
_YEAR_S = 365 * 86400


class Static(StaticFiles):
    """Static files; one whose address holds a hash of its content is kept by browsers."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return a file, and say how long it may be kept."""
        response = await super().get_response(path, scope)
        kept = f"max-age={_YEAR_S}, immutable" if scope["query_string"] else "no-cache"
        response.headers["cache-control"] = kept
        return response


def build(shed: Shed, guard: Guard | None = None) -> FastAPI:
    """Return the application for one folder.

    Parameters
    ----------
    shed : the folder
    guard : who may come in; None: whoever sits at this computer
    """

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        yield
        shed.close()

    before = guard or ThisComputer()
    # No documentation pages: those that FastAPI brings ask another address for their scripts.
    app = FastAPI(
        title="Sugarwright",
        docs_url=None,
        redoc_url=None,
        lifespan=lifespan,
        dependencies=[Depends(before.check)],
    )
    app.state.shed = shed
    app.state.tabs = tuple(SCREENS.values())
    for name in SCREENS:
        app.include_router(import_module(f"sugarwright.web.pages.{name}").router)
    for module in OTHERS:
        app.include_router(module.router)
    mount_static(app)
    app.add_middleware(GZipMiddleware, minimum_size=600)
    answer_problems(app)
    before.protect(app)
    return app


def mount_static(app: FastAPI) -> None:
    """Serve the files that pages are made of."""
    app.mount("/static", Static(directory=STATIC), name="static")


def answer_problems(app: FastAPI) -> None:
    """Let problems be answered in words: as a page, or as a document."""
    app.add_exception_handler(SugarwrightError, _refused)
    app.add_exception_handler(HTTPException, _not_there)
    app.add_exception_handler(RequestValidationError, _not_understood)


def _refused(request: Request, error: Exception) -> Response:
    return _said(request, 400, str(error))


def _not_there(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    words = {404: "There is no such page.", 405: "That can't be done here."}.get(status)
    return _said(request, status, words or str(getattr(error, "detail", error)))


def _not_understood(request: Request, error: Exception) -> Response:
    problems = error.errors() if isinstance(error, RequestValidationError) else ()
    found = [f"{'.'.join(map(str, each['loc'][1:]))}: {each['msg']}" for each in problems]
    return _said(request, 422, "; ".join(found) or "That is not understood.")


def _said(request: Request, status: int, words: str) -> Response:
    """Tell a problem as a page to whoever looks at one, else as a document."""
    if "text/html" in request.headers.get("accept", ""):
        return problem_page(request, status, words)
    return JSONResponse({"problem": words}, status)
