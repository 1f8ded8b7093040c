"""A plan's report from the document that was made of it (``dataclasses.asdict`` and JSON)."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from sugarwright.planning.report import PlanReport


def report_of(document: Mapping[str, Any]) -> PlanReport:
    """Return the report that a document was made of.

    Raises
    ------
    KeyError, TypeError, ValueError : it is of another version, or none
    """
    found: PlanReport = _made(PlanReport, document)
    return found


def _made(wanted: Any, value: Any) -> Any:
    """Return a plain value as the type that a field states."""
    if value is None:
        return None
    if get_origin(wanted) is UnionType:
        (wanted,) = (each for each in get_args(wanted) if each is not type(None))
    if get_origin(wanted) is tuple:
        inner = get_args(wanted)
        if inner[-1] is Ellipsis:
            return tuple(_made(inner[0], each) for each in value)
        return tuple(_made(of, each) for of, each in zip(inner, value, strict=True))
    if isinstance(wanted, type) and dataclasses.is_dataclass(wanted):
        types = _types(wanted)
        return wanted(**{key: _made(types[key], each) for key, each in value.items()})
    return value


@cache
def _types(wanted: type) -> dict[str, Any]:
    return get_type_hints(wanted)
