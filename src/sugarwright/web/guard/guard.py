"""The guard before the pages: of this computer alone, or of a house's network."""

from __future__ import annotations

from collections.abc import Collection

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from sugarwright.errors import GuardError
from sugarwright.web.guard import login, phone
from sugarwright.web.guard.addresses import bare_name
from sugarwright.web.guard.cookies import secret_in
from sugarwright.web.guard.doors import SAFE, has_own_key, is_for_logging, is_open
from sugarwright.web.guard.gate import Gate
from sugarwright.web.guard.network import Network
from sugarwright.web.guard.protocol import Guard
from sugarwright.web.guard.refused import RefusedError, answer
from sugarwright.web.guard.tokens import FIELD, HEADER, is_token
from sugarwright.web.guard.visitor import Visitor, visitor_of

_FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")


class ThisComputer:
    """Lets in whoever sits at this computer, and no page of another site."""

    names: Collection[str] = ()
    is_on_network = False

    def protect(self, app: FastAPI) -> None:
        """Put the gate before an application."""
        _put_before(app, self)

    async def check(self, request: Request) -> None:
        """Let everything be done: there is no cookie here that another site could make use of."""

    def visitor(self, request: Request, *, is_secure: bool) -> Visitor:
        """Return whoever sits at this computer."""
        return Visitor("house", "", is_secure=is_secure, signed_in=False)


class HouseNetwork:
    """Lets in who knows a passphrase, from the house's own network.

    Parameters
    ----------
    network : its means

    Raises
    ------
    GuardError : no passphrase is set, so nobody could come in; or its file is damaged
    """

    is_on_network = True

    def __init__(self, network: Network) -> None:
        self._network = network
        self.names: Collection[str] = {*network.names, *filter(None, [bare_name()])}
        if "house" not in network.passphrases.marks():
            fix = "Set one: `sugarwright passphrase FOLDER`"
            raise GuardError("passphrase", None, "is not set, so nobody could come in", fix=fix)

    def protect(self, app: FastAPI) -> None:
        """Put the gate before an application, and add the pages to sign in and to trust."""
        app.state.network = self._network
        app.include_router(login.router)
        app.include_router(phone.router)
        _put_before(app, self)

    async def check(self, request: Request) -> None:
        """Refuse a forged request, and what is not for this role.

        Raises
        ------
        RefusedError : so it is
        """
        path = request.url.path
        if request.method in SAFE or is_open(path) or has_own_key(request.method, path):
            return
        visitor = visitor_of(request)
        if not is_token(await _token_in(request), visitor.secret):
            words = "This page is of an earlier time: load it again, then do that once more."
            raise RefusedError(403, words)
        if not visitor.may_change_house and not is_for_logging(request.scope.get("endpoint")):
            words = "That takes the passphrase of the house; yours is for the record."
            raise RefusedError(403, words)

    def visitor(self, request: Request, *, is_secure: bool) -> Visitor:
        """Return whoever asks: signed in with a passphrase that still holds, or nobody."""
        secret = secret_in(request)
        session = self._network.sessions.find(secret) if secret else None
        if session is None or self._network.passphrases.marks().get(session.role) != session.mark:
            return Visitor(None, "", is_secure=is_secure, signed_in=False)
        return Visitor(session.role, secret, is_secure=is_secure, signed_in=True)


def _put_before(app: FastAPI, guard: Guard) -> None:
    app.add_exception_handler(RefusedError, _refused)
    app.add_middleware(Gate, guard=guard)


def _refused(request: Request, error: Exception) -> Response:
    if not isinstance(error, RefusedError):
        raise error
    return answer(request, error)


async def _token_in(request: Request) -> str:
    """Return the token that a request brings: in its header, or in a field of its form."""
    if HEADER in request.headers:
        return request.headers[HEADER]
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() in _FORMS:
        sent = (await request.form()).get(FIELD)
        return sent if isinstance(sent, str) else ""
    return ""
