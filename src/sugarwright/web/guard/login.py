"""``/login``, ``/logout`` and ``/session``: coming in with a passphrase, and going again."""

from __future__ import annotations

import threading
from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from sugarwright.web.guard.cookies import secret_in, set_cookie
from sugarwright.web.guard.doors import may_log
from sugarwright.web.guard.network import Network, network_of
from sugarwright.web.guard.passphrase import MOST_LETTERS
from sugarwright.web.guard.passphrases import Opened
from sugarwright.web.guard.refused import must_wait
from sugarwright.web.guard.sessions import LONGEST_S
from sugarwright.web.guard.visitor import visitor_of
from sugarwright.web.rendering import page

router = APIRouter(include_in_schema=False)
_ONE_AT_A_TIME = threading.Lock()  # each try takes 32 MiB, which a small computer has once
WRONG = "That is not the passphrase. Look at how it was written down, and try again."


@router.get("/login")
def login_page(request: Request, next: str = "/") -> Response:
    """Ask for the passphrase."""
    return _asked(request, next)


@router.post("/login")
def login(
    request: Request,
    passphrase: Annotated[str, Form()] = "",
    next: Annotated[str, Form()] = "/",
) -> Response:
    """Let in whoever knows a passphrase."""
    network = network_of(request)
    address = request.client.host if request.client else ""
    wait_s = network.tries.take(address)
    if wait_s > 0.0:
        refused = must_wait(wait_s)
        response = _asked(request, next, refused.words, refused.status)
        response.headers.update(refused.headers)
        return response
    opened = _opened(network, passphrase)
    if opened is None:
        return _asked(request, next, WRONG, 403)
    network.tries.was_right(address)
    if old := secret_in(request):
        network.sessions.end(old)
    response = RedirectResponse(own_path(next), 303)
    secret = network.sessions.begin(opened)
    response.headers["set-cookie"] = set_cookie(request, secret, LONGEST_S)
    return response


@router.post("/logout")
@may_log
def logout(request: Request, everyone: Annotated[str, Form()] = "") -> Response:
    """Sign this phone out; all phones, if who may change the house asks for that."""
    network, visitor = network_of(request), visitor_of(request)
    if everyone and visitor.may_change_house:
        network.sessions.end_all()
    network.sessions.end(visitor.secret)
    response = RedirectResponse("/login", 303)
    response.headers["set-cookie"] = set_cookie(request, "", 0.0)
    return response


@router.get("/session")
def session(request: Request) -> Response:
    """Tell a page that stood open what its requests must bring now."""
    visitor = visitor_of(request)
    return JSONResponse({"csrf": visitor.token, "role": visitor.role})


def own_path(path: str) -> str:
    """Return a path of ours to go on to; anything that leads elsewhere becomes the first page.

    >>> own_path("/log?a=1"), own_path("//elsewhere.example"), own_path("https://elsewhere.example")
    ('/log?a=1', '/', '/')
    """
    is_ours = path.startswith("/") and not path.startswith(("//", "/\\"))
    return path if is_ours and path.isascii() and path.isprintable() else "/"


def _asked(request: Request, onward: str, problem: str = "", status: int = 200) -> Response:
    ports = network_of(request).ports
    secure = f"https://{request.url.hostname}:{ports.secure}/"
    return page(
        request,
        "login.html",
        status,
        house=None,  # its name is for those who are in
        tabs=(),
        onward=own_path(onward),
        problem=problem,
        secure_address=secure,
    )


def _opened(network: Network, passphrase: str) -> Opened | None:
    if not passphrase or len(passphrase) > MOST_LETTERS:
        return None
    with _ONE_AT_A_TIME:
        return network.passphrases.opened_by(passphrase)
