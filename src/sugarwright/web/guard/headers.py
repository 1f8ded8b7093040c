"""Headers with every answer: what a browser may do with a page, and how long it keeps it."""

from __future__ import annotations

CONTENT_POLICY = (
    "default-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'"
)
_ALWAYS = {
    "content-security-policy": CONTENT_POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",  # for browsers that don't know frame-ancestors
    "referrer-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=(), "
    "screen-wake-lock=(self)",
}
_WHERE_SECURE = {"cross-origin-opener-policy": "same-origin"}
"""Browsers ignore it elsewhere, and complain in their console."""

STATIC = "/static/"


def secured(
    headers: list[tuple[bytes, bytes]], path: str, *, is_secure: bool
) -> list[tuple[bytes, bytes]]:
    """Return an answer's headers with ours, which win over a page's own but for Cache-Control.

    Pages are never kept by the browser by itself (a phone is handed round; what may be shown
    offline is kept knowingly). Static files are, and asked after: their ETag makes that cheap.
    No Strict-Transport-Security: a private host may be another computer tomorrow, and a phone
    that does not trust the authority yet would be locked out.
    """
    ours = {**_ALWAYS, **(_WHERE_SECURE if is_secure else {})}
    kept = [(name, value) for name, value in headers if name.decode("latin-1").lower() not in ours]
    if not any(name.lower() == b"cache-control" for name, _ in headers):
        ours["cache-control"] = "no-cache" if path.startswith(STATIC) else "no-store"
    return kept + [(name.encode(), value.encode()) for name, value in ours.items()]
