"""Where a request says it comes from and goes to.

A page of another site can make a browser ask us: by a name of its own that leads to our address
(rebinding), or by a form that posts here. Both are told by headers that no page can forge.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping

from sugarwright.web.guard.addresses import LOOPBACK, is_private

_HOST = re.compile(r"(?P<name>\[[0-9a-f:.]+\]|[a-z0-9.-]+)(:\d{1,5})?")


def host_of(header: str) -> str:
    """Return the name or address in a Host header, without brackets and port; empty if it is none.

    >>> host_of("Kitchen.local:8443"), host_of("[::1]:8000"), host_of("a/b")
    ('kitchen.local', '::1', '')
    """
    found = _HOST.fullmatch(header.strip().lower())
    return found["name"].strip("[]").rstrip(".") if found else ""


def is_own_host(header: str, names: Collection[str], *, at_home: bool) -> bool:
    """Tell whether a Host header means this computer.

    By itself it is the loopback; at home one of its names or a private address as well.

    A rebinding page is always asked for by a name; numbers can't be bent to another place.
    """
    host = host_of(header)
    return is_loopback(host) or (at_home and (host in names or is_private(host)))


def is_loopback(host: str) -> bool:
    """Tell whether a host is this computer seen from itself, which browsers take for secure."""
    return host in (LOOPBACK, "::1") or host.startswith("127.")


def is_own_origin(headers: Mapping[str, str], scheme: str) -> bool:
    """Tell whether what changes something was sent by one of our own pages, or by no page.

    Browsers say Origin with each such request, and Sec-Fetch-Site where the page is secure;
    scripts say neither, and carry no cookie of somebody else.

    Source: "Cross-Site Request Forgery Prevention Cheat Sheet", OWASP, 2024; W3C, "Fetch Metadata
    Request Headers".
    """
    if headers.get("sec-fetch-site", "same-origin").lower() not in ("same-origin", "none"):
        return False
    origin = headers.get("origin")
    return origin is None or origin.lower() == f"{scheme}://{headers.get('host', '').lower()}"
