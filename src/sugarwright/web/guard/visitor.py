"""Whoever asks for a page: what they may do, and what their connection lacks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from starlette.requests import Request

from sugarwright.web.guard.passphrases import Role
from sugarwright.web.guard.tokens import token_of

MISSING = (
    "Opened without HTTPS: this page can't be opened while the computer is out of reach, the "
    "screen may go dark during a timer, and what you send can be read on your network."
)


@dataclass(frozen=True)
class Visitor:
    """Whoever asks for a page; each request carries one as ``request.state.visitor``.

    Parameters
    ----------
    role : what they may do; nothing for one who hasn't signed in
    secret : of their session; empty without one
    is_secure : the browser takes the connection for secure: HTTPS, or this computer itself
    signed_in : they came in with a passphrase, and can sign out
    """

    role: Role | None
    secret: str
    is_secure: bool
    signed_in: bool

    @property
    def may_change_house(self) -> bool:
        """Whether they may change the house, not the record alone."""
        return self.role == "house"

    @property
    def token(self) -> str:
        """The token that each form and each request that changes something sends along."""
        return token_of(self.secret) if self.secret else ""

    @property
    def missing(self) -> str:
        """What their connection lacks, in a sentence; empty when nothing."""
        return "" if self.is_secure else MISSING


def visitor_of(request: Request) -> Visitor:
    """Return whoever asks."""
    return cast(Visitor, request.state.visitor)
