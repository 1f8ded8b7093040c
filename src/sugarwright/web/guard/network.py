"""What guards a sugarhouse's pages on its network: its authority, passphrases and sessions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from starlette.requests import Request

from sugarwright.web.guard.authority import Authority
from sugarwright.web.guard.passphrases import Passphrases
from sugarwright.web.guard.sessions import Sessions
from sugarwright.web.guard.tries import Tries


@dataclass(frozen=True)
class Ports:
    """Where this computer listens.

    Parameters
    ----------
    secure : for HTTPS
    plain : for HTTP without it
    """

    secure: int
    plain: int


@dataclass(frozen=True)
class Network:
    """The means of the guard, each on its own.

    Parameters
    ----------
    authority : which phones may trust
    names : host names of this computer at home
    ports : where it listens
    passphrases, sessions : of the sugarhouse folder
    tries : of passphrases
    """

    authority: Authority
    names: tuple[str, ...]
    ports: Ports
    passphrases: Passphrases
    sessions: Sessions
    tries: Tries


def network_of(request: Request) -> Network:
    """Return what guards the application that was asked."""
    return cast(Network, request.app.state.network)
