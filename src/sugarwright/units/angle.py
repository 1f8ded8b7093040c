"""Latitudes and longitudes as people write them: ``44.2``, ``73.1 W``, ``44°12'30"N``."""

from __future__ import annotations

import re

_SIGNS = {"n": 1.0, "e": 1.0, "s": -1.0, "w": -1.0}
_ANGLE = re.compile(
    r"""(?P<sign>[+-]?)\s*
    (?P<degrees>[0-9]{1,3}(?:[.,][0-9]*)?)\s*(?:°|deg|degrees?)?
    (?:\s*(?P<minutes>[0-9]{1,2}(?:[.,][0-9]*)?)\s*')?
    (?:\s*(?P<seconds>[0-9]{1,2}(?:[.,][0-9]*)?)\s*(?:"|''))?""",
    re.VERBOSE | re.IGNORECASE,
)
_SIDE = r"north|south|east|west|[nsew]"


def read_angle(text: str) -> float | None:
    """Return degrees, north and east positive; None when the text is no angle."""
    side = re.match(rf"({_SIDE})\s*(?=[0-9])", text, re.IGNORECASE)
    body = text[side.end() :] if side else text
    if side is None:
        side = re.search(rf"\s*({_SIDE})$", text, re.IGNORECASE)
        body = text[: side.start()] if side else text
    match = _ANGLE.fullmatch(body.strip())
    if match is None or (side and match["sign"]):
        return None
    degrees, minutes, seconds = (
        float((match[part] or "0").replace(",", ".")) for part in ("degrees", "minutes", "seconds")
    )
    if minutes >= 60.0 or seconds >= 60.0:
        return None
    sign = _SIGNS[side[1][0].lower()] if side else (-1.0 if match["sign"] == "-" else 1.0)
    return sign * (degrees + minutes / 60.0 + seconds / 3600.0)
