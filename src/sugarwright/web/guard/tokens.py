"""Tokens against forged requests: another page can send a phone's cookie, but not read this."""

from __future__ import annotations

import hashlib
import hmac

FIELD, HEADER = "token", "x-csrf-token"


def token_of(secret: str) -> str:
    """Return the token of a session: the same for all its pages, and gone with it.

    Source: "Cross-Site Request Forgery Prevention Cheat Sheet", OWASP, 2024: a token bound to
    the session by HMAC.
    """
    return hmac.new(secret.encode("utf-8", "surrogatepass"), b"form", hashlib.sha256).hexdigest()


def is_token(sent: str, secret: str) -> bool:
    """Tell whether what was sent is the token of a session."""
    return hmac.compare_digest(sent.encode("utf-8", "surrogatepass"), token_of(secret).encode())
