"""Reading documents that may lie: every look into one names what it did not find."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime
from typing import Any

from sugarwright.errors import ServiceError
from sugarwright.weather.hours import HOUR_S

_SPAN = re.compile(r"P(?:(\d+)W)?(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?)?")
_SPAN_S = (7 * 86400, 86400, HOUR_S, 60, 1)
_LONGEST_SPAN_S = 40 * 86400


class Document:
    """A JSON document of a service, looked into by paths.

    Parameters
    ----------
    title : of the service, for messages
    content : what ``json.loads`` gave
    """

    def __init__(self, title: str, content: Any) -> None:
        self.title = title
        self.content = content

    def get(self, *path: str | int) -> Any:
        """Return what stands at a path, or None."""
        found = self.content
        for step in path:
            if isinstance(step, str) and isinstance(found, dict):
                found = found.get(step)
            elif isinstance(step, int) and isinstance(found, list) and -1 <= step < len(found):
                found = found[step] if found else None
            else:
                return None
        return found

    def need(self, *path: str | int) -> Any:
        """Return what stands at a path. Raises ServiceError when nothing does."""
        found = self.get(*path)
        if found is None:
            raise self.error(path, None, "is missing in its answer")
        return found

    def rows(self, *path: str | int) -> list[Any]:
        """Return the list at a path. Raises ServiceError when there is none, or it is empty."""
        found = self.need(*path)
        if not isinstance(found, list) or not found:
            raise self.error(path, None, "is no list, or an empty one, in its answer")
        return found

    def number(self, *path: str | int) -> float:
        """Return the number at a path. Raises ServiceError when there is none."""
        number = as_number(self.need(*path))
        if number is None:
            raise self.error(path, self.get(*path), "is no number")
        return number

    def instant(self, *path: str | int) -> int:
        """Return the instant at a path [UTC s]. Raises ServiceError when there is none."""
        try:
            return instant(self.need(*path))
        except ValueError:
            raise self.error(path, self.get(*path), "is no time that states its zone") from None

    def error(self, path: tuple[str | int, ...], value: Any, problem: str) -> ServiceError:
        """Return an error that names a part of the document."""
        where = ".".join(str(step) for step in path)
        fix = "The service may have changed, or something on the way answered in its place"
        shown = None if value is None else str(value)[:60]
        return ServiceError(f"{self.title}: {where}", shown, problem, fix=fix)


def as_number(value: Any) -> float | None:
    """Return a JSON value as a finite number, or None."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def instant(text: Any) -> int:
    """Return an ISO 8601 time as UTC s. Raises ValueError if it is none, or states no zone."""
    try:
        moment = datetime.fromisoformat(text)
        if moment.tzinfo is None:
            raise ValueError(text)
        return round(moment.timestamp())
    except (TypeError, OverflowError) as problem:
        raise ValueError(text) from problem


def interval(text: Any) -> tuple[int, int]:
    """Return begin and end of an ISO 8601 interval of a start and a duration [UTC s].

    >>> begin_s, end_s = interval("2019-07-04T18:00:00+00:00/PT3H")
    >>> (end_s - begin_s) // 3600
    3

    Raises
    ------
    ValueError : if it is none
    """
    if not isinstance(text, str):
        raise ValueError(text)
    start, _, span = text.partition("/")
    match = _SPAN.fullmatch(span)
    if match is None:
        raise ValueError(text)
    parts = (
        int(part or 0) * length_s for part, length_s in zip(match.groups(), _SPAN_S, strict=True)
    )
    length_s = sum(parts)
    if not 0 < length_s <= _LONGEST_SPAN_S:
        raise ValueError(text)
    begin_s = instant(start)
    return begin_s, begin_s + length_s


def iso(time_s: float) -> str:
    """Return an instant as services want it: ``2027-03-09T05:00:00Z``."""
    return datetime.fromtimestamp(time_s, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
