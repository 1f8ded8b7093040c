"""Why a service was not reached, in words for whoever stands in the shed."""

from __future__ import annotations

import errno
import socket
import ssl

_NO_WAY = {errno.ENETUNREACH, errno.EHOSTUNREACH, errno.ENETDOWN, errno.EHOSTDOWN}
_BROKEN = (ConnectionResetError, ConnectionAbortedError, BrokenPipeError, EOFError)


def why_unreached(problem: BaseException) -> str:
    """Return why, by what lies behind a problem of the network; empty when that says nothing.

    Parameters
    ----------
    problem : as it was raised, with its causes
    """
    for cause in _causes(problem):
        if isinstance(cause, socket.gaierror):
            return "its name was not found; this computer seems to have no internet"
        if isinstance(cause, ssl.SSLError):
            return (
                "its certificate is not trusted; see whether this computer's clock is right, and "
                "whether the network wants you to sign in first"
            )
        if isinstance(cause, ConnectionRefusedError):
            return "the connection was refused"
        if isinstance(cause, _BROKEN):
            return "the connection broke off"
        if isinstance(cause, OSError) and cause.errno in _NO_WAY:
            return "there is no way to it; this computer seems to have no network"
    return ""


def _causes(problem: BaseException) -> list[BaseException]:
    """Return a problem and what it came of, the outermost first."""
    found: list[BaseException] = []
    next_: BaseException | None = problem
    while next_ is not None and next_ not in found:
        found.append(next_)
        next_ = next_.__cause__ or next_.__context__
    return found
