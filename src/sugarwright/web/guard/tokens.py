"""Tokens against forged requests: another page can send a phone's cookie, but not read this."""

from __future__ import annotations

import hashlib
import hmac

FIELD, HEADER = "csrf", "x-csrf-token"


def token_of(secret: str) -> str:
    """Return the token of a session: the same for all its pages, and gone with it.

    Source: "Cross-Site Request Forgery Prevention Cheat Sheet", OWASP, 2024: a token bound to
    the session by HMAC.
    """
    return hmac.new(secret.encode("utf-8", "surrogatepass"), b"form", hashlib.sha256).hexdigest()


def is_token(token: str, secret: str) -> bool:
    """Tell whether a token is that of a session."""
    return hmac.compare_digest(token.encode("utf-8", "surrogatepass"), token_of(secret).encode())
