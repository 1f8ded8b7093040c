"""Latitudes and longitudes as people write them: ``44.2``, ``73.1 W``, ``44°12'30"N``."""

from __future__ import annotations

import re

_SIGNS = {"n": 1.0, "e": 1.0, "s": -1.0, "w": -1.0}
_ANGLE = re.compile(
    r"""(?P<before>north|south|east|west|[nsew])?\s*
    (?P<sign>[+-]?)\s*
    (?P<degrees>[0-9]{1,3}(?:[.,][0-9]*)?)\s*(?:°|degrees?|deg)?
    (?:\s*(?P<minutes>[0-9]{1,2}(?:[.,][0-9]*)?)\s*')?
    (?:\s*(?P<seconds>[0-9]{1,2}(?:[.,][0-9]*)?)\s*(?:"|''))?
    \s*(?P<after>north|south|east|west|[nsew])?""",
    re.VERBOSE | re.IGNORECASE,
)


def read_angle(text: str) -> float | None:
    """Return degrees, north and east positive; None when the text is no angle."""
    match = _ANGLE.fullmatch(text)
    if match is None:
        return None
    signs = [match[part] for part in ("before", "sign", "after") if match[part]]
    degrees, minutes, seconds = (
        float((match[part] or "0").replace(",", ".")) for part in ("degrees", "minutes", "seconds")
    )
    if len(signs) > 1 or minutes >= 60.0 or seconds >= 60.0:
        return None
    sign = _SIGNS.get(signs[0][0].lower(), -1.0 if signs[0] == "-" else 1.0) if signs else 1.0
    return sign * (degrees + minutes / 60.0 + seconds / 3600.0)
