"""The cookie that holds a session's secret."""

from __future__ import annotations

from starlette.requests import Request

LARGEST = 200


def cookie_name(request: Request) -> str:
    """Return the cookie's name: its own for each port, since browsers give all ports all cookies.

    And its own over HTTPS: a browser refuses to let plain HTTP replace a cookie marked Secure.
    The prefix ``__Host-`` makes it refuse one that another host or path set.
    """
    port = (request.scope.get("server") or ("", 0))[1]
    if request.url.scheme == "https":
        return f"__Host-sugarwright-{port}"
    return f"sugarwright-{port}"


def secret_in(request: Request) -> str:
    """Return the secret that a request brings, or nothing."""
    secret = request.cookies.get(cookie_name(request), "")
    return secret if len(secret) <= LARGEST else ""


def set_cookie(request: Request, secret: str, longest_s: float) -> str:
    """Return the Set-Cookie header that hands a secret to a browser; an empty one takes it away."""
    parts = [
        f"{cookie_name(request)}={secret}",
        f"Max-Age={int(longest_s) if secret else 0}",
        "Path=/",
        "HttpOnly",
        "SameSite=Strict",
    ]
    if request.url.scheme == "https":
        parts.append("Secure")
    return "; ".join(parts)
