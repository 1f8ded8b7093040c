"""Why a service was not reached, in words: each way in which a line fails, made on this machine."""

from __future__ import annotations

import errno
import socket
import ssl

import httpx
import pytest

from sugarwright.weather.services.unreached import why_unreached


def raised(cause: BaseException) -> httpx.HTTPError:
    """Return what the client raises of a cause, as it stands behind it."""
    try:
        try:
            raise cause
        except BaseException as problem:
            raise httpx.ConnectError("[Errno] words of the system") from problem
    except httpx.ConnectError as error:
        return error


@pytest.mark.parametrize(
    ("cause", "said"),
    [
        (socket.gaierror(socket.EAI_NONAME, "Name or service not known"), "no internet"),
        (ConnectionRefusedError(errno.ECONNREFUSED, "refused"), "was refused"),
        (OSError(errno.ENETUNREACH, "Network is unreachable"), "no network"),
        (OSError(errno.EHOSTUNREACH, "No route to host"), "no network"),
        (ConnectionResetError(errno.ECONNRESET, "reset"), "broke off"),
        (ssl.SSLCertVerificationError("self-signed"), "clock is right"),
    ],
)
def test_a_cause_is_said_plainly(cause: BaseException, said: str) -> None:
    assert said in why_unreached(raised(cause))


def test_what_is_not_known_is_not_guessed() -> None:
    assert why_unreached(raised(OSError(errno.EIO, "odd"))) == ""


def test_a_name_that_nobody_has_is_no_internet() -> None:
    """``.invalid`` is a name that never is (RFC 2606, 1999)."""
    with pytest.raises(httpx.HTTPError) as got:
        httpx.get("http://service.invalid/", timeout=5.0, trust_env=False)
    assert "no internet" in why_unreached(got.value)


def test_a_port_where_nobody_listens_refuses() -> None:
    with socket.create_server(("127.0.0.1", 0)) as closed:
        port = closed.getsockname()[1]
    with pytest.raises(httpx.HTTPError) as got:
        httpx.get(f"http://127.0.0.1:{port}/", timeout=5.0, trust_env=False)
    assert why_unreached(got.value) == "the connection was refused"
