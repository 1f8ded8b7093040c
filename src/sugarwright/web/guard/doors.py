"""Which paths may be reached by whom. Whatever isn't named here needs a passphrase."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

SAFE = frozenset({"GET", "HEAD", "OPTIONS"})

OPEN = frozenset({"/login", "/trust", "/trust.crt"})
OPEN_UNDER = ("/static/",)

OWN_KEY_UNDER = ("/sensors/",)
"""Where a thing without hands posts, with a key of its own that is checked there."""

Endpoint = TypeVar("Endpoint", bound=Callable[..., Any])
_MARK = "__sugarwright_may_log__"


def may_log(endpoint: Endpoint) -> Endpoint:
    """Mark an endpoint that writes the record: who may log may use it.

    Unmarked, one that changes anything is for those alone who may change the house.
    """
    setattr(endpoint, _MARK, True)
    return endpoint


def is_for_logging(endpoint: object) -> bool:
    """Tell whether an endpoint is marked so."""
    return getattr(endpoint, _MARK, False) is True


def is_open(path: str) -> bool:
    """Tell whether a path is for everybody on the network."""
    return path in OPEN or path.startswith(OPEN_UNDER)


def has_own_key(method: str, path: str) -> bool:
    """Tell whether a request is let through to a check of its own."""
    return method == "POST" and path.startswith(OWN_KEY_UNDER)
